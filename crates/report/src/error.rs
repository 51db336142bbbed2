//! Why a sheet, a picture or a table could not be made.

/// Why a sheet, a picture or a table could not be made.
#[derive(Debug, thiserror::Error)]
pub enum SheetError {
    /// No sheet leaves the program without its caution.
    #[error(
        "a sheet needs the program’s caution, and none was given; this is an error of the program"
    )]
    NoCaution,
    /// No sheet for theatre is made of a foot whose side nobody knows.
    #[error(
        "the side of this foot is not known, and no sheet for theatre is made without it; say in the window \
         which foot it is"
    )]
    NoSide,
    /// The PDF cannot be written.
    #[error(
        "the sheet cannot be written as PDF: {problem}. Try other paper, or fewer measurements"
    )]
    Pdf {
        /// What the library says.
        problem: String,
    },
    /// The picture cannot be written.
    #[error(
        "the annotated picture of {width} by {height} pixels cannot be made; there may be too little memory"
    )]
    Picture {
        /// Its width in pixels.
        width: usize,
        /// Its height in pixels.
        height: usize,
    },
    /// The table cannot be written.
    #[error("the table cannot be written")]
    Table(#[from] csv::Error),
}
