//! Section: the engine against an exact read, and the angles asked for against the film.

use anyhow::{Context, Result};

use super::{
    Section,
    table::{Table, number},
};
use crate::{
    accuracy::Plan,
    requested::{BUILT_WITH, BUILT_WITH_LATERAL, RequestedAngle},
    statistics::Summary,
};

pub(super) fn section(plan: &Plan, angles: &[RequestedAngle], feet: usize) -> Result<Section> {
    let mut section = Section::headed("The engine, without any picture");
    let exact = angles
        .iter()
        .filter_map(|angle| Some((angle.from_above? - angle.requested).abs()))
        .fold(0.0, f64::max);
    section.text(&format!(
        "A foot is built from angles that are meant as seen from straight above. Of {feet} random feet \
(seed {}), the axes of the bones themselves, seen from above in parallel light, were given to the engine \
as drawn lines. Hallux valgus, intermetatarsal and interphalangeal angle agree with what the feet were \
built with by definition, and the engine must show it: the greatest difference is {} of a degree, the \
last digits of the arithmetic.",
        plan.seed,
        scientific(exact)
    ));
    section.text(
        "On a film the same foot shows other angles, and that is no error. The tube stands at one point, \
tilted toward the heel; bones that slope are foreshortened; and an axis on a film is laid midway between \
two *outlines*, which on a bowed or flared bone is not the axis in space. The table says how much, from \
the true outlines, in degrees: film less foot.",
    );
    let mut table = Table::new(&[
        "angle",
        "n",
        "tube upright: mean",
        "SD",
        "tube at 15°: mean",
        "SD",
        "greatest",
    ]);
    for measurement in BUILT_WITH.into_iter().chain(BUILT_WITH_LATERAL) {
        let of_kind: Vec<&RequestedAngle> = angles
            .iter()
            .filter(|angle| angle.measurement == measurement)
            .collect();
        let summary = |film: fn(&RequestedAngle) -> f64| {
            let differences: Vec<f64> = of_kind
                .iter()
                .map(|angle| film(angle) - angle.requested)
                .collect();
            Summary::of(&differences).context("no foot was measured")
        };
        let (upright, usual) = (
            summary(|angle| angle.upright)?,
            summary(|angle| angle.usual)?,
        );
        table.row([
            measurement.name().to_owned(),
            usual.count.to_string(),
            number(upright.bias, 2),
            number(upright.sd, 2),
            number(usual.bias, 2),
            number(usual.sd, 2),
            number(usual.worst, 2),
        ]);
    }
    section.text(&table.markdown());
    section.text(
        "The lateral film does not depend on the AP tube; its two pairs of columns agree. The distal \
metatarsal articular angle is built in the plane of the bone's own width, which neither view looks at \
squarely.",
    );
    Ok(section)
}

/// A tiny number as a power of ten.
fn scientific(value: f64) -> String {
    if value <= 0.0 {
        return "0".to_owned();
    }
    format!(
        "{:.0} · 10^{}",
        value / 10_f64.powf(value.log10().floor()),
        number(value.log10().floor(), 0)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tiny_numbers_are_powers_of_ten() {
        assert_eq!(scientific(2.1e-13), "2 · 10^−13", "tiny");
        assert_eq!(scientific(0.0), "0", "nothing");
    }
}
