//! The landmarks of one film as a table in CSV, so that a script can feed the measurement engine.
//!
//! ```text
//! landmark,x_px,y_px,sd_px
//! m1_tip,812.5,431.25,2
//! m1_cortex_one,790,610,1.5
//! m1_cortex_one,788,640,1.5
//! m1_cortex_two,842,611,1.5
//! m1_cortex_two,841,642,1.5
//! ```
//!
//! `docs/landmarks.md` lists every name with its meaning. The points of a cortex are rows in order
//! from proximal to distal. The column `sd_px` may be left out; a fifth one, `together_sd_px`, stands only
//! where the points of a cortex lie off in part [together](Cortices::together_sd_px). A spread of the
//! [proximal points](Cortices::proximal_sd_px) is not held: they get that of the rest. Blank lines and lines that start with
//! `#` are passed over.

use std::collections::BTreeMap;

use plumbray_anatomy::{
    Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin, PlacedPoint, View,
};

use crate::format::MAX_FILE_BYTES;

/// The spread that a point gets whose row states none, in pixels.
///
/// Three pixels are 0.3 to 0.5 mm on films of 0.1 to 0.15 mm per pixel: about what a careful hand
/// achieves without snapping. This is our own assumption, without a published source; a table that
/// knows better should say so in its column `sd_px`.
pub const DEFAULT_SD_PX: f64 = 3.0;

const COLUMNS: [&str; 5] = ["landmark", "x_px", "y_px", "sd_px", TOGETHER];
const TOGETHER: &str = "together_sd_px";

/// Why a table of landmarks could not be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum LandmarkTableError {
    /// The table is larger than any tracing.
    #[error(
        "a table of {bytes} bytes is too large (at most {MAX_FILE_BYTES}); check that it is the \
         right file"
    )]
    TooLarge {
        /// Its size.
        bytes: usize,
    },
    /// The first row does not name the columns.
    #[error(
        "line {line}: the first row must name the columns, “landmark,x_px,y_px” and, if you like, \
         “sd_px” and “together_sd_px”, with commas between them; {what}"
    )]
    Header {
        /// The line, counted from 1.
        line: usize,
        /// What is wrong with it.
        what: String,
    },
    /// A row says something that no tracing can hold.
    #[error("line {line}: {what}")]
    Row {
        /// The line, counted from 1.
        line: usize,
        /// What is wrong with it and what to do.
        what: String,
    },
    /// A shaft has only part of its cortices.
    #[error(
        "{identifier} has {count} of the at least 2 points that a cortex needs; add rows from \
         proximal to distal, or remove both cortices of this bone"
    )]
    CortexTooShort {
        /// The cortex.
        identifier: String,
        /// How many points the table gives it.
        count: usize,
    },
}

/// The table of a film's landmarks. Coordinates are written so that they are read back exactly.
#[must_use]
pub fn export(tracing: &FilmTracing) -> String {
    let mut all_cortices = tracing.cortices.values();
    let lies_together = all_cortices.any(|cortices| cortices.together_sd_px != 0.0);
    let columns = if lies_together { 5 } else { 4 };
    let mut table = COLUMNS[..columns].join(",");
    table.push('\n');
    let mut row = |name: &str, at: FilmPoint, sd_px: f64, together_sd_px: Option<f64>| {
        table.push_str(&format!("{name},{},{},{sd_px}", at.x_px, at.y_px));
        match together_sd_px.filter(|_| lies_together) {
            Some(together) => table.push_str(&format!(",{together}\n")),
            None => table.push('\n'),
        }
    };
    for (landmark, placed) in &tracing.points {
        row(&landmark.identifier(), placed.at, placed.sd_px, None);
    }
    for (bone, cortices) in &tracing.cortices {
        let names = Cortices::identifiers(*bone);
        for (name, points) in names.iter().zip([&cortices.one, &cortices.two]) {
            for point in points {
                row(name, *point, cortices.sd_px, Some(cortices.together_sd_px));
            }
        }
    }
    table
}

/// The tracing that a table of the landmarks on the film of this view describes. The origin of every
/// point is [`Origin::Imported`].
///
/// # Errors
/// When the table is malformed, names an unknown landmark or one that is not read on this view,
/// holds an impossible number, or places a point twice; the error names the line.
pub fn import(table: &str, view: View) -> Result<FilmTracing, LandmarkTableError> {
    if table.len() as u64 > MAX_FILE_BYTES {
        return Err(LandmarkTableError::TooLarge { bytes: table.len() });
    }
    let mut columns: Option<Columns> = None;
    let mut gathered = Gathered::default();
    for (line, text) in (1..).zip(table.trim_start_matches('\u{feff}').lines()) {
        let cells = cells(text);
        // Spreadsheets leave rows of empty cells below the table.
        if text.trim_start().starts_with('#') || cells.iter().all(|cell| cell.is_empty()) {
            continue;
        }
        match &columns {
            None => {
                let header = Columns::from_header(&cells)
                    .map_err(|what| LandmarkTableError::Header { line, what })?;
                columns = Some(header);
            }
            Some(columns) => columns
                .row(&cells)
                .and_then(|row| gathered.add(&row, line, view))
                .map_err(|what| LandmarkTableError::Row { line, what })?,
        }
    }
    if columns.is_none() {
        return Err(LandmarkTableError::Header {
            line: 1,
            what: "the table is empty".to_owned(),
        });
    }
    gathered.into_tracing()
}

/// The cells of a line. Spreadsheets may put them between quotation marks; no name or number of
/// this table holds a comma.
fn cells(line: &str) -> Vec<&str> {
    line.split(',')
        .map(|cell| {
            let cell = cell.trim();
            cell.strip_prefix('"')
                .and_then(|cell| cell.strip_suffix('"'))
                .unwrap_or(cell)
        })
        .collect()
}

/// Which column holds what.
struct Columns {
    landmark: usize,
    x_px: usize,
    y_px: usize,
    sd_px: Option<usize>,
    together_sd_px: Option<usize>,
    count: usize,
}

struct Row<'a> {
    name: &'a str,
    at: FilmPoint,
    sd_px: Option<f64>,
    together_sd_px: Option<f64>,
}

impl Columns {
    fn from_header(header: &[&str]) -> Result<Self, String> {
        if let Some(unknown) = header.iter().find(|name| !COLUMNS.contains(*name)) {
            return Err(format!("“{unknown}” is not a column"));
        }
        let at = |column: &str| header.iter().position(|name| *name == column);
        let needed = |column: &str| at(column).ok_or_else(|| format!("“{column}” is missing"));
        let columns = Self {
            landmark: needed("landmark")?,
            x_px: needed("x_px")?,
            y_px: needed("y_px")?,
            sd_px: at("sd_px"),
            together_sd_px: at(TOGETHER),
            count: header.len(),
        };
        let optional = [columns.sd_px, columns.together_sd_px];
        if columns.count > 3 + optional.iter().flatten().count() {
            return Err("a column stands twice".to_owned());
        }
        Ok(columns)
    }

    fn row<'a>(&self, cells: &[&'a str]) -> Result<Row<'a>, String> {
        // The last column may be left out where it is empty anyway.
        if cells.len() > self.count {
            return Err(format!(
                "there are {} cells for {} columns; write numbers with a decimal point, not a comma",
                cells.len(),
                self.count
            ));
        }
        let number = |column: usize, name: &str, least: f64| {
            let cell = cells.get(column).copied().unwrap_or_default();
            cell.parse::<f64>()
                .ok()
                .filter(|value| (least..=1e6).contains(value))
                .ok_or_else(|| {
                    format!("{name} must be a number from {least} to 1000000, and this is “{cell}”")
                })
        };
        let states_sd = |column: &usize| cells.get(*column).is_some_and(|cell| !cell.is_empty());
        Ok(Row {
            name: cells.get(self.landmark).copied().unwrap_or_default(),
            at: FilmPoint::new(
                number(self.x_px, "x_px", -1e6)?,
                number(self.y_px, "y_px", -1e6)?,
            ),
            sd_px: self
                .sd_px
                .filter(states_sd)
                .map(|column| number(column, "sd_px", 0.0))
                .transpose()?,
            together_sd_px: self
                .together_sd_px
                .filter(states_sd)
                .map(|column| number(column, TOGETHER, 0.0))
                .transpose()?,
        })
    }
}

/// What the rows read so far describe.
#[derive(Default)]
struct Gathered {
    points: BTreeMap<Landmark, (PlacedPoint, usize)>,
    shafts: BTreeMap<LongBone, Shaft>,
}

#[derive(Default)]
struct Shaft {
    cortices: [Vec<FilmPoint>; 2],
    sd: Option<StatedSd>,
}

#[derive(Clone, Copy)]
struct StatedSd {
    sd_px: Option<f64>,
    together_sd_px: Option<f64>,
    line: usize,
}

impl Gathered {
    fn add(&mut self, row: &Row, line: usize, view: View) -> Result<(), String> {
        if let Some((bone, which)) = cortex(row.name) {
            if !Landmark::ShaftStart(bone).is_on(view) {
                return Err(wrong_view(row.name, view));
            }
            return self.shafts.entry(bone).or_default().add(which, row, line);
        }
        let landmark: Landmark = row
            .name
            .parse()
            .map_err(|error: plumbray_anatomy::UnknownLandmark| error.to_string())?;
        if !landmark.is_on(view) {
            return Err(wrong_view(row.name, view));
        }
        if row.together_sd_px.is_some() {
            return Err(format!(
                "{landmark} is a single point; {TOGETHER} is for the points of a cortex"
            ));
        }
        let placed = PlacedPoint {
            at: row.at,
            sd_px: row.sd_px.unwrap_or(DEFAULT_SD_PX),
            origin: Origin::Imported,
        };
        match self.points.insert(landmark, (placed, line)) {
            Some((_, first)) => Err(format!(
                "{landmark} stands on line {first} already; remove one of the two"
            )),
            None => Ok(()),
        }
    }

    fn into_tracing(self) -> Result<FilmTracing, LandmarkTableError> {
        let mut cortices = BTreeMap::new();
        for (bone, shaft) in self.shafts {
            cortices.insert(bone, shaft.into_cortices(bone)?);
        }
        let points = self
            .points
            .into_iter()
            .map(|(landmark, (placed, _))| (landmark, placed));
        Ok(FilmTracing {
            points: points.collect(),
            cortices,
        })
    }
}

impl Shaft {
    fn add(&mut self, which: usize, row: &Row, line: usize) -> Result<(), String> {
        let stated = *self.sd.get_or_insert(StatedSd {
            sd_px: row.sd_px,
            together_sd_px: row.together_sd_px,
            line,
        });
        if (stated.sd_px, stated.together_sd_px) != (row.sd_px, row.together_sd_px) {
            return Err(format!(
                "the points of both cortices of a bone share one sd_px and one {TOGETHER}; give the same as \
                 on line {}",
                stated.line
            ));
        }
        if row.together_sd_px.unwrap_or(0.0) > row.sd_px.unwrap_or(DEFAULT_SD_PX) {
            return Err(format!(
                "{TOGETHER} is a part of sd_px and cannot be larger"
            ));
        }
        self.cortices[which].push(row.at);
        Ok(())
    }

    fn into_cortices(self, bone: LongBone) -> Result<Cortices, LandmarkTableError> {
        for (identifier, points) in Cortices::identifiers(bone).into_iter().zip(&self.cortices) {
            if points.len() < 2 {
                return Err(LandmarkTableError::CortexTooShort {
                    identifier,
                    count: points.len(),
                });
            }
        }
        let [one, two] = self.cortices;
        Ok(Cortices {
            one,
            two,
            sd_px: self
                .sd
                .and_then(|stated| stated.sd_px)
                .unwrap_or(DEFAULT_SD_PX),
            together_sd_px: self
                .sd
                .and_then(|stated| stated.together_sd_px)
                .unwrap_or(0.0),
            proximal_sd_px: None,
            origin: Origin::Imported,
        })
    }
}

/// The bone and which of its cortices a name means.
fn cortex(name: &str) -> Option<(LongBone, usize)> {
    let (bone, which) = name.split_once("_cortex_")?;
    let which = match which {
        "one" => 0,
        "two" => 1,
        _ => return None,
    };
    Some((LongBone::from_identifier(bone)?, which))
}

fn wrong_view(name: &str, view: View) -> String {
    format!(
        "{name} is not read on the {} film; import it on the other one",
        view.name_in_sentence()
    )
}

#[cfg(test)]
mod tests;
