//! Between a picture in millimetres and the film that it was taken from.

use plumbray_anatomy::{PhysicalPoint, Similarity};

/// A place of a picture, the place on the film that belongs to it, and how much the two count.
pub(crate) type PicturePair = ([f64; 2], PhysicalPoint, f64);

/// A map from millimetres of a picture, counted from its middle, to places on a film in pixel widths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct PictureMap(Similarity);

impl PictureMap {
    /// The picture's middle, the film's pixel widths to its millimetre, and how far it is turned (radians,
    /// from x to y).
    pub(crate) fn new(middle: PhysicalPoint, scale: f64, turn: f64, mirrored: bool) -> Self {
        Self(Similarity::new(middle, scale, turn, mirrored))
    }

    /// Whether the picture is mirrored before it is turned.
    pub(crate) const fn is_mirrored(&self) -> bool {
        self.0.is_mirrored()
    }

    /// Where the picture's middle lies.
    pub(crate) const fn middle(&self) -> PhysicalPoint {
        self.0.origin()
    }

    /// Pixel widths of the film to a millimetre of the picture.
    pub(crate) fn scale(&self) -> f64 {
        self.0.scale()
    }

    /// How far the picture is turned on the film, in radians.
    pub(crate) fn turn(&self) -> f64 {
        self.0.turn()
    }

    /// The place on the film of a place on the picture.
    pub(crate) fn film(&self, [x, y]: [f64; 2]) -> PhysicalPoint {
        self.0.of(PhysicalPoint::new(x, y))
    }

    /// The place on the picture of a place on the film.
    pub(crate) fn picture(&self, point: PhysicalPoint) -> [f64; 2] {
        let place = self.0.back(point);
        [place.x, place.y]
    }

    /// The map that brings weighted places of a picture closest to places on a film, by least squares.
    /// Nothing when they are too few, or all in one place.
    pub(crate) fn fitted(pairs: &[PicturePair], mirrored: bool) -> Option<Self> {
        let pairs: Vec<_> = pairs
            .iter()
            .map(|([x, y], film, weight)| (PhysicalPoint::new(*x, *y), *film, *weight))
            .collect();
        Similarity::fitted(&pairs, mirrored).map(Self)
    }
}
