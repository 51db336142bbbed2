//! An opened film.

use std::{fs, path::Path, sync::Arc};

use plumbray_anatomy::Proportions;

use crate::{
    GreyView, dicom,
    error::{FilmError, FilmProblem},
    facts::FilmFacts,
    grey_scale::GreyScale,
    limits,
    notice::Notice,
    overlay::Overlay,
    plain,
    pyramid::Pyramid,
};

/// Opens a film of any supported format, recognised by its content, not by its name.
///
/// Reading 12 megapixels takes a tenth of a second, JPEG 2000 one or two seconds: call it on a worker
/// thread.
///
/// # Errors
/// When the file cannot be read, is not a film, is damaged, or uses a part of its format that is not
/// supported; the message says which and what to do.
pub fn open(path: &Path) -> Result<Film, FilmError> {
    open_frame(path, 1)
}

/// Opens one picture of a film that holds several, such as a run of fluoroscopy; the first has number 1.
///
/// # Errors
/// As [`open`], and when there is no picture of that number.
pub fn open_frame(path: &Path, number: u32) -> Result<Film, FilmError> {
    read_file(path)
        .and_then(|bytes| Film::from_bytes_of_frame(&bytes, number))
        .map_err(|problem| FilmError::new(problem, path))
}

/// The bytes of a film's file, within the limit.
pub(crate) fn read_file(path: &Path) -> Result<Vec<u8>, FilmProblem> {
    let metadata = fs::metadata(path).map_err(FilmProblem::Unreadable)?;
    if !metadata.is_file() {
        return Err(FilmProblem::NotAFile);
    }
    if metadata.len() > limits::FILE_BYTES {
        return Err(FilmProblem::FileTooLarge {
            bytes: metadata.len(),
            limit: limits::FILE_BYTES,
        });
    }
    fs::read(path).map_err(FilmProblem::Unreadable)
}

/// The linear relation between a film's 16-bit codes and its film values (DICOM: the output of the
/// modality transformation).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ValueScale {
    slope: f32,
    intercept: f32,
}

impl ValueScale {
    /// Codes that are the film values themselves.
    pub const IDENTITY: Self = Self {
        slope: 1.0,
        intercept: 0.0,
    };

    /// Film value = `slope` × code + `intercept`; nothing unless the slope is above 0 and both are
    /// finite, so that a larger code is always a larger value.
    #[must_use]
    pub fn new(slope: f32, intercept: f32) -> Option<Self> {
        (slope.is_finite() && slope > 0.0 && intercept.is_finite())
            .then_some(Self { slope, intercept })
    }

    /// The film value of a code.
    #[must_use]
    pub fn value_of_code(self, code: f32) -> f32 {
        self.slope * code + self.intercept
    }

    /// The code of a film value; outside 0 to 65,535 for values that no sample has.
    #[must_use]
    pub fn code_of_value(self, value: f32) -> f32 {
        (value - self.intercept) / self.slope
    }
}

/// Which of the pictures of its file a film is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FrameOf {
    /// Its number, from 1.
    pub number: u32,
    /// How many the file holds.
    pub count: u32,
}

impl FrameOf {
    /// The only picture of its file.
    pub const ONLY: Self = Self {
        number: 1,
        count: 1,
    };
}

/// An opened film: pixels at full depth and what the file says about them. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Film(pub(crate) Arc<Content>);

/// What opening a file of any format must find out.
#[derive(Debug)]
pub(crate) struct Content {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) samples: Vec<u16>,
    pub(crate) bits: u8,
    pub(crate) grey: GreyScale,
    pub(crate) bone_is_bright: bool,
    pub(crate) facts: FilmFacts,
    pub(crate) notices: Vec<Notice>,
    pub(crate) frame: FrameOf,
    pub(crate) overlays: Vec<Overlay>,
    pub(crate) content_hash: String,
}

impl Film {
    /// Reads a film from the bytes of a file of any supported format.
    ///
    /// # Errors
    /// As [`open`], without the path.
    pub fn from_bytes(bytes: &[u8]) -> Result<Self, FilmProblem> {
        Self::from_bytes_of_frame(bytes, 1)
    }

    /// Reads one picture of a file that holds several; the first has number 1.
    ///
    /// # Errors
    /// As [`open_frame`], without the path.
    pub fn from_bytes_of_frame(bytes: &[u8], number: u32) -> Result<Self, FilmProblem> {
        if bytes.is_empty() {
            return Err(FilmProblem::Empty);
        }
        let no_such_frame = FilmProblem::NoSuchFrame {
            number: number.into(),
            frames: 1,
        };
        let mut content = match (plain::recognised(bytes), number.checked_sub(1)) {
            (Some(format), Some(0)) => plain::read(bytes, format)?,
            (None, Some(frame)) => dicom::read(bytes, frame as usize)?,
            (Some(_), Some(_)) | (_, None) => return Err(no_such_frame),
        };
        content.content_hash = blake3::hash(bytes).to_hex().to_string();
        Ok(Self(Arc::new(content)))
    }

    /// The number of columns.
    #[must_use]
    pub fn width(&self) -> usize {
        self.0.width
    }

    /// The number of rows.
    #[must_use]
    pub fn height(&self) -> usize {
        self.0.height
    }

    /// `width * height` codes, row by row from the upper left corner. A larger code is a larger film
    /// value; [`value_of_code`](Self::value_of_code) gives that value.
    #[must_use]
    pub fn samples(&self) -> &[u16] {
        &self.0.samples
    }

    /// The depth of the samples as the file stores them, in bits.
    #[must_use]
    pub fn bits(&self) -> u8 {
        self.0.bits
    }

    /// The film value of a code, as window and level are captioned.
    #[must_use]
    pub fn value_of_code(&self, code: f32) -> f32 {
        self.0.grey.scale.value_of_code(code)
    }

    /// The code of a film value.
    #[must_use]
    pub fn code_of_value(&self, value: f32) -> f32 {
        self.0.grey.scale.code_of_value(value)
    }

    /// How values become greys on the screen.
    #[must_use]
    pub fn grey(&self) -> &GreyScale {
        &self.0.grey
    }

    /// Whether bone has larger samples than soft tissue and air.
    #[must_use]
    pub fn bone_is_bright(&self) -> bool {
        self.0.bone_is_bright
    }

    /// The pixels as tracing reads them.
    #[must_use]
    pub fn grey_view(&self) -> GreyView<'_> {
        GreyView {
            width: self.width(),
            height: self.height(),
            samples: self.samples(),
            bone_is_bright: self.bone_is_bright(),
            proportions: self.proportions(),
        }
    }

    /// The shape of a pixel as the file says; square where it does not.
    #[must_use]
    pub fn proportions(&self) -> Proportions {
        self.0.facts.proportions
    }

    /// What the file says about side, view, spacing and date.
    #[must_use]
    pub fn facts(&self) -> &FilmFacts {
        &self.0.facts
    }

    /// What the reader should know about how the film was read.
    #[must_use]
    pub fn notices(&self) -> &[Notice] {
        &self.0.notices
    }

    /// Which of the pictures of its file this is.
    #[must_use]
    pub fn frame(&self) -> FrameOf {
        self.0.frame
    }

    /// The graphics that the file lays over the film.
    #[must_use]
    pub fn overlays(&self) -> &[Overlay] {
        &self.0.overlays
    }

    /// The BLAKE3 hash of the file's bytes, in hexadecimal.
    #[must_use]
    pub fn content_hash(&self) -> &str {
        &self.0.content_hash
    }

    /// The film with its reduced copies, for drawing it at any size. Takes a few milliseconds: make it
    /// once, on a worker thread.
    #[must_use]
    pub fn pyramid(&self) -> Pyramid {
        Pyramid::new(self.clone())
    }
}
