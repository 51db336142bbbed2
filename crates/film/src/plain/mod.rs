//! Films that come as plain pictures: PNG, TIFF, JPEG and BMP.

mod picture;
mod tagged;

use crate::{
    appearance,
    error::FilmProblem,
    facts::FilmFacts,
    film::{Content, FrameOf, ValueScale},
    grey_scale::GreyScale,
    notice::Notice,
};

/// A format of plain pictures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum PictureFormat {
    Png,
    Jpeg,
    Bmp,
    Tiff,
}

impl PictureFormat {
    const fn name(self) -> &'static str {
        match self {
            Self::Png => "PNG",
            Self::Jpeg => "JPEG",
            Self::Bmp => "BMP",
            Self::Tiff => "TIFF",
        }
    }
}

/// The format whose signature the file starts with.
pub(crate) fn recognised(bytes: &[u8]) -> Option<PictureFormat> {
    const SIGNATURES: [(&[u8], PictureFormat); 7] = [
        (b"\x89PNG\r\n\x1a\n", PictureFormat::Png),
        (b"\xff\xd8\xff", PictureFormat::Jpeg),
        (b"BM", PictureFormat::Bmp),
        (b"II*\0", PictureFormat::Tiff),
        (b"MM\0*", PictureFormat::Tiff),
        (b"II+\0", PictureFormat::Tiff),
        (b"MM\0+", PictureFormat::Tiff),
    ];
    // A DICOM file may carry any signature in its preamble, the 128 bytes before its own.
    if bytes.get(128..132) == Some(b"DICM") {
        return None;
    }
    SIGNATURES
        .into_iter()
        .find(|(signature, _)| bytes.starts_with(signature))
        .map(|(_, format)| format)
}

/// The grey samples of a plain picture.
struct GreySamples {
    width: usize,
    height: usize,
    samples: Vec<u16>,
    bits: u8,
    scale: ValueScale,
    notices: Vec<Notice>,
}

/// Reads a plain picture; its window and whether bone is bright are judged from the pixels.
pub(crate) fn read(bytes: &[u8], format: PictureFormat) -> Result<Content, FilmProblem> {
    let grey = match format {
        PictureFormat::Tiff => tagged::read(bytes)?,
        PictureFormat::Png | PictureFormat::Jpeg | PictureFormat::Bmp => {
            picture::read(bytes, format)?
        }
    };
    let appearance = appearance::judge(&grey.samples, grey.width, grey.height, None, grey.scale);
    Ok(Content {
        width: grey.width,
        height: grey.height,
        bone_is_bright: appearance.bone_is_bright,
        grey: GreyScale {
            windows: vec![appearance.window],
            shown_inverted: false,
            padding: None,
            scale: grey.scale,
        },
        samples: grey.samples,
        bits: grey.bits,
        facts: FilmFacts::default(),
        notices: grey.notices,
        frame: FrameOf::ONLY,
        overlays: Vec::new(),
        content_hash: String::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_format_is_recognised_by_its_content() {
        assert_eq!(
            recognised(b"\x89PNG\r\n\x1a\n..."),
            Some(PictureFormat::Png),
            "PNG"
        );
        assert_eq!(recognised(b"MM\0*"), Some(PictureFormat::Tiff), "TIFF");
        assert_eq!(recognised(b"once upon a time"), None, "prose");
    }

    #[test]
    fn a_dicom_file_with_a_tiff_signature_in_its_preamble_is_dicom() {
        let mut bytes = vec![0; 132];
        bytes[..4].copy_from_slice(b"II*\0");
        bytes[128..].copy_from_slice(b"DICM");
        assert_eq!(recognised(&bytes), None, "dual personality");
    }
}
