//! How wide a shaft is from cortex to cortex.

use plumbray_anatomy::{LongBone, View};

use crate::{
    axis::Shaft,
    construction::{Line, LineRole},
    derivative::Tape,
    evaluation::Finding,
    foot::Foot,
    outcome::Outcome,
    placed::{Gap, PlacedFilm},
};

/// The width of a long bone's shaft in pixel widths, from where the level at this share of the bone's
/// length (0 at the base, 1 at the tip) meets the one cortex to where it meets the other.
///
/// Times the millimetres of one pixel width it is a length, whose calibration then has to be named. The
/// reading holds the level as its drawing and the spread of the tracing. No number where the bone's
/// cortices, base or tip are missing, or where a cortex does not reach that level.
#[must_use]
pub fn shaft_width_px(foot: &Foot<'_>, view: View, bone: LongBone, share: f64) -> Outcome {
    let tape = Tape::default();
    match found(foot, view, bone, share, &tape) {
        Ok(finding) => finding.outcome(&tape),
        Err(gap) => gap.into(),
    }
}

fn found<'t>(
    foot: &Foot<'_>,
    view: View,
    bone: LongBone,
    share: f64,
    tape: &'t Tape,
) -> Result<Finding<'t>, Gap> {
    let film = PlacedFilm::of(foot, view, tape)?;
    let [one, two] = Shaft::of(&film, bone)?.crossings(film.constant(share))?;
    let mut finding = Finding::plain((two - one).length());
    finding.construction.lines.push(Line {
        role: LineRole::Level,
        from: film.on_film(one.value()),
        to: film.on_film(two.value()),
    });
    Ok(finding)
}
