//! What was done to a file's content on the way to a film, for the reader to know.

/// Something that the reader should know about how the film was read.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Notice {
    /// The file has colours.
    #[error("Colour was reduced to grey by luminance (0.299 red, 0.587 green, 0.114 blue).")]
    ColourReducedToGrey,
    /// The file says how transparent each pixel is.
    #[error("Transparency was left out.")]
    TransparencyLeftOut,
    /// The file holds several pictures.
    #[error("The file holds {pictures} pictures; number {number} is shown.")]
    OneOfSeveral {
        /// Which one is shown, from 1.
        number: u64,
        /// How many there are.
        pictures: u64,
    },
    /// The samples are deeper than 16 bits.
    #[error("The {bits}-bit samples were scaled to 16 bits.")]
    ScaledToSixteenBits {
        /// The depth of the file's samples.
        bits: u8,
    },
    /// Something in the header was impossible and was left out.
    #[error("{what} in the header is impossible and was left out.")]
    HeaderValueLeftOut {
        /// The attribute and its value.
        what: String,
    },
    /// The DICOM file has no file header, or contradicts it.
    #[error("The DICOM file header is missing or wrong; the content was recognised without it.")]
    DicomHeaderRecognised,
    /// The pixels went through lossy compression.
    #[error("The pixels went through lossy compression; fine detail may be lost.")]
    LossyCompression,
}
