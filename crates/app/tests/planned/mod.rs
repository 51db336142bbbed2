//! Plans in the study of a foot before its operation.

use std::path::Path;

use plumbray_plan::{CutDirection, Extent, Plan};
use plumbray_study::{StudyFile, UserFolders};

/// Keeps two plans in the study of the visit before surgery: one of what was done then, but for the toe, and a small
/// shift without a name.
pub(crate) fn oak_is_planned(study: &Path, folders: &UserFolders) {
    let (mut file, found) = StudyFile::open_with(study, folders).expect("a study's file");
    let mut found = found.expect("the study before");
    let mut done = Plan::usual(true);
    done.name = "as done".to_owned();
    done.cut.direction = CutDirection::TiltDegrees(6.0);
    done.head.shift = Extent::Millimetres(10.2);
    done.head.medial_turn_degrees = 2.0;
    let mut small = Plan::usual(true);
    small.head.shift = Extent::Millimetres(4.0);
    found.plans = vec![done, small];
    file.save(&found).expect("writable");
}
