//! All measurements of a foot at once, and one of them by itself.

use plumbray_anatomy::{Landmark, LongBone, Sesamoid};

use crate::{
    ap_angles, borders,
    catalogue::Measurement,
    congruency,
    convention::{AxisConvention, AxisLevels},
    derivative::Tape,
    evaluation::{Evaluation, Finding},
    foot::{Choices, Foot},
    fragment, joints, lateral_forefoot, lateral_view, lengths, lesser_tarsus,
    outcome::Outcome,
    parabola,
    placed::Gap,
    sesamoids::{self, Scale},
    severity::{self, SeverityOutcome},
};

/// All measurements of a foot.
#[derive(Clone, Debug, PartialEq)]
pub struct Worksheet {
    /// A row for every measurement, in the order of [`Measurement::ALL`].
    pub rows: Vec<Row>,
    /// How severe the deformity is.
    pub severity: SeverityOutcome,
}

/// One measurement of a worksheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// What was measured.
    pub measurement: Measurement,
    /// What it came to.
    pub outcome: Outcome,
}

impl Worksheet {
    /// What a measurement came to.
    #[must_use]
    pub fn outcome(&self, measurement: Measurement) -> Option<&Outcome> {
        self.rows
            .iter()
            .find(|row| row.measurement == measurement)
            .map(|row| &row.outcome)
    }
}

/// Every measurement of a foot, by the convention that was chosen or else the visit's default.
#[must_use]
pub fn worksheet(foot: &Foot<'_>, choices: &Choices) -> Worksheet {
    let row = |measurement| Row {
        measurement,
        outcome: measure(foot, choices, measurement),
    };
    let rows: Vec<Row> = Measurement::ALL.into_iter().map(row).collect();
    let severity = severity::grade(&rows, choices.severity, choices.reader_error);
    Worksheet { rows, severity }
}

/// One measurement of a foot.
#[must_use]
pub fn measure(foot: &Foot<'_>, choices: &Choices, measurement: Measurement) -> Outcome {
    let convention = choices.convention.unwrap_or(foot.default_convention());
    measure_by(foot, choices, measurement, convention)
}

/// One measurement by every convention that can change it; empty where no axis takes part.
#[must_use]
pub fn all_conventions(
    foot: &Foot<'_>,
    choices: &Choices,
    measurement: Measurement,
) -> Vec<(AxisConvention, Outcome)> {
    measurement
        .conventions()
        .iter()
        .map(|convention| {
            let outcome = measure_by(foot, choices, measurement, *convention);
            (*convention, outcome)
        })
        .collect()
}

/// The least and the greatest value that the published range of levels allows: by
/// [`AxisConvention::MidDiaphysealMm`] with the levels moved together, in nine equal steps, from 10 to
/// 20 mm in a metatarsal, 5 to 10 mm in the proximal and 4 to 8 mm in the distal phalanx.
///
/// Nothing where no level is used or no step gives a number, as on a film without calibration.
#[must_use]
pub fn level_freedom(
    foot: &Foot<'_>,
    choices: &Choices,
    measurement: Measurement,
) -> Option<(f64, f64)> {
    const STEPS: u32 = 8;
    let convention = AxisConvention::MidDiaphysealMm;
    if !measurement.conventions().contains(&convention) {
        return None;
    }
    (0..=STEPS)
        .filter_map(|step| {
            let share = f64::from(step) / f64::from(STEPS);
            let choices = Choices {
                levels_mm: AxisLevels::within_the_ranges_in_use(share),
                ..*choices
            };
            let outcome = measure_by(foot, &choices, measurement, convention);
            outcome.reading().map(|reading| reading.value)
        })
        .fold(None, |range, value| {
            let (least, greatest) = range.unwrap_or((value, value));
            Some((f64::min(least, value), f64::max(greatest, value)))
        })
}

fn measure_by(
    foot: &Foot<'_>,
    choices: &Choices,
    measurement: Measurement,
    convention: AxisConvention,
) -> Outcome {
    let tape = Tape::default();
    let evaluation = Evaluation::new(foot, choices, convention, &tape);
    match find(&evaluation, measurement) {
        Ok(finding) => finding
            .by_reader(&choices.own_spread, measurement)
            .outcome(&tape),
        Err(gap) => gap.into(),
    }
}

fn find<'t>(evaluation: &Evaluation<'_, 't>, measurement: Measurement) -> Result<Finding<'t>, Gap> {
    use Landmark::Tip;
    use LongBone::{DistalPhalanx, M1, M2, M3, M4, M5, ProximalPhalanx};
    use Measurement as Of;
    let beyond = |place, other| lengths::beyond_along_second(evaluation, [place, other]);
    match measurement {
        Of::HalluxValgusAngle => ap_angles::between_bones(evaluation, M1, ProximalPhalanx),
        Of::IntermetatarsalAngle12 => ap_angles::between_bones(evaluation, M1, M2),
        Of::DistalMetatarsalArticularAngle => joints::distal_metatarsal_articular(evaluation),
        Of::HalluxInterphalangealAngle => {
            ap_angles::between_bones(evaluation, ProximalPhalanx, DistalPhalanx)
        }
        Of::TibialSesamoidPosition => sesamoids::tibial_share(evaluation, Scale::Position),
        Of::TibialSesamoidGrade => sesamoids::tibial_share(evaluation, Scale::Grade),
        Of::TibialSesamoidShare => sesamoids::tibial_share(evaluation, Scale::PerCent),
        Of::M1Length => lengths::of_metatarsal(evaluation, M1),
        Of::M2Length => lengths::of_metatarsal(evaluation, M2),
        Of::M3Length => lengths::of_metatarsal(evaluation, M3),
        Of::M4Length => lengths::of_metatarsal(evaluation, M4),
        Of::M5Length => lengths::of_metatarsal(evaluation, M5),
        Of::LengthRatioM1M2 => lengths::ratio_to_second(evaluation, M1),
        Of::LengthRatioM3M2 => lengths::ratio_to_second(evaluation, M3),
        Of::LengthRatioM4M2 => lengths::ratio_to_second(evaluation, M4),
        Of::LengthRatioM5M2 => lengths::ratio_to_second(evaluation, M5),
        Of::RelativeFirstMetatarsalLength => beyond(Tip(M1), Tip(M2)),
        Of::RelativeFirstMetatarsalLengthRatio => lengths::relative_first_ratio(evaluation),
        Of::TaloFirstMetatarsalAngle => lateral_view::talo_first_metatarsal(evaluation),
        Of::CalcanealInclinationAngle => lateral_view::calcaneal_inclination(evaluation),
        Of::FirstMetatarsalInclinationAngle => {
            lateral_view::first_metatarsal_inclination(evaluation)
        }
        Of::ProximalPhalangealArticularAngle => joints::proximal_phalangeal_articular(evaluation),
        Of::FirstMetatarsophalangealAngle => joints::first_metatarsophalangeal(evaluation),
        Of::CongruencyIndex => congruency::congruency_index(evaluation),
        Of::ProximalDistalPhalangealArticularAngle => {
            joints::proximal_distal_phalangeal_articular(evaluation)
        }
        Of::FirstTarsometatarsalAngle => joints::first_tarsometatarsal(evaluation, M2),
        Of::FirstTarsometatarsalAngleOwn => joints::first_tarsometatarsal(evaluation, M1),
        Of::FibularSesamoidShare => borders::fibular_share(evaluation, Scale::PerCent),
        Of::FibularSesamoidGrade => borders::fibular_share(evaluation, Scale::Grade),
        Of::M1ReachByArcs => parabola::by_arcs(evaluation, M1),
        Of::M3ReachByArcs => parabola::by_arcs(evaluation, M3),
        Of::M4ReachByArcs => parabola::by_arcs(evaluation, M4),
        Of::M5ReachByArcs => parabola::by_arcs(evaluation, M5),
        Of::M2M3Step => beyond(Tip(M2), Tip(M3)),
        Of::M3M4Step => beyond(Tip(M3), Tip(M4)),
        Of::M4M5Step => beyond(Tip(M4), Tip(M5)),
        Of::SesamoidLineAtM4 => beyond(
            Landmark::SesamoidCentre(Sesamoid::Fibular),
            Landmark::FourthHeadCentre,
        ),
        Of::IntermetatarsalAngle15 => ap_angles::between_bones(evaluation, M1, M5),
        Of::IntermetatarsalAngle45 => ap_angles::between_bones(evaluation, M4, M5),
        Of::MetatarsusAdductusAngle => lesser_tarsus::metatarsus_adductus(evaluation, M4),
        Of::MetatarsusAdductusAngleModified => lesser_tarsus::metatarsus_adductus(evaluation, M5),
        Of::SecondMetatarsalCuneiformAngle => lesser_tarsus::cuneiform_to_second(evaluation),
        Of::MedialEminence => borders::medial_eminence(evaluation),
        Of::ForefootWidth => borders::forefoot_width(evaluation),
        Of::LateralTalocalcanealAngle => lateral_forefoot::talocalcaneal(evaluation),
        Of::SagittalIntermetatarsalAngle => lateral_forefoot::sagittal_intermetatarsal(evaluation),
        Of::FirstMetatarsalElevation => lateral_forefoot::first_metatarsal_elevation(evaluation),
        Of::FirstMetatarsalElevationGain => {
            lateral_forefoot::first_metatarsal_elevation_gain(evaluation)
        }
        Of::MedialCuneiformHeight => lateral_forefoot::medial_cuneiform_height(evaluation),
        Of::FragmentShift => fragment::dorsal_shift(evaluation),
        Of::FragmentShiftRatio => fragment::dorsal_shift_ratio(evaluation),
        Of::FragmentTilt => fragment::plantar_tilt(evaluation),
    }
}
