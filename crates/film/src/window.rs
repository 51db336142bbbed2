//! Window and level: which film values spread from dark to bright.

use crate::film::ValueScale;

/// A linear ramp over film values: dark up to `centre − width/2`, bright from `centre + width/2`.
///
/// This is the function LINEAR_EXACT of DICOM PS3.3 C.11.2.1.3.2. The function LINEAR of
/// C.11.2.1.2 is the same ramp with half a value less centre and one value less width; see
/// [`Window::from_dicom_linear`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// The film value shown in medium grey.
    pub centre: f32,
    /// The span of film values between darkest and brightest, not negative.
    pub width: f32,
}

/// A window's ramp in the film's 16-bit codes, as a shader or a table wants it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CodeRamp {
    /// At and below this code the film is dark.
    pub low: f32,
    /// At and above this code the film is bright. Not less than `low`.
    pub high: f32,
}

impl Window {
    /// The ramp between two film values, in either order.
    #[must_use]
    pub fn between(one: f32, other: f32) -> Self {
        Self {
            centre: f32::midpoint(one, other),
            width: (other - one).abs(),
        }
    }

    /// The ramp of DICOM's function LINEAR with this Window Center and Window Width; nothing when
    /// either is not a number or the width is below 1, which the standard forbids.
    #[must_use]
    pub fn from_dicom_linear(centre: f32, width: f32) -> Option<Self> {
        (centre.is_finite() && width.is_finite() && width >= 1.0).then_some(Self {
            centre: centre - 0.5,
            width: width - 1.0,
        })
    }

    /// The ramp of DICOM's function LINEAR_EXACT; nothing when either number is not finite or the
    /// width is not above 0, which the standard forbids.
    #[must_use]
    pub fn from_dicom_linear_exact(centre: f32, width: f32) -> Option<Self> {
        (centre.is_finite() && width.is_finite() && width > 0.0).then_some(Self { centre, width })
    }

    /// The film value at and below which everything is dark.
    #[must_use]
    pub fn low(self) -> f32 {
        self.centre - self.width / 2.0
    }

    /// The film value at and above which everything is bright.
    #[must_use]
    pub fn high(self) -> f32 {
        self.centre + self.width / 2.0
    }

    /// The same ramp in codes.
    #[must_use]
    pub fn in_codes(self, scale: ValueScale) -> CodeRamp {
        CodeRamp {
            low: scale.code_of_value(self.low()),
            high: scale.code_of_value(self.high()),
        }
    }
}

impl CodeRamp {
    /// The brightness of a code, from 0 to 1. A ramp without width is a step: dark at its place,
    /// bright above.
    #[must_use]
    pub fn brightness(self, code: f32) -> f32 {
        if code <= self.low {
            0.0
        } else if code >= self.high {
            1.0
        } else {
            (code - self.low) / (self.high - self.low)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// PS3.3 C.11.2.1.2.1 as it is printed, to the output range 0 … 255.
    fn standard_linear(x: f64, centre: f32, width: f32) -> f64 {
        let (centre, width) = (f64::from(centre), f64::from(width));
        if x <= centre - 0.5 - (width - 1.0) / 2.0 {
            0.0
        } else if x > centre - 0.5 + (width - 1.0) / 2.0 {
            255.0
        } else {
            ((x - (centre - 0.5)) / (width - 1.0) + 0.5) * 255.0
        }
    }

    #[test]
    fn the_linear_function_is_the_standards() {
        for (centre, width) in [
            (2048.0, 4096.0),
            (40.0, 400.0),
            (0.0, 100.0),
            (0.0, 1.0),
            (127.5, 2.0),
        ] {
            let window =
                Window::from_dicom_linear(centre, width).expect("a window of the standard");
            let ramp = window.in_codes(ValueScale::IDENTITY);
            for x in -300_i16..4200 {
                let expected = standard_linear(f64::from(x), centre, width);
                let actual = f64::from(ramp.brightness(f32::from(x))) * 255.0;
                assert!(
                    (actual - expected).abs() < 0.01,
                    "centre {centre}, width {width}, value {x}: {actual} instead of {expected}"
                );
            }
        }
    }

    /// The worked examples under PS3.3 C.11.2.1.2.1: window centre 2048 and width 4096 become
    /// a ramp from 0 to 4095; width 1 becomes a step.
    #[test]
    fn the_standards_examples_hold() {
        let whole = Window::from_dicom_linear(2048.0, 4096.0).expect("valid");
        assert_eq!((whole.low(), whole.high()), (0.0, 4095.0), "0 … 4095");
        let hundred = Window::from_dicom_linear(0.0, 100.0).expect("valid");
        assert_eq!(
            (hundred.low(), hundred.high()),
            (-50.0, 49.0),
            "centre 0, width 100"
        );
        let step = Window::from_dicom_linear(0.0, 1.0)
            .expect("valid")
            .in_codes(ValueScale::IDENTITY);
        assert_eq!(
            (step.brightness(-0.5), step.brightness(-0.4)),
            (0.0, 1.0),
            "a step at -0.5"
        );
    }

    #[test]
    fn impossible_windows_are_refused() {
        for (centre, width) in [
            (0.0, 0.0),
            (0.0, -5.0),
            (f32::NAN, 10.0),
            (0.0, f32::NAN),
            (0.0, f32::INFINITY),
        ] {
            assert_eq!(
                Window::from_dicom_linear(centre, width),
                None,
                "LINEAR {centre}/{width}"
            );
            assert_eq!(
                Window::from_dicom_linear_exact(centre, width),
                None,
                "LINEAR_EXACT {centre}/{width}"
            );
        }
    }
}
