//! The study of one foot: films, tracing and history, kept on disk so that no work is lost.
