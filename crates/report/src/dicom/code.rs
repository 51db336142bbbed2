//! Coded concepts (PS3.3 8.8): those of the standard's vocabularies that are used here, and our own.
//!
//! A code of a vocabulary stands here only where its meaning was read in the standard's context groups, as pydicom
//! 3.0.2 publishes them; `tests/outside/dicom/vocabulary.py` checks each against them. What has no such code has one of
//! our own scheme, whose values are the program's identifiers and whose meanings are its names.

use std::borrow::Cow;

use dicom_core::VR;
use dicom_dictionary_std::tags;
use dicom_object::{InMemDicomObject, mem::InMemElement};

use super::elements::{item, text};

/// The designator of our own coding scheme.
pub const OWN_SCHEME: &str = "99PLUMBRAY";

/// A code value longer than this needs the attribute for long ones (PS3.3 8.1).
const LONGEST_SHORT_VALUE: usize = 16;

/// A coded concept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Code {
    value: Cow<'static, str>,
    scheme: &'static str,
    meaning: Cow<'static, str>,
}

impl Code {
    const fn of(value: &'static str, scheme: &'static str, meaning: &'static str) -> Self {
        Self {
            value: Cow::Borrowed(value),
            scheme,
            meaning: Cow::Borrowed(meaning),
        }
    }

    /// A concept of our own scheme.
    pub(crate) fn own(
        value: impl Into<Cow<'static, str>>,
        meaning: impl Into<Cow<'static, str>>,
    ) -> Self {
        Self {
            value: value.into(),
            scheme: OWN_SCHEME,
            meaning: meaning.into(),
        }
    }

    /// The code's value.
    #[must_use]
    pub fn value(&self) -> &str {
        &self.value
    }

    /// The designator of its scheme.
    #[must_use]
    pub const fn scheme(&self) -> &'static str {
        self.scheme
    }

    /// What it means, in words.
    #[must_use]
    pub fn meaning(&self) -> &str {
        &self.meaning
    }

    pub(crate) fn item(&self) -> InMemDicomObject {
        item(self.elements())
    }

    fn elements(&self) -> [InMemElement; 3] {
        let value = if self.value.len() > LONGEST_SHORT_VALUE {
            text(tags::LONG_CODE_VALUE, VR::UC, self.value.clone())
        } else {
            text(tags::CODE_VALUE, VR::SH, self.value.clone())
        };
        [
            value,
            text(tags::CODING_SCHEME_DESIGNATOR, VR::SH, self.scheme),
            text(tags::CODE_MEANING, VR::LO, self.meaning.clone()),
        ]
    }
}

macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident = $value:literal, $scheme:literal, $meaning:literal;)*) => {
        $($(#[$doc])* pub(crate) const $name: Code = Code::of($value, $scheme, $meaning);)*

        /// Every code of the standard's vocabularies that objects may hold.
        pub const STANDARD_CODES: &[Code] = &[$($name),*];
    };
}

codes! {
    IMAGING_MEASUREMENT_REPORT = "126000", "DCM", "Imaging Measurement Report";
    LANGUAGE = "121049", "DCM", "Language of Content Item and Descendants";
    ENGLISH = "en", "RFC5646", "English";
    OBSERVER_TYPE = "121005", "DCM", "Observer Type";
    PERSON = "121006", "DCM", "Person";
    DEVICE = "121007", "DCM", "Device";
    PERSON_OBSERVER_NAME = "121008", "DCM", "Person Observer Name";
    DEVICE_OBSERVER_UID = "121012", "DCM", "Device Observer UID";
    DEVICE_OBSERVER_NAME = "121013", "DCM", "Device Observer Name";
    DEVICE_OBSERVER_MANUFACTURER = "121014", "DCM", "Device Observer Manufacturer";
    DEVICE_OBSERVER_MODEL = "121015", "DCM", "Device Observer Model Name";
    PROCEDURE_REPORTED = "121058", "DCM", "Procedure reported";
    RADIOGRAPHY = "43468-8", "LN", "XR unspecified body region";
    IMAGE_LIBRARY = "111028", "DCM", "Image Library";
    IMAGE_LIBRARY_GROUP = "126200", "DCM", "Image Library Group";
    MODALITY = "121139", "DCM", "Modality";
    COMPUTED_RADIOGRAPHY = "CR", "DCM", "Computed Radiography";
    DIGITAL_RADIOGRAPHY = "DX", "DCM", "Digital Radiography";
    RADIOFLUOROSCOPY = "RF", "DCM", "Radiofluoroscopy";
    X_RAY_ANGIOGRAPHY = "XA", "DCM", "X-Ray Angiography";
    OTHER_MODALITY = "OT", "DCM", "Other";
    IMAGE_LATERALITY = "111027", "DCM", "Image Laterality";
    IMAGE_VIEW = "111031", "DCM", "Image View";
    DORSOPLANTAR = "399335002", "SCT", "dorsoplantar";
    LATERAL_VIEW = "399067008", "SCT", "lateral";
    IMAGING_MEASUREMENTS = "126010", "DCM", "Imaging Measurements";
    MEASUREMENT_GROUP = "125007", "DCM", "Measurement Group";
    TRACKING_IDENTIFIER = "112039", "DCM", "Tracking Identifier";
    TRACKING_UNIQUE_IDENTIFIER = "112040", "DCM", "Tracking Unique Identifier";
    FINDING_SITE = "363698007", "SCT", "Finding Site";
    FOOT = "56459004", "SCT", "Foot";
    LATERALITY = "272741003", "SCT", "Laterality";
    LEFT = "7771000", "SCT", "Left";
    RIGHT = "24028007", "SCT", "Right";
    MEASUREMENT_METHOD = "370129005", "SCT", "Measurement Method";
    STANDARD_DEVIATION = "386136009", "SCT", "Standard Deviation";
    ARM_OF_ANGLE = "121223", "DCM", "Arm of angle";
    SOURCE_OF_MEASUREMENT = "121112", "DCM", "Source of Measurement";
    COMMENT = "121106", "DCM", "Comment";
    NORMAL = "17621005", "SCT", "Normal";
    MILD = "255604002", "SCT", "Mild";
    MODERATE = "6736007", "SCT", "Moderate";
    SEVERE = "24484000", "SCT", "Severe";
    DEGREE = "deg", "UCUM", "degree";
    MILLIMETRE = "mm", "UCUM", "millimeter";
    PER_CENT = "%", "UCUM", "percent";
    NO_UNITS = "1", "UCUM", "no units";
    PIXELS = "{pixels}", "UCUM", "pixels";
    PIXEL_DATA_ROWS = "110910", "DCM", "Pixel Data Rows";
    PIXEL_DATA_COLUMNS = "110911", "DCM", "Pixel Data Columns";
    SOURCE_IMAGE = "121322", "DCM", "Source image for image processing operation";
    BASIC_PROFILE = "113100", "DCM", "Basic Application Confidentiality Profile";
    CLEAN_PIXEL_DATA = "113101", "DCM", "Clean Pixel Data Option";
    CLEAN_GRAPHICS = "113103", "DCM", "Clean Graphics Option";
    CLEAN_STRUCTURED_CONTENT = "113104", "DCM", "Clean Structured Content Option";
}
