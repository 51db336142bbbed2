//! Where a rough reader pointed.

use std::collections::BTreeMap;

use plumbray_anatomy::{FilmPoint, Landmark, LongBone};
use plumbray_trace::Stroke;

/// Rough places of landmarks on one film, several millimetres off at most. A stroke along a shaft is the
/// pair [`Landmark::ShaftStart`] (proximal) and [`Landmark::ShaftEnd`].
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Hints {
    /// Where each was pointed at.
    pub points: BTreeMap<Landmark, FilmPoint>,
}

/// A table of hints that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum HintError {
    /// The first line is not the heading.
    #[error("a table of hints begins with the line “landmark,x_px,y_px”")]
    Heading,
    /// A line has not the form of the heading.
    #[error("line {line}: {problem}; write the landmark's name and two numbers of pixels")]
    Line {
        /// Which line of the table, counted from 1.
        line: usize,
        /// What is wrong with it.
        problem: String,
    },
}

const HEADING: &str = "landmark,x_px,y_px";

impl Hints {
    /// Reads a table with the columns `landmark,x_px,y_px`.
    ///
    /// # Errors
    /// When the heading, a name or a number cannot be read.
    pub fn from_table(text: &str) -> Result<Self, HintError> {
        let mut lines = text.trim_start_matches('\u{feff}').lines().enumerate();
        let is_heading = |(_, line): (usize, &str)| line.trim() == HEADING;
        if !lines.next().is_some_and(is_heading) {
            return Err(HintError::Heading);
        }
        let mut points = BTreeMap::new();
        for (index, line) in lines.filter(|(_, line)| !line.trim().is_empty()) {
            let (landmark, at) = hint(line).map_err(|problem| HintError::Line {
                line: index + 1,
                problem,
            })?;
            points.insert(landmark, at);
        }
        Ok(Self { points })
    }

    /// The stroke along a bone's shaft, if both its ends were given.
    #[must_use]
    pub fn stroke(&self, bone: LongBone) -> Option<Stroke> {
        let from = self.points.get(&Landmark::ShaftStart(bone))?;
        let to = self.points.get(&Landmark::ShaftEnd(bone))?;
        Some(Stroke::new(*from, *to))
    }
}

fn hint(line: &str) -> Result<(Landmark, FilmPoint), String> {
    let cells: Vec<&str> = line.split(',').map(str::trim).collect();
    let [name, x, y] = cells.as_slice() else {
        return Err(format!("{} cells in place of 3", cells.len()));
    };
    let landmark: Landmark = name.parse().map_err(|error| format!("{error}"))?;
    let number = |cell: &str| match cell.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(format!("“{cell}” is no number")),
    };
    Ok((landmark, FilmPoint::new(number(x)?, number(y)?)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_is_read_and_a_stroke_needs_both_ends() {
        let table =
            "landmark,x_px,y_px\nm1_shaft_start,1.5,2\nm1_shaft_end,3,4\nm2_shaft_end,5,6\n";
        let hints = Hints::from_table(table).expect("a good table");
        assert_eq!(hints.points.len(), 3, "points");
        let stroke = hints.stroke(LongBone::M1).expect("both ends");
        assert_eq!(stroke.from, FilmPoint::new(1.5, 2.0), "from");
        assert_eq!(hints.stroke(LongBone::M2), None, "one end only");
    }

    #[test]
    fn what_is_wrong_is_told_with_its_line() {
        assert_eq!(
            Hints::from_table("x,y\n"),
            Err(HintError::Heading),
            "heading"
        );
        for line in ["m1_tip,1", "m9_tip,1,2", "m1_tip,one,2", "m1_tip,NaN,2"] {
            let error = Hints::from_table(&format!("{HEADING}\n{line}\n")).expect_err(line);
            assert!(error.to_string().starts_with("line 2: "), "{error}");
        }
    }
}
