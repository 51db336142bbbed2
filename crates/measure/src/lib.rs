//! A tracing becomes a worksheet: every published definition, with its source and its uncertainty.
