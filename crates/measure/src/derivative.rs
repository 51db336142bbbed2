//! Numbers that remember how they were made, so that their derivatives come for free.
//!
//! A worksheet follows the hand while a point is dragged, and a fitted axis depends on more than
//! three hundred coordinates. Moving each of them in turn would cost three hundred measurements;
//! walking back once along the steps of one measurement gives all derivatives at a few times its
//! cost (reverse accumulation).

use std::{
    cell::RefCell,
    collections::BTreeMap,
    ops::{Add, Div, Mul, Neg, Sub},
};

use crate::influence::Source;

/// The steps of one calculation, in the order in which they were done.
#[derive(Debug, Default)]
pub(crate) struct Tape {
    steps: RefCell<Vec<Step>>,
    inputs: RefCell<BTreeMap<InputKey, Input>>,
}

/// What a number was made from: up to two earlier numbers, with its derivative by each.
#[derive(Clone, Copy, Debug)]
struct Step {
    from: [usize; 2],
    slope: [f64; 2],
}

/// A coordinate of something that was placed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct InputKey {
    source: Source,
    coordinate: Coordinate,
}

/// Which number of a placed thing an input is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Coordinate {
    /// The x of a point, or the only number of a calibration.
    X,
    /// The y of a point.
    Y,
}

#[derive(Clone, Copy, Debug)]
struct Input {
    step: usize,
    sd: f64,
}

/// How a result answers to one input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Slope {
    /// The placed thing.
    pub(crate) source: Source,
    /// Which of its numbers.
    pub(crate) coordinate: Coordinate,
    /// Standard deviation of that number.
    pub(crate) sd: f64,
    /// The derivative of the result by it.
    pub(crate) slope: f64,
}

/// A number on a tape.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scalar<'t> {
    tape: &'t Tape,
    step: usize,
    value: f64,
}

impl Tape {
    /// A number that was placed, with its spread. Asked for again, it is the same number.
    pub(crate) fn input(
        &self,
        source: Source,
        coordinate: Coordinate,
        value: f64,
        sd: f64,
    ) -> Scalar<'_> {
        let step = self
            .inputs
            .borrow_mut()
            .entry(InputKey { source, coordinate })
            .or_insert_with(|| Input {
                step: self.append([0, 0], [0.0, 0.0]),
                sd,
            })
            .step;
        Scalar {
            tape: self,
            step,
            value,
        }
    }

    /// A number that depends on nothing that was placed.
    pub(crate) fn constant(&self, value: f64) -> Scalar<'_> {
        Scalar {
            tape: self,
            step: self.append([0, 0], [0.0, 0.0]),
            value,
        }
    }

    fn append(&self, from: [usize; 2], slope: [f64; 2]) -> usize {
        let mut steps = self.steps.borrow_mut();
        steps.push(Step { from, slope });
        steps.len() - 1
    }

    /// The derivative of `result` by every input of this tape, in the order of their sources.
    pub(crate) fn slopes(&self, result: Scalar<'_>) -> Vec<Slope> {
        let steps = self.steps.borrow();
        let mut weight = vec![0.0; steps.len()];
        if let Some(of_result) = weight.get_mut(result.step) {
            *of_result = 1.0;
        }
        for (index, step) in steps.iter().enumerate().rev() {
            let here = weight[index];
            if here != 0.0 {
                for (from, slope) in step.from.into_iter().zip(step.slope) {
                    if slope != 0.0 {
                        weight[from] += here * slope;
                    }
                }
            }
        }
        self.inputs
            .borrow()
            .iter()
            .map(|(key, input)| Slope {
                source: key.source,
                coordinate: key.coordinate,
                sd: input.sd,
                slope: weight[input.step],
            })
            .collect()
    }
}

impl<'t> Scalar<'t> {
    /// The number itself.
    pub(crate) const fn value(self) -> f64 {
        self.value
    }

    fn one(self, value: f64, slope: f64) -> Self {
        self.two(self, value, [slope, 0.0])
    }

    fn two(self, other: Self, value: f64, slope: [f64; 2]) -> Self {
        Scalar {
            tape: self.tape,
            step: self.tape.append([self.step, other.step], slope),
            value,
        }
    }

    /// The square root. The number must be above zero.
    pub(crate) fn sqrt(self) -> Self {
        let root = self.value.sqrt();
        self.one(root, 0.5 / root)
    }

    /// The angle of the vector (`x`, `self`) from the x axis, in radians from −π to π.
    pub(crate) fn atan2(self, x: Self) -> Self {
        let square = self.value * self.value + x.value * x.value;
        let slope = [x.value / square, -self.value / square];
        self.two(x, self.value.atan2(x.value), slope)
    }

    /// The sine of an angle in radians.
    pub(crate) fn sin(self) -> Self {
        self.one(self.value.sin(), self.value.cos())
    }

    /// The cosine of an angle in radians.
    pub(crate) fn cos(self) -> Self {
        self.one(self.value.cos(), -self.value.sin())
    }
}

impl Add for Scalar<'_> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        self.two(other, self.value + other.value, [1.0, 1.0])
    }
}

impl Sub for Scalar<'_> {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self.two(other, self.value - other.value, [1.0, -1.0])
    }
}

impl Mul for Scalar<'_> {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        self.two(other, self.value * other.value, [other.value, self.value])
    }
}

impl Div for Scalar<'_> {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let quotient = self.value / other.value;
        self.two(
            other,
            quotient,
            [1.0 / other.value, -quotient / other.value],
        )
    }
}

impl Neg for Scalar<'_> {
    type Output = Self;
    fn neg(self) -> Self {
        self.one(-self.value, -1.0)
    }
}

impl Add<f64> for Scalar<'_> {
    type Output = Self;
    fn add(self, constant: f64) -> Self {
        self.one(self.value + constant, 1.0)
    }
}

impl Mul<f64> for Scalar<'_> {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        self.one(self.value * factor, factor)
    }
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::{Landmark, LongBone, View};

    use super::*;

    fn at(view: View) -> Source {
        Source::Landmark(view, Landmark::BaseCentre(LongBone::M1))
    }

    fn slopes_of(
        function: impl for<'t> Fn(Scalar<'t>, Scalar<'t>) -> Scalar<'t>,
        x: f64,
        y: f64,
    ) -> [f64; 2] {
        let tape = Tape::default();
        let result = function(
            tape.input(at(View::Ap), Coordinate::X, x, 1.0),
            tape.input(at(View::Ap), Coordinate::Y, y, 1.0),
        );
        let slopes = tape.slopes(result);
        [slopes[0].slope, slopes[1].slope]
    }

    fn value_of(
        function: impl for<'t> Fn(Scalar<'t>, Scalar<'t>) -> Scalar<'t>,
        x: f64,
        y: f64,
    ) -> f64 {
        let tape = Tape::default();
        function(
            tape.input(at(View::Ap), Coordinate::X, x, 1.0),
            tape.input(at(View::Ap), Coordinate::Y, y, 1.0),
        )
        .value()
    }

    fn everything<'t>(x: Scalar<'t>, y: Scalar<'t>) -> Scalar<'t> {
        let angle = (x * y + 1.0).atan2(x - y * 3.0);
        angle.sin() * angle.cos() / (x * x + y * y).sqrt() - (-x) / (y + 2.0)
    }

    #[test]
    fn derivatives_of_every_operation_agree_with_central_differences() {
        let (x, y, step) = (1.3, 0.7, 1e-6);
        let [by_x, by_y] = slopes_of(everything, x, y);
        let central_x =
            (value_of(everything, x + step, y) - value_of(everything, x - step, y)) / (2.0 * step);
        let central_y =
            (value_of(everything, x, y + step) - value_of(everything, x, y - step)) / (2.0 * step);
        assert!((by_x - central_x).abs() < 1e-8, "by x: {by_x} {central_x}");
        assert!((by_y - central_y).abs() < 1e-8, "by y: {by_y} {central_y}");
    }

    #[test]
    fn an_input_asked_for_twice_is_one_input() {
        let tape = Tape::default();
        let once = tape.input(at(View::Ap), Coordinate::X, 3.0, 1.0);
        let again = tape.input(at(View::Ap), Coordinate::X, 3.0, 1.0);
        let slopes = tape.slopes(once * again);
        assert_eq!(slopes.len(), 1, "one input");
        assert!((slopes[0].slope - 6.0).abs() < 1e-15, "d(x²)/dx = 2x");
    }
}
