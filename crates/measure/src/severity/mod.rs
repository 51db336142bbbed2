//! How severe a hallux valgus is, by a named set of limits, with the probability of each class.

mod scheme;

use crate::{
    catalogue::Measurement, convention::AxisConvention, normal_distribution::TWO_SIDED_95,
    outcome::Reading, own_spread::OwnSpread, worksheet::Row,
};

pub use scheme::{Class, Limit, SeverityScheme, class_of};

/// How well a reader repeats an angle: the standard deviation of one reading, beside the spread of
/// the tracing at hand.
///
/// By default the literature's; a site that has measured its own readers puts its own numbers here.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReaderError {
    /// Of the hallux valgus angle, in degrees; not negative.
    pub hallux_valgus_sd_degrees: f64,
    /// Of the 1–2 intermetatarsal angle, in degrees; not negative.
    pub intermetatarsal_sd_degrees: f64,
}

impl ReaderError {
    /// No reader's error: the spread of the tracing alone.
    pub const NONE: Self = Self {
        hallux_valgus_sd_degrees: 0.0,
        intermetatarsal_sd_degrees: 0.0,
    };

    /// Whether both are numbers from 0 upward.
    #[must_use]
    pub fn is_possible(&self) -> bool {
        [
            self.hallux_valgus_sd_degrees,
            self.intermetatarsal_sd_degrees,
        ]
        .into_iter()
        .all(|sd| sd.is_finite() && sd >= 0.0)
    }

    /// Half of the 95 % interval, in degrees, that holds the reader's error beside the spread of a tracing;
    /// nothing for what no published error is known of.
    #[must_use]
    pub fn half_width_with(&self, measurement: Measurement, sd_degrees: f64) -> Option<f64> {
        let own = match measurement {
            Measurement::HalluxValgusAngle => self.hallux_valgus_sd_degrees,
            Measurement::IntermetatarsalAngle12 => self.intermetatarsal_sd_degrees,
            _ => return None,
        };
        Some(TWO_SIDED_95 * sd_degrees.hypot(own))
    }

    /// Of the direction of one axis, in degrees: the intermetatarsal angle is that between two of them, laid
    /// independently. Ours.
    #[must_use]
    pub fn axis_sd_degrees(&self) -> f64 {
        self.intermetatarsal_sd_degrees * std::f64::consts::FRAC_1_SQRT_2
    }

    /// The same with what is known of this reader, by these axes of the first metatarsal, where that is more than what is
    /// published of others: who agrees with himself need not be right, so the published error stays the least.
    #[must_use]
    pub fn with_own(self, own: &OwnSpread, convention: AxisConvention) -> Self {
        let larger = |measurement, published: f64| {
            let known = own.sd(measurement, Some(convention));
            known.map_or(published, |known| known.max(published))
        };
        Self {
            hallux_valgus_sd_degrees: larger(
                Measurement::HalluxValgusAngle,
                self.hallux_valgus_sd_degrees,
            ),
            intermetatarsal_sd_degrees: larger(
                Measurement::IntermetatarsalAngle12,
                self.intermetatarsal_sd_degrees,
            ),
        }
    }

    /// Where the default numbers come from.
    pub const DEFAULT_SOURCE: &'static str = "Intermetatarsal angle ± 3.6° (95 %): Condon et al., Foot Ankle Int 2002;23:717–721. Hallux \
         valgus angle from 86.2 % of repeats within 5°: Coughlin, Freund, Foot Ankle Int \
         2001;22:369–379.";
}

impl Default for ReaderError {
    /// Condon 2002 for the intermetatarsal angle: 3.60° / 1.96 = 1.84°. For the hallux valgus angle
    /// 86.2 % of repeats within 5° (Coughlin and Freund 2001): the difference of two readings then
    /// has a standard deviation of 5° / 1.4833 = 3.37°, one reading 3.37° / √2 = 2.38°.
    fn default() -> Self {
        /// The normal deviate that 86.2 % lie within, on both sides.
        const TWO_SIDED_86_2: f64 = 1.483_280_127_335_621;
        Self {
            hallux_valgus_sd_degrees: 5.0 / TWO_SIDED_86_2 * std::f64::consts::FRAC_1_SQRT_2,
            intermetatarsal_sd_degrees: 3.6 / TWO_SIDED_95,
        }
    }
}

/// The verdict, or the angles that stand in its way.
#[derive(Clone, Debug, PartialEq)]
pub enum SeverityOutcome {
    /// Both angles were measured.
    Graded(Severity),
    /// The worse of two angles cannot be known from one: the rows that gave no number.
    Ungraded(Vec<Row>),
    /// The reader's error is not a pair of numbers from 0 upward.
    ImpossibleReaderError,
}

/// How severe the deformity is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Severity {
    /// By whose limits.
    pub scheme: SeverityScheme,
    /// By the hallux valgus angle alone.
    pub hallux_valgus: Graded,
    /// By the intermetatarsal angle alone.
    pub intermetatarsal: Graded,
    /// The worse of the two.
    pub class: Class,
    /// The probability that the worse of the two is each class, in the order of [`Class::ALL`]; the
    /// errors of the two angles are taken to be independent.
    pub probabilities: [f64; 4],
    /// Whether the two angles fall into different classes.
    pub disagree: bool,
    /// Whether the hallux valgus angle is below 0°: a hallux varus, whatever the class says.
    pub hallux_varus: bool,
}

/// A class that is less likely than this is not worth a word: it would read as 0 %.
const LEAST_LIKELY: f64 = 0.005;

impl Severity {
    /// The classes that are worth a word with their probabilities, the likeliest first.
    #[must_use]
    pub fn likely_classes(&self) -> Vec<(Class, f64)> {
        let mut likely: Vec<(Class, f64)> = Class::ALL
            .into_iter()
            .zip(self.probabilities)
            .filter(|(_, share)| *share >= LEAST_LIKELY)
            .collect();
        likely.sort_by(|one, other| other.1.total_cmp(&one.1));
        likely
    }

    /// Whose error the probabilities hold, and what the ± of a row holds, in a sentence or two.
    #[must_use]
    pub const fn reader_words(&self) -> &'static str {
        match (
            self.hallux_valgus.by_own_spread,
            self.intermetatarsal.by_own_spread,
        ) {
            (false, false) => {
                "The reader’s own error is included; the ± of a row holds this tracing’s spread only."
            }
            (true, true) => {
                "The ± of both angles holds the reader’s own spread. The classes hold the larger of it and the error of \
                 published readers: agreeing with oneself is not being right."
            }
            (true, false) => {
                "The ± of the hallux valgus angle holds the reader’s own spread. The classes hold the larger of it and the \
                 error of published readers, and for the intermetatarsal angle that error, which its ± does not hold."
            }
            (false, true) => {
                "The ± of the intermetatarsal angle holds the reader’s own spread. The classes hold the larger of it and \
                 the error of published readers, and for the hallux valgus angle that error, which its ± does not hold."
            }
        }
    }

    /// What the reader should know beside the class, a sentence each.
    #[must_use]
    pub fn remarks(&self) -> Vec<String> {
        let mut remarks = Vec::new();
        if self.hallux_varus {
            remarks.push("The great toe points medially: a hallux varus.".to_owned());
        }
        if self.disagree {
            remarks.push(format!(
                "The two angles disagree: {} by the hallux valgus angle, {} by the intermetatarsal \
                 angle; the worse decides.",
                self.scheme.class_name(self.hallux_valgus.class),
                self.scheme.class_name(self.intermetatarsal.class)
            ));
        }
        let likeliest = self.likely_classes().first().map(|(class, _)| *class);
        if let Some(likeliest) = likeliest.filter(|likeliest| *likeliest != self.class) {
            remarks.push(format!(
                "The angles as they were read say {}; with a reader’s error {} is likelier.",
                self.scheme.class_name(self.class),
                self.scheme.class_name(likeliest)
            ));
        }
        remarks
    }
}

/// The class by one angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Graded {
    /// The angle in degrees.
    pub degrees: f64,
    /// Its standard deviation, tracing and reader together, in degrees.
    pub sd_degrees: f64,
    /// Whether that reader's own spread is known, so that the interval of the angle holds it.
    pub by_own_spread: bool,
    /// The class that the angle itself falls into.
    pub class: Class,
    /// The probability of each class, in the order of [`Class::ALL`].
    pub probabilities: [f64; 4],
}

/// Grades the two angles among the rows of a worksheet.
pub(crate) fn grade(rows: &[Row], scheme: SeverityScheme, reader: ReaderError) -> SeverityOutcome {
    if !reader.is_possible() {
        return SeverityOutcome::ImpossibleReaderError;
    }
    let reading_of = |measurement| {
        rows.iter()
            .find(|row| row.measurement == measurement)
            .and_then(|row| row.outcome.reading())
    };
    let angles = [
        Measurement::HalluxValgusAngle,
        Measurement::IntermetatarsalAngle12,
    ];
    let [Some(by_toe), Some(by_ray)] = angles.map(reading_of) else {
        return SeverityOutcome::Ungraded(
            rows.iter()
                .filter(|row| angles.contains(&row.measurement) && row.outcome.reading().is_none())
                .cloned()
                .collect(),
        );
    };
    let toe = Graded::of(
        by_toe,
        reader.hallux_valgus_sd_degrees,
        scheme.hallux_valgus_limits(),
    );
    let ray = Graded::of(
        by_ray,
        reader.intermetatarsal_sd_degrees,
        scheme.intermetatarsal_limits(),
    );
    SeverityOutcome::Graded(Severity {
        scheme,
        hallux_valgus: toe,
        intermetatarsal: ray,
        class: toe.class.max(ray.class),
        probabilities: of_the_worse(toe.probabilities, ray.probabilities),
        disagree: toe.class != ray.class,
        hallux_varus: toe.degrees < 0.0,
    })
}

impl Graded {
    /// By what is published of readers, or by the reader's own spread where that is larger: repeating oneself is not being
    /// right, and limits are those of others' readings.
    fn of(reading: &Reading, published_sd_degrees: f64, limits: [Limit; 3]) -> Self {
        let degrees = reading.value;
        let reader_sd = reading
            .own_sd
            .map_or(published_sd_degrees, |own| own.max(published_sd_degrees));
        let sd_degrees = reading.sd.hypot(reader_sd);
        let up_to = limits.map(|limit| limit.probability_below(degrees, sd_degrees));
        Self {
            degrees,
            sd_degrees,
            by_own_spread: reading.own_sd.is_some(),
            class: class_of(degrees, limits),
            probabilities: [
                up_to[0],
                up_to[1] - up_to[0],
                up_to[2] - up_to[1],
                1.0 - up_to[2],
            ],
        }
    }
}

/// The distribution of the larger of two independent classes.
fn of_the_worse(one: [f64; 4], other: [f64; 4]) -> [f64; 4] {
    let mut worse = [0.0; 4];
    for (first, of_first) in one.into_iter().enumerate() {
        for (second, of_second) in other.into_iter().enumerate() {
            worse[first.max(second)] += of_first * of_second;
        }
    }
    worse
}
