//! Why DICOM objects could not be made.

use plumbray_anatomy::View;
use plumbray_film::FilmProblem;

use crate::SheetError;

/// Why DICOM objects could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum DicomError {
    /// Nothing about a foot leaves for an archive before somebody confirmed which foot it is.
    #[error(
        "nobody confirmed which foot this is, and nothing about a foot is written for an archive before that; \
         open the study in the window, look at the side and confirm it"
    )]
    SideNotConfirmed,
    /// The file of a film says that it is the other foot, or the other view.
    #[error(
        "{what}; nothing about a foot is written against its films unheard: look at the films and their markers, and \
         correct the side or the views in the window; where the file is wrong, say that you looked, with \
         --films-looked-at or by the tick on the page of exporting"
    )]
    AgainstFilms {
        /// What is said against what.
        what: String,
    },
    /// A film is missing to which the object would refer.
    #[error(
        "the {} film of this study could not be opened, and the objects refer to it; put its file back where \
         the study expects it", view.name_in_sentence()
    )]
    NoFilm {
        /// Which film.
        view: View,
    },
    /// A film is not the file that was traced.
    #[error(
        "the {} film was changed since it was traced, so that the tracing may not lie on its bones; open the \
         study in the window, check the tracing and save it", view.name_in_sentence()
    )]
    FilmChanged {
        /// Which film.
        view: View,
    },
    /// Another picture of the file was opened than was traced.
    #[error(
        "of the {} film another picture was opened than was traced; this is an error of the program",
        view.name_in_sentence()
    )]
    OtherPicture {
        /// Which film.
        view: View,
    },
    /// The two films name different people.
    #[error(
        "the AP and the lateral film name two different patients; check that both films are of one person, and \
         make a study of each if not"
    )]
    TwoPatients,
    /// A presentation state for colour is another object.
    #[error(
        "the {} film is in colour, for which the drawing over it cannot be written; leave the drawing out, or \
         export the film in grey", view.name_in_sentence()
    )]
    ColourFilm {
        /// Which film.
        view: View,
    },
    /// There is no number to report.
    #[error("nothing was measured on these films, so there is nothing to report; trace them first")]
    NothingMeasured,
    /// A sheet was asked for, and none was given.
    #[error("the sheet was not made; this is an error of the program")]
    NoSheet,
    /// A mask lies beside the film.
    #[error(
        "a mask of {width} by {height} pixels at {left}, {top} does not lie on the film of {columns} by {rows} \
         pixels; give it as left, top, width and height in film pixels"
    )]
    MaskOffFilm {
        /// Its left edge.
        left: u32,
        /// Its upper edge.
        top: u32,
        /// Its width.
        width: u32,
        /// Its height.
        height: u32,
        /// The film's width.
        columns: usize,
        /// The film's height.
        rows: usize,
    },
    /// The film cannot be read as what is written again.
    #[error(transparent)]
    Film(#[from] FilmProblem),
    /// The annotated picture cannot be made.
    #[error(transparent)]
    Picture(#[from] SheetError),
    /// The picture cannot be read or written.
    #[error("a picture cannot be written: {0}; there may be too little memory")]
    Pixels(#[from] image::ImageError),
    /// There is no moment to write.
    #[error("the moment of the export cannot be told: {0}; set the clock of this machine")]
    Moment(#[from] jiff::Error),
    /// The object cannot be written.
    #[error("the DICOM object cannot be written: {0}; this is an error of the program")]
    Written(String),
}
