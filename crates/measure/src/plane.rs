//! Points and vectors whose coordinates remember how they were made.
//!
//! In physical proportions, y down, as [`plumbray_anatomy::PhysicalPoint`] is.

use std::ops::{Add, Mul, Neg, Sub};

use plumbray_anatomy::{PhysicalPoint, PhysicalVector};

use crate::derivative::Scalar;

/// A point in physical proportions.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Point<'t> {
    pub(crate) x: Scalar<'t>,
    pub(crate) y: Scalar<'t>,
}

/// A displacement in physical proportions.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Vector<'t> {
    pub(crate) x: Scalar<'t>,
    pub(crate) y: Scalar<'t>,
}

impl<'t> Point<'t> {
    /// Where the point is, without its history.
    pub(crate) const fn value(self) -> PhysicalPoint {
        PhysicalPoint::new(self.x.value(), self.y.value())
    }

    /// The point at the share `share` of the way to `other`.
    pub(crate) fn toward(self, other: Self, share: Scalar<'t>) -> Self {
        self + (other - self) * share
    }

    /// The point halfway to `other`.
    pub(crate) fn midpoint(self, other: Self) -> Self {
        Self {
            x: (self.x + other.x) * 0.5,
            y: (self.y + other.y) * 0.5,
        }
    }
}

impl<'t> Vector<'t> {
    /// The vector, without its history.
    pub(crate) const fn value(self) -> PhysicalVector {
        PhysicalVector::new(self.x.value(), self.y.value())
    }

    /// The scalar product.
    pub(crate) fn dot(self, other: Self) -> Scalar<'t> {
        self.x * other.x + self.y * other.y
    }

    /// The cross product; positive when `other` lies clockwise of `self` on the screen.
    pub(crate) fn cross(self, other: Self) -> Scalar<'t> {
        self.x * other.y - self.y * other.x
    }

    /// The length. It must not be zero.
    pub(crate) fn length(self) -> Scalar<'t> {
        self.dot(self).sqrt()
    }

    /// The vector turned by a quarter turn, clockwise on the screen.
    pub(crate) fn perpendicular(self) -> Self {
        Self {
            x: -self.y,
            y: self.x,
        }
    }

    /// The turn from this direction to `other` in radians from −π to π, clockwise positive.
    pub(crate) fn turn_to(self, other: Self) -> Scalar<'t> {
        self.cross(other).atan2(self.dot(other))
    }

    /// This vector or its opposite, whichever does not point against `guide`.
    pub(crate) fn along(self, guide: PhysicalVector) -> Self {
        if self.value().dot(guide) < 0.0 {
            -self
        } else {
            self
        }
    }
}

impl<'t> Sub for Point<'t> {
    type Output = Vector<'t>;
    fn sub(self, other: Self) -> Vector<'t> {
        Vector {
            x: self.x - other.x,
            y: self.y - other.y,
        }
    }
}

impl<'t> Add<Vector<'t>> for Point<'t> {
    type Output = Self;
    fn add(self, step: Vector<'t>) -> Self {
        Self {
            x: self.x + step.x,
            y: self.y + step.y,
        }
    }
}

impl<'t> Mul<Scalar<'t>> for Vector<'t> {
    type Output = Self;
    fn mul(self, factor: Scalar<'t>) -> Self {
        Self {
            x: self.x * factor,
            y: self.y * factor,
        }
    }
}

impl Neg for Vector<'_> {
    type Output = Self;
    fn neg(self) -> Self {
        Self {
            x: -self.x,
            y: -self.y,
        }
    }
}
