//! What the number behind a check has to be.

use super::Figure;

/// What the number behind a check has to be for the check to be met.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bound {
    /// This or more.
    AtLeast(Figure),
    /// More than this.
    MoreThan(Figure),
    /// This or less.
    AtMost(Figure),
    /// From the first to the second.
    Between(Figure, Figure),
    /// No farther from zero than this, to either side.
    Within(Figure),
    /// This, as exactly as it is shown.
    About(Figure),
}

impl Bound {
    /// Whether a number lies within it; one of another kind does not.
    #[must_use]
    pub fn admits(self, figure: Figure) -> bool {
        let value = figure.number();
        let of = |limit: Figure| limit.is_like(figure).then(|| limit.number());
        match self {
            Self::AtLeast(least) => of(least).is_some_and(|least| value >= least),
            Self::MoreThan(least) => of(least).is_some_and(|least| value > least),
            Self::AtMost(most) => of(most).is_some_and(|most| value <= most),
            Self::Between(least, most) => of(least).zip(of(most)).is_some_and(|(least, most)| {
                (least - ROUNDING * least.abs()..=most + ROUNDING * most.abs()).contains(&value)
            }),
            Self::Within(most) => of(most).is_some_and(|most| value.abs() <= most),
            Self::About(wanted) => {
                of(wanted).is_some_and(|_| figure.less(wanted).abs() <= figure.as_shown())
            }
        }
    }
}

/// How far from an end of a band rounding may put a number that was typed as that end, as a share of it.
const ROUNDING: f64 = 1e-9;

impl Figure {
    /// Whether it lies below 0.
    #[must_use]
    pub fn is_negative(self) -> bool {
        self.number() < 0.0
    }

    /// The number by which two figures of one kind are compared.
    fn number(self) -> f64 {
        match self {
            Self::Count(count) => f64::from(u32::try_from(count).unwrap_or(u32::MAX)),
            Self::Length(length) => length.pixel_widths,
            Self::Degrees(number) | Self::Share(number) => number,
        }
    }

    fn is_like(self, other: Self) -> bool {
        std::mem::discriminant(&self) == std::mem::discriminant(&other)
    }

    /// How far it lies above another of its kind: of lengths as a share of the shaft's width.
    fn less(self, other: Self) -> f64 {
        match (self, other) {
            (Self::Length(one), Self::Length(other)) => one.of_width - other.of_width,
            _ => self.number() - other.number(),
        }
    }

    /// Half of the last digit that is shown of it: a tenth of a degree, a whole per cent; of lengths as a share of
    /// the shaft's width.
    const fn as_shown(self) -> f64 {
        match self {
            Self::Degrees(_) => 0.05,
            Self::Length(_) | Self::Share(_) => 0.005,
            Self::Count(_) => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_of_another_kind_lies_within_no_bound() {
        for bound in [
            Bound::AtLeast(Figure::Count(0)),
            Bound::MoreThan(Figure::Degrees(-90.0)),
            Bound::AtMost(Figure::Degrees(90.0)),
            Bound::Between(Figure::Count(0), Figure::Count(9)),
            Bound::Within(Figure::Count(9)),
            Bound::About(Figure::Degrees(0.5)),
        ] {
            assert!(!bound.admits(Figure::Share(0.5)), "{bound:?}");
        }
    }

    #[test]
    fn an_end_belongs_to_a_bound_but_to_more_than() {
        let at = Figure::Degrees(10.0);
        for (bound, admitted) in [
            (Bound::AtLeast(at), true),
            (Bound::MoreThan(at), false),
            (Bound::AtMost(at), true),
            (Bound::Between(at, Figure::Degrees(12.0)), true),
            (Bound::Within(at), true),
            (Bound::About(Figure::Degrees(10.04)), true),
            (Bound::About(Figure::Degrees(10.06)), false),
        ] {
            assert_eq!(bound.admits(at), admitted, "{bound:?}");
        }
        assert!(
            Bound::Within(at).admits(Figure::Degrees(-10.0)),
            "to either side"
        );
    }
}
