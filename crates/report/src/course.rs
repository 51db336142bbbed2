//! An angle over the visits of a foot: what a plot of it shows, and the plots as a picture.

use crate::{
    error::SheetError,
    layout::{Block, TextStyle, course_block},
    mark::Ink,
    raster::{Canvas, whole_pixels},
    typeface::Weight,
};

/// Width of a picture in pixels, and in units: a unit is a point on paper.
const WIDTH_PX: usize = 1600;
const WIDTH: f64 = 480.0;
/// White space around everything, in units.
const PADDING: f64 = 14.0;

/// One number over the visits of a foot.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// Which angle: "Hallux valgus angle".
    pub name: String,
    /// What the places of the points count: "months after surgery".
    pub horizontal: String,
    /// Its usual range, where it has one.
    pub usual: Option<(f64, f64)>,
    /// The numbers, in the order of the visits.
    pub points: Vec<CoursePoint>,
}

/// A number at one visit.
#[derive(Clone, Debug, PartialEq)]
pub struct CoursePoint {
    /// When, in what [`Course::horizontal`] counts.
    pub at: f64,
    /// The short name of the visit.
    pub visit: String,
    /// The number.
    pub value: f64,
    /// Half of its 95 % interval: spread of the tracing and of the film.
    pub half_interval: f64,
}

/// The scale of a course, from its lowest to its highest line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CourseScale {
    /// The lowest line.
    pub low: f64,
    /// The highest line.
    pub high: f64,
    /// What lies between two lines.
    pub step: f64,
}

impl Course {
    /// What stands above it.
    #[must_use]
    pub fn heading(&self) -> String {
        let usual = if self.usual.is_some() {
            "; shaded: usual"
        } else {
            ""
        };
        format!("{}, degrees, with its 95 % interval{usual}", self.name)
    }

    /// The scale that holds every interval, the usual range and zero, in steps of 5 or 10.
    #[must_use]
    pub fn scale(&self) -> CourseScale {
        let ends = self.points.iter().flat_map(|point| {
            [
                point.value - point.half_interval,
                point.value + point.half_interval,
            ]
        });
        let usual = self.usual.into_iter().flat_map(|(low, high)| [low, high]);
        let (low, high) = ends
            .chain(usual)
            .filter(|end| end.is_finite())
            .fold((0.0, 5.0), |(low, high): (f64, f64), end| {
                (low.min(end), high.max(end))
            });
        let step = if high - low > 30.0 { 10.0 } else { 5.0 };
        CourseScale {
            low: (low / step).floor() * step,
            high: (high / step).ceil() * step,
            step,
        }
    }

    /// When the first and when the last of the visits was.
    #[must_use]
    pub fn span(&self) -> (f64, f64) {
        let at = || self.points.iter().map(|point| point.at);
        (
            at().fold(f64::INFINITY, f64::min),
            at().fold(f64::NEG_INFINITY, f64::max),
        )
    }
}

impl CourseScale {
    /// Where its lines lie, from the lowest to the highest.
    pub fn lines(self) -> impl Iterator<Item = f64> {
        std::iter::successors(Some(self.low), move |line| Some(line + self.step))
            .take_while(move |line| *line <= self.high + 0.5 * self.step)
    }
}

/// The courses of a foot, one below the other, as PNG in greys, between words above them and the caution below.
///
/// # Errors
/// When there is no caution, or the picture cannot be made.
pub fn course_picture(
    words: &[String],
    courses: &[Course],
    caution: &str,
) -> Result<Vec<u8>, SheetError> {
    if caution.trim().is_empty() {
        return Err(SheetError::NoCaution);
    }
    let room = WIDTH - 2.0 * PADDING;
    let mut block = Block::default();
    for (place, line) in words.iter().enumerate() {
        let weight = if place == 0 {
            Weight::SemiBold
        } else {
            Weight::Regular
        };
        block.add_paragraph(line, TextStyle::new(weight, 9.0, Ink::Black), 0.0, room);
    }
    for course in courses {
        block.space(8.0);
        let top = block.height;
        block.put_block(course_block(course, room), 0.0, top);
    }
    block.space(6.0);
    let small = TextStyle::new(Weight::Regular, 7.5, Ink::Black);
    block.add_paragraph(caution, small, 0.0, room);
    drawn(block)
}

fn drawn(block: Block) -> Result<Vec<u8>, SheetError> {
    let unit = WIDTH_PX as f64 / WIDTH;
    let height = whole_pixels((block.height + 2.0 * PADDING) * unit);
    let out_of_reach = || SheetError::Picture {
        width: WIDTH_PX,
        height,
    };
    let mut canvas = Canvas::white(WIDTH_PX, height).ok_or_else(out_of_reach)?;
    for mark in block.marks {
        canvas.draw(&mark.moved(PADDING, PADDING).enlarged(unit));
    }
    canvas.into_png().ok_or_else(out_of_reach)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn course(values: &[(f64, f64)]) -> Course {
        Course {
            name: "Hallux valgus angle".to_owned(),
            horizontal: "months after surgery".to_owned(),
            usual: Some((5.0, 15.0)),
            points: values
                .iter()
                .map(|(at, value)| CoursePoint {
                    at: *at,
                    visit: "a visit".to_owned(),
                    value: *value,
                    half_interval: 2.0,
                })
                .collect(),
        }
    }

    #[test]
    fn the_scale_holds_every_interval_and_begins_at_a_line() {
        let scale = course(&[(0.0, 34.0), (6.0, -1.0)]).scale();
        let expected = CourseScale {
            low: -10.0,
            high: 40.0,
            step: 10.0,
        };
        assert_eq!(scale, expected, "wide");
        let lines: Vec<f64> = scale.lines().collect();
        assert_eq!(lines, [-10.0, 0.0, 10.0, 20.0, 30.0, 40.0], "its lines");
        let scale = course(&[(0.0, 9.0)]).scale();
        assert_eq!(
            (scale.low, scale.high, scale.step),
            (0.0, 15.0, 5.0),
            "narrow"
        );
    }

    #[test]
    fn a_picture_is_a_png_of_its_width_and_none_is_made_without_the_caution() {
        let words = ["Right foot".to_owned()];
        let courses = [course(&[(0.0, 30.0), (0.2, 12.0), (6.0, 15.0)])];
        let png = course_picture(&words, &courses, "a caution").expect("a picture");
        let picture = image::load_from_memory(&png).expect("PNG").into_luma8();
        assert_eq!(picture.width(), 1600, "width");
        let dark = picture.pixels().filter(|pixel| pixel.0[0] < 64).count();
        assert!(dark > 2000, "{dark} dark pixels of words and lines");
        assert!(matches!(
            course_picture(&words, &courses, " "),
            Err(SheetError::NoCaution)
        ));
    }
}
