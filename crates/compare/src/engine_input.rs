//! A study as the measurement engine takes it.

use plumbray_anatomy::{Calibration, Tracing, View};
use plumbray_measure::{AxisConvention, AxisLevels, Choices, Foot, SeverityScheme, TracedFilm};
use plumbray_study::Study;

/// A study's foot as the engine takes it.
#[must_use]
pub fn foot_of(study: &Study) -> Foot<'_> {
    foot_with(study, &study.tracing)
}

/// The same with another tracing of the same films.
#[must_use]
pub fn foot_with<'a>(study: &'a Study, tracing: &'a Tracing) -> Foot<'a> {
    let film = |view: View| {
        let record = study.film(view)?;
        let calibration = record.calibration.as_ref();
        Some(TracedFilm {
            tracing: tracing.on(view),
            proportions: calibration.map_or(record.proportions, Calibration::proportions),
            calibration,
        })
    };
    Foot {
        ap: film(View::Ap),
        lateral: film(View::Lateral),
        operated: study.visit.operated,
    }
}

/// A study's choices as the engine takes them; a name that this program does not know stands for
/// the default.
#[must_use]
pub fn choices_of(study: &Study) -> Choices {
    let convention = study.choices.axis_convention.as_deref();
    let scheme = study.choices.severity_scheme.as_deref();
    Choices {
        convention: convention.and_then(AxisConvention::from_identifier),
        levels_mm: study
            .choices
            .axis_levels
            .map_or_else(AxisLevels::default, |levels| AxisLevels {
                metatarsal_mm: levels.metatarsal_mm,
                proximal_phalanx_mm: levels.proximal_phalanx_mm,
                distal_phalanx_mm: levels.distal_phalanx_mm,
            }),
        severity: scheme
            .and_then(SeverityScheme::from_identifier)
            .unwrap_or_default(),
        ..Choices::default()
    }
}
