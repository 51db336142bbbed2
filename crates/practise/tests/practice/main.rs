//! The laws of practice: sets and their files, lessons and their blame, progress and the next foot.

mod blame;
mod files;
mod lesson;
mod making;
mod progress;
mod shipped_set;
mod support;
