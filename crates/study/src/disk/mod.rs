//! The study on disk: nothing is lost, nothing of somebody else's is overwritten.

mod atomic_write;
mod leftover;
mod lock;
mod reading;
mod recovery;
mod rescue;
mod study_file;
mod user_folders;

pub use atomic_write::write_whole;
pub use reading::load;
pub use recovery::{RecoveredCopy, recovered_copies};
pub use study_file::{Saved, StudyFile};
pub use user_folders::UserFolders;
