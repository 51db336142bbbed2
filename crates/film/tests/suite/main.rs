//! Films made byte by byte, opened, judged and drawn as the program does it.
#![expect(
    clippy::float_cmp,
    reason = "numbers that are written exactly in a file must come out exactly"
)]

mod dicom_facts;
mod dicom_frames;
mod dicom_grey_scale;
mod dicom_object;
mod drawing;
mod hostile_files;
mod made;
mod plain_pictures;
