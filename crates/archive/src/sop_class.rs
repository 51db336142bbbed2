//! The kinds of objects that are exchanged, and how they may be written. Names and identifiers are those of
//! PS3.6 table A-1.

use dicom_dictionary_std::uids;

/// A storage SOP class that is sent and received.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct StorageClass {
    pub(crate) uid: &'static str,
    /// Its name in the standard.
    pub(crate) name: &'static str,
    /// Whether its objects have pixels, which may be compressed.
    pub(crate) has_pixels: bool,
}

/// A transfer syntax that is sent and received as it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct TransferSyntax {
    pub(crate) uid: &'static str,
    /// Its name in the standard.
    pub(crate) name: &'static str,
}

const fn image(uid: &'static str, name: &'static str) -> StorageClass {
    StorageClass {
        uid,
        name,
        has_pixels: true,
    }
}

const fn document(uid: &'static str, name: &'static str) -> StorageClass {
    StorageClass {
        uid,
        name,
        has_pixels: false,
    }
}

/// What is exchanged: projection radiography, reports, presentation states and documents.
pub(crate) const STORAGE_CLASSES: [StorageClass; 11] = [
    image(
        uids::COMPUTED_RADIOGRAPHY_IMAGE_STORAGE,
        "Computed Radiography Image Storage",
    ),
    image(
        uids::DIGITAL_X_RAY_IMAGE_STORAGE_FOR_PRESENTATION,
        "Digital X-Ray Image Storage - For Presentation",
    ),
    image(
        uids::DIGITAL_X_RAY_IMAGE_STORAGE_FOR_PROCESSING,
        "Digital X-Ray Image Storage - For Processing",
    ),
    image(
        uids::X_RAY_RADIOFLUOROSCOPIC_IMAGE_STORAGE,
        "X-Ray Radiofluoroscopic Image Storage",
    ),
    image(
        uids::X_RAY_ANGIOGRAPHIC_IMAGE_STORAGE,
        "X-Ray Angiographic Image Storage",
    ),
    image(
        uids::SECONDARY_CAPTURE_IMAGE_STORAGE,
        "Secondary Capture Image Storage",
    ),
    document(uids::BASIC_TEXT_SR_STORAGE, "Basic Text SR Storage"),
    document(uids::ENHANCED_SR_STORAGE, "Enhanced SR Storage"),
    document(uids::COMPREHENSIVE_SR_STORAGE, "Comprehensive SR Storage"),
    document(
        uids::GRAYSCALE_SOFTCOPY_PRESENTATION_STATE_STORAGE,
        "Grayscale Softcopy Presentation State Storage",
    ),
    document(uids::ENCAPSULATED_PDF_STORAGE, "Encapsulated PDF Storage"),
];

/// The uncompressed transfer syntaxes, the better first: explicit ones say what each element is.
pub(crate) const UNCOMPRESSED: [TransferSyntax; 2] = [
    TransferSyntax {
        uid: uids::EXPLICIT_VR_LITTLE_ENDIAN,
        name: "Explicit VR Little Endian",
    },
    TransferSyntax {
        uid: uids::IMPLICIT_VR_LITTLE_ENDIAN,
        name: "Implicit VR Little Endian",
    },
];

/// Compressed transfer syntaxes of pixels, which are passed on without being decoded.
pub(crate) const COMPRESSED: [TransferSyntax; 15] = [
    compressed("1.2.840.10008.1.2.4.50", "JPEG Baseline (Process 1)"),
    compressed("1.2.840.10008.1.2.4.51", "JPEG Extended (Process 2 & 4)"),
    compressed(
        "1.2.840.10008.1.2.4.57",
        "JPEG Lossless, Non-Hierarchical (Process 14)",
    ),
    compressed(
        "1.2.840.10008.1.2.4.70",
        "JPEG Lossless, First-Order Prediction",
    ),
    compressed("1.2.840.10008.1.2.4.80", "JPEG-LS Lossless"),
    compressed("1.2.840.10008.1.2.4.81", "JPEG-LS Near-Lossless"),
    compressed("1.2.840.10008.1.2.4.90", "JPEG 2000 (Lossless Only)"),
    compressed("1.2.840.10008.1.2.4.91", "JPEG 2000"),
    compressed("1.2.840.10008.1.2.4.110", "JPEG XL Lossless"),
    compressed("1.2.840.10008.1.2.4.111", "JPEG XL JPEG Recompression"),
    compressed("1.2.840.10008.1.2.4.112", "JPEG XL"),
    compressed(
        "1.2.840.10008.1.2.4.201",
        "High-Throughput JPEG 2000 (Lossless Only)",
    ),
    compressed(
        "1.2.840.10008.1.2.4.202",
        "High-Throughput JPEG 2000 with RPCL (Lossless Only)",
    ),
    compressed("1.2.840.10008.1.2.4.203", "High-Throughput JPEG 2000"),
    compressed("1.2.840.10008.1.2.5", "RLE Lossless"),
];

const fn compressed(uid: &'static str, name: &'static str) -> TransferSyntax {
    TransferSyntax { uid, name }
}

/// Whether objects of this class are exchanged.
pub(crate) fn is_stored_class(uid: &str) -> bool {
    STORAGE_CLASSES.iter().any(|class| class.uid == uid)
}

/// Whether objects written in this way are received.
pub(crate) fn is_known_syntax(uid: &str) -> bool {
    UNCOMPRESSED
        .iter()
        .chain(&COMPRESSED)
        .any(|syntax| syntax.uid == uid)
}

/// The name of a storage class in the standard (PS3.6 table A-1), or its identifier where objects of it are neither
/// sent nor received.
#[must_use]
pub fn class_name(uid: &str) -> String {
    STORAGE_CLASSES
        .iter()
        .find(|class| class.uid == uid)
        .map_or_else(|| uid.to_owned(), |class| class.name.to_owned())
}

/// The name of a transfer syntax in the standard, or its identifier.
pub(crate) fn transfer_syntax_name(uid: &str) -> String {
    UNCOMPRESSED
        .iter()
        .chain(&COMPRESSED)
        .find(|syntax| syntax.uid == uid)
        .map_or_else(|| uid.to_owned(), |syntax| syntax.name.to_owned())
}
