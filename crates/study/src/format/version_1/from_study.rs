//! The study as the file says it.

use plumbray_anatomy::{Calibration, Cortices, FilmPoint, FilmTracing, Tracing};

use super::{
    AsText, AxisLevelsEntry, CalibrationEntry, ChoicesEntry, Coordinate, CortexEntry,
    CorticesEntry, DistanceMm, Document, EarlierEntry, FilmEntry, FilmName, FilmSize,
    FilmTracingEntry, Films, HistoryLine, JudgedEntry, OperationEntry, PlanEntry, PointEntry,
    ReaderEntry, RecoveryEntry, SideEntry, SpacingEntry, Spread, Text, TracingEntry, VisitEntry,
};
use crate::{
    film_record::FilmRecord,
    format,
    history::HistoryEntry,
    study::{AxisLevels, EarlierTracing, Reader, Study},
};

impl From<&format::Document> for Document {
    fn from(document: &format::Document) -> Self {
        let Study {
            side,
            ap,
            lateral,
            visit,
            tracing,
            judged,
            earlier_tracings,
            plans,
            choices,
            reader,
            history,
        } = &document.study;
        Self {
            format_version: 1,
            revision: document.revision,
            recovery: document.recovery.as_ref().map(|recovery| RecoveryEntry {
                original: Text(recovery.original.clone()),
                based_on: recovery.based_on.map(AsText),
            }),
            side: side.map(|choice| SideEntry {
                foot: choice.side,
                source: choice.source,
                confirmed: choice.confirmed,
            }),
            films: Films {
                ap: ap.as_ref().map(FilmEntry::from),
                lateral: lateral.as_ref().map(FilmEntry::from),
            },
            visit: VisitEntry {
                label: Text(visit.label.clone()),
                operated: visit.operated,
                operation: visit.operation.map(|operation| OperationEntry {
                    date: operation.date.map(AsText),
                    side: operation.side,
                }),
                stance: visit.stance,
            },
            choices: ChoicesEntry {
                axis_convention: choices.axis_convention.clone().map(Text),
                axis_levels: choices.axis_levels.map(AxisLevelsEntry::from),
                severity_scheme: choices.severity_scheme.clone().map(Text),
            },
            reader: ReaderEntry::from(reader),
            tracing: TracingEntry::from(tracing),
            judged: JudgedEntry {
                lateral_head_edge: judged.lateral_head_edge,
            },
            earlier_tracings: earlier_tracings.iter().map(EarlierEntry::from).collect(),
            plans: plans.iter().cloned().map(PlanEntry).collect(),
            history: history.entries().iter().map(HistoryLine::from).collect(),
        }
    }
}

impl From<&Reader> for ReaderEntry {
    fn from(reader: &Reader) -> Self {
        Self {
            name: Text(reader.name.clone()),
            traced_at: reader.traced_at.map(AsText),
        }
    }
}

impl From<&Tracing> for TracingEntry {
    fn from(tracing: &Tracing) -> Self {
        Self {
            ap: FilmTracingEntry::from(&tracing.ap),
            lateral: FilmTracingEntry::from(&tracing.lateral),
        }
    }
}

impl From<&EarlierTracing> for EarlierEntry {
    fn from(earlier: &EarlierTracing) -> Self {
        Self {
            reader: ReaderEntry::from(&earlier.reader),
            tracing: TracingEntry::from(&earlier.tracing),
        }
    }
}

impl From<AxisLevels> for AxisLevelsEntry {
    fn from(levels: AxisLevels) -> Self {
        Self {
            metatarsal_mm: DistanceMm(levels.metatarsal_mm),
            proximal_phalanx_mm: DistanceMm(levels.proximal_phalanx_mm),
            distal_phalanx_mm: DistanceMm(levels.distal_phalanx_mm),
        }
    }
}

impl From<&FilmRecord> for FilmEntry {
    fn from(film: &FilmRecord) -> Self {
        Self {
            file: FilmName(film.file.clone()),
            blake3: AsText(film.hash),
            picture: film.picture,
            width_px: FilmSize(film.width_px),
            height_px: FilmSize(film.height_px),
            pixel_height_over_width: film.proportions,
            calibration: film.calibration.map(CalibrationEntry::from),
            date: film.date.map(AsText),
        }
    }
}

impl From<Calibration> for CalibrationEntry {
    fn from(calibration: Calibration) -> Self {
        Self {
            spacing: SpacingEntry(calibration.spacing),
            basis: calibration.basis,
            relative_sd: calibration.relative_sd,
        }
    }
}

impl From<&FilmTracing> for FilmTracingEntry {
    fn from(tracing: &FilmTracing) -> Self {
        let points = tracing.points.iter().map(|(landmark, placed)| {
            let entry = PointEntry {
                x_px: Coordinate(placed.at.x_px),
                y_px: Coordinate(placed.at.y_px),
                sd_px: Spread(placed.sd_px),
                origin: placed.origin,
            };
            (*landmark, entry)
        });
        let cortices = tracing
            .cortices
            .iter()
            .map(|(bone, cortices)| (*bone, CorticesEntry::from(cortices)));
        Self {
            points: points.collect(),
            cortices: cortices.collect(),
        }
    }
}

impl From<&Cortices> for CorticesEntry {
    fn from(cortices: &Cortices) -> Self {
        Self {
            sd_px: Spread(cortices.sd_px),
            together_sd_px: Spread(cortices.together_sd_px),
            proximal_sd_px: cortices.proximal_sd_px.map(Spread),
            origin: cortices.origin,
            one: CortexEntry::from(cortices.one.as_slice()),
            two: CortexEntry::from(cortices.two.as_slice()),
        }
    }
}

impl From<&[FilmPoint]> for CortexEntry {
    fn from(points: &[FilmPoint]) -> Self {
        let pairs = points
            .iter()
            .map(|point| (Coordinate(point.x_px), Coordinate(point.y_px)));
        Self(pairs.collect())
    }
}

impl From<&HistoryEntry> for HistoryLine {
    fn from(entry: &HistoryEntry) -> Self {
        Self {
            first: AsText(entry.first),
            last: AsText(entry.last),
            who: Text(entry.who.clone()),
            what: Text(entry.what.clone()),
            count: entry.count,
        }
    }
}
