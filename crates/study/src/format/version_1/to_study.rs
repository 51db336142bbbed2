//! The study that a file of version 1 says.

use plumbray_anatomy::{Calibration, Cortices, FilmPoint, FilmTracing, PlacedPoint, Tracing};
use plumbray_plan::Plan;

use super::{
    AxisLevelsEntry, CalibrationEntry, CortexEntry, CorticesEntry, Document, EarlierEntry,
    FilmEntry, FilmTracingEntry, HistoryLine, ReaderEntry, SideEntry, TracingEntry, VisitEntry,
};
use crate::{
    film_record::FilmRecord,
    format,
    history::{History, HistoryEntry},
    study::{
        AxisLevels, Choices, EarlierTracing, Judged, Operation, Reader, SideChoice, Study, Visit,
    },
};

impl From<Document> for format::Document {
    fn from(document: Document) -> Self {
        let study = Study {
            side: document.side.map(SideChoice::from),
            ap: document.films.ap.map(FilmRecord::from),
            lateral: document.films.lateral.map(FilmRecord::from),
            visit: Visit::from(document.visit),
            tracing: Tracing::from(document.tracing),
            judged: Judged {
                lateral_head_edge: document.judged.lateral_head_edge,
            },
            earlier_tracings: document
                .earlier_tracings
                .into_iter()
                .map(EarlierTracing::from)
                .collect(),
            plans: document.plans.into_iter().map(Plan::from).collect(),
            choices: Choices {
                axis_convention: document.choices.axis_convention.map(String::from),
                axis_levels: document.choices.axis_levels.map(AxisLevels::from),
                severity_scheme: document.choices.severity_scheme.map(String::from),
            },
            reader: Reader::from(document.reader),
            history: History::from_entries(
                document
                    .history
                    .into_iter()
                    .map(HistoryEntry::from)
                    .collect(),
            ),
        };
        Self {
            revision: document.revision,
            recovery: document.recovery.map(|recovery| format::Recovery {
                original: recovery.original.into(),
                based_on: recovery.based_on.map(|hash| hash.0),
            }),
            study,
        }
    }
}

impl From<TracingEntry> for Tracing {
    fn from(entry: TracingEntry) -> Self {
        Self {
            ap: FilmTracing::from(entry.ap),
            lateral: FilmTracing::from(entry.lateral),
        }
    }
}

impl From<ReaderEntry> for Reader {
    fn from(entry: ReaderEntry) -> Self {
        Self {
            name: entry.name.into(),
            traced_at: entry.traced_at.map(|time| time.0),
        }
    }
}

impl From<EarlierEntry> for EarlierTracing {
    fn from(entry: EarlierEntry) -> Self {
        Self {
            tracing: Tracing::from(entry.tracing),
            reader: Reader::from(entry.reader),
        }
    }
}

impl From<SideEntry> for SideChoice {
    fn from(entry: SideEntry) -> Self {
        Self {
            side: entry.foot,
            source: entry.source,
            confirmed: entry.confirmed,
        }
    }
}

impl From<AxisLevelsEntry> for AxisLevels {
    fn from(entry: AxisLevelsEntry) -> Self {
        Self {
            metatarsal_mm: entry.metatarsal_mm.into(),
            proximal_phalanx_mm: entry.proximal_phalanx_mm.into(),
            distal_phalanx_mm: entry.distal_phalanx_mm.into(),
        }
    }
}

impl From<FilmEntry> for FilmRecord {
    fn from(entry: FilmEntry) -> Self {
        Self {
            file: entry.file.into(),
            hash: entry.blake3.0,
            picture: entry.picture,
            width_px: entry.width_px.into(),
            height_px: entry.height_px.into(),
            proportions: entry.pixel_height_over_width,
            calibration: entry.calibration.map(Calibration::from),
            date: entry.date.map(|day| day.0),
        }
    }
}

impl From<CalibrationEntry> for Calibration {
    fn from(entry: CalibrationEntry) -> Self {
        Self {
            spacing: entry.spacing.0,
            basis: entry.basis,
            relative_sd: entry.relative_sd,
        }
    }
}

impl From<VisitEntry> for Visit {
    fn from(entry: VisitEntry) -> Self {
        Self {
            label: entry.label.into(),
            operated: entry.operated,
            operation: entry.operation.map(|operation| Operation {
                date: operation.date.map(|day| day.0),
                side: operation.side,
            }),
            stance: entry.stance,
        }
    }
}

impl From<FilmTracingEntry> for FilmTracing {
    fn from(entry: FilmTracingEntry) -> Self {
        let points = entry.points.into_iter().map(|(landmark, point)| {
            let placed = PlacedPoint {
                at: FilmPoint::new(point.x_px.into(), point.y_px.into()),
                sd_px: point.sd_px.into(),
                origin: point.origin,
            };
            (landmark, placed)
        });
        let cortices = entry
            .cortices
            .into_iter()
            .map(|(bone, cortices)| (bone, Cortices::from(cortices)));
        Self {
            points: points.collect(),
            cortices: cortices.collect(),
        }
    }
}

impl From<CorticesEntry> for Cortices {
    fn from(entry: CorticesEntry) -> Self {
        Self {
            one: entry.one.into(),
            two: entry.two.into(),
            sd_px: entry.sd_px.into(),
            together_sd_px: entry.together_sd_px.into(),
            proximal_sd_px: entry.proximal_sd_px.map(f64::from),
            origin: entry.origin,
        }
    }
}

impl From<CortexEntry> for Vec<FilmPoint> {
    fn from(entry: CortexEntry) -> Self {
        entry
            .0
            .into_iter()
            .map(|(x, y)| FilmPoint::new(x.into(), y.into()))
            .collect()
    }
}

impl From<HistoryLine> for HistoryEntry {
    fn from(line: HistoryLine) -> Self {
        Self {
            first: line.first.0,
            last: line.last.0,
            who: line.who.into(),
            what: line.what.into(),
            count: line.count,
        }
    }
}
