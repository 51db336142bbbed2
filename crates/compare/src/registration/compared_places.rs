//! Where on the earlier film the pixels of two films are compared.

use plumbray_anatomy::PhysicalPoint;

/// A strip along a bone, or along bones in one row, that surgery of the first ray leaves alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Strip {
    /// Its line, from proximal to distal on the earlier film.
    pub(super) ends: [PhysicalPoint; 2],
    /// How far it reaches behind the first end and beyond the second one, as shares of the line's length.
    pub(super) beyond: [f64; 2],
    /// How far it reaches to the clockwise and to the counter-clockwise side of the line as seen on the film,
    /// as shares of its length.
    pub(super) beside: [f64; 2],
}

/// The places of the earlier film that are compared, one for each reduced pixel. Where strips overlap a place
/// counts twice.
pub(super) fn compared_places(strips: &[Strip], step: f64) -> Vec<PhysicalPoint> {
    let mut places = Vec::new();
    for strip in strips {
        let [from, to] = strip.ends;
        let way = to - from;
        let length = way.length();
        let Some(along) = way.unit() else { continue };
        let across = along.perpendicular();
        let rows = counted((strip.beyond[0] + 1.0 + strip.beyond[1]) * length / step);
        let columns = counted((strip.beside[0] + strip.beside[1]) * length / step);
        for row in 0..rows {
            for column in 0..columns {
                let forward = f64::from(row) * step - strip.beyond[0] * length;
                let sideways = f64::from(column) * step - strip.beside[1] * length;
                places.push(from + along * forward + across * sideways);
            }
        }
    }
    places
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a few hundred steps along a bone"
)]
fn counted(steps: f64) -> u32 {
    steps.clamp(0.0, 1000.0) as u32
}
