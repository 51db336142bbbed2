//! The worksheet as a structured report: Comprehensive SR by template TID 1500, Measurement Report (PS3.16).

use dicom_core::VR;
use dicom_dictionary_std::{tags, uids};
use plumbray_anatomy::{FilmTracing, LongBone, Side, View};
use plumbray_film::PROGRAM_UID;
use plumbray_measure::{Measurement, Worksheet};
use plumbray_study::Study;

use super::{
    code::{self, Code, OWN_SCHEME},
    content::{ContentItem, Relation, Shape},
    elements::{item, sequence, text, uid, word},
    error::DicomError,
    film_reference::{FilmReference, evidence},
    instance::{Export, Kind, nothing},
    measurements::{measurement_items, severity_item},
    uid::{OWN_SCHEME_UID, new_uid},
};

const KIND: Kind = Kind {
    class_uid: uids::COMPREHENSIVE_SR_STORAGE,
    modality: "SR",
    series_number: "9901",
    series_description: "Plumbray foot measurements",
};

/// What a report says.
#[derive(Clone, Copy, Debug)]
pub(super) struct ReportContent<'a> {
    pub(super) study: &'a Study,
    pub(super) worksheet: &'a Worksheet,
    /// The rows whose intervals hold the reader's own spread, with what it is.
    pub(super) own_spread: &'a [(Measurement, String)],
    pub(super) side: Side,
    /// AP first.
    pub(super) films: &'a [&'a FilmReference],
    /// What the files of the films say against the study, although somebody looked and went on.
    pub(super) against: &'a [String],
    pub(super) caution: &'a str,
}

/// The report as a file.
///
/// # Errors
/// When nothing was measured, or it cannot be written.
pub(super) fn report(
    export: &Export<'_>,
    content: &ReportContent<'_>,
) -> Result<Vec<u8>, DicomError> {
    let root = root(export, content)?;
    let (own, other): (Vec<_>, Vec<_>) = content
        .films
        .iter()
        .copied()
        .partition(|film| film.study_uid == export.subject.study_uid);
    let mut instance = export.instance(&KIND, 1).made_at(export.moment).with([
        nothing(tags::REFERENCED_PERFORMED_PROCEDURE_STEP_SEQUENCE),
        nothing(tags::PERFORMED_PROCEDURE_CODE_SEQUENCE),
        word(tags::COMPLETION_FLAG, "COMPLETE"),
        word(tags::VERIFICATION_FLAG, "UNVERIFIED"),
        sequence(
            tags::CODING_SCHEME_IDENTIFICATION_SEQUENCE,
            vec![own_scheme()],
        ),
    ]);
    for (tag, films) in [
        (tags::CURRENT_REQUESTED_PROCEDURE_EVIDENCE_SEQUENCE, own),
        (tags::PERTINENT_OTHER_EVIDENCE_SEQUENCE, other),
    ] {
        if !films.is_empty() {
            instance = instance.with([sequence(tag, evidence(&films))]);
        }
    }
    export.file(instance.with(root.into_elements()))
}

/// Our own coding scheme, so that its codes can be told from anybody else's (PS3.3 C.12.1.1.7).
fn own_scheme() -> dicom_object::InMemDicomObject {
    item([
        text(tags::CODING_SCHEME_DESIGNATOR, VR::SH, OWN_SCHEME),
        uid(tags::CODING_SCHEME_UID, OWN_SCHEME_UID),
        text(
            tags::CODING_SCHEME_NAME,
            VR::ST,
            "Plumbray: measurements of the foot",
        ),
        text(
            tags::CODING_SCHEME_RESPONSIBLE_ORGANIZATION,
            VR::ST,
            "Plumbray",
        ),
    ])
}

fn root(export: &Export<'_>, content: &ReportContent<'_>) -> Result<ContentItem, DicomError> {
    let groups: Vec<ContentItem> = content
        .films
        .iter()
        .filter_map(|film| measurement_group(content, film))
        .collect();
    if groups.is_empty() {
        return Err(DicomError::NothingMeasured);
    }
    let caution = ContentItem::text(Relation::Contains, &code::COMMENT, content.caution);
    Ok(ContentItem::root(&code::IMAGING_MEASUREMENT_REPORT, "1500")
        .with(ContentItem::code(
            Relation::HasConceptModifier,
            &code::LANGUAGE,
            &code::ENGLISH,
        ))
        .with_all(observers(&content.study.reader.name, export.version))
        .with(ContentItem::code(
            Relation::HasConceptModifier,
            &code::PROCEDURE_REPORTED,
            &code::RADIOGRAPHY,
        ))
        .with(image_library(content))
        .with(ContentItem::container(&code::IMAGING_MEASUREMENTS, None).with_all(groups))
        .with_all(
            content
                .films
                .iter()
                .filter_map(|film| traced(content.study, film)),
        )
        .with_all(content.against.iter().map(|said| against(said)))
        .with(caution))
}

/// That a film's file says otherwise, so that nobody has to find out.
fn against(said: &str) -> ContentItem {
    let text =
        format!("Look again: {said}. Whoever exported this said to have looked at the films.");
    ContentItem::text(Relation::Contains, &code::COMMENT, &text)
}

/// Who observed: the reader, where the study names one, and the program (TID 1001 to 1004).
fn observers(reader: &str, version: &str) -> Vec<ContentItem> {
    use Relation::HasObservationContext as Context;
    let mut items = Vec::new();
    let reader = reader.trim();
    if !reader.is_empty() {
        items.extend([
            ContentItem::code(Context, &code::OBSERVER_TYPE, &code::PERSON),
            ContentItem::person(Context, &code::PERSON_OBSERVER_NAME, &person_name(reader)),
        ]);
    }
    items.extend([
        ContentItem::code(Context, &code::OBSERVER_TYPE, &code::DEVICE),
        ContentItem::identifier(Context, &code::DEVICE_OBSERVER_UID, PROGRAM_UID),
        ContentItem::text(Context, &code::DEVICE_OBSERVER_NAME, "Plumbray"),
        ContentItem::text(Context, &code::DEVICE_OBSERVER_MANUFACTURER, "Plumbray"),
        ContentItem::text(
            Context,
            &code::DEVICE_OBSERVER_MODEL,
            &format!("Plumbray {version}"),
        ),
    ]);
    items
}

/// A name as a person name (PS3.5 6.2): all of it as the family name, since nobody says which part is which.
/// Letters that divide names or values are left out; each part has at most 64.
fn person_name(name: &str) -> String {
    let letters = name
        .chars()
        .filter(|letter| !matches!(letter, '^' | '=' | '\\') && !letter.is_control());
    letters.take(64).collect()
}

/// Which films the report is about (TID 1600 and 1602).
fn image_library(content: &ReportContent<'_>) -> ContentItem {
    use Relation::HasAcquisitionContext as Context;
    let entries = content.films.iter().map(|film| {
        let pixels = |count: u16, name: &Code| {
            ContentItem::number(Context, name, f64::from(count), &code::PIXELS)
        };
        ContentItem::image(Relation::Contains, film)
            .with(ContentItem::code(
                Context,
                &code::MODALITY,
                &modality_code(&film.modality),
            ))
            .with(ContentItem::code(
                Context,
                &code::IMAGE_LATERALITY,
                &side_code(content.side),
            ))
            .with(ContentItem::code(
                Context,
                &code::IMAGE_VIEW,
                &view_code(film.view),
            ))
            .with(pixels(film.rows, &code::PIXEL_DATA_ROWS))
            .with(pixels(film.columns, &code::PIXEL_DATA_COLUMNS))
    });
    let group = ContentItem::container(&code::IMAGE_LIBRARY_GROUP, Some("1601")).with_all(entries);
    ContentItem::container(&code::IMAGE_LIBRARY, Some("1600")).with(group)
}

fn modality_code(modality: &str) -> Code {
    match modality {
        "CR" => code::COMPUTED_RADIOGRAPHY,
        "DX" => code::DIGITAL_RADIOGRAPHY,
        "RF" => code::RADIOFLUOROSCOPY,
        "XA" => code::X_RAY_ANGIOGRAPHY,
        _ => code::OTHER_MODALITY,
    }
}

const fn side_code(side: Side) -> Code {
    match side {
        Side::Left => code::LEFT,
        Side::Right => code::RIGHT,
    }
}

const fn view_code(view: View) -> Code {
    match view {
        View::Ap => code::DORSOPLANTAR,
        View::Lateral => code::LATERAL_VIEW,
    }
}

/// The measurements of one film (TID 1501); nothing where it has no number.
fn measurement_group(content: &ReportContent<'_>, film: &FilmReference) -> Option<ContentItem> {
    let rows = content.worksheet.rows.iter();
    let rows = rows.filter(|row| row.measurement.view() == film.view);
    let items: Vec<ContentItem> = rows
        .flat_map(|row| measurement_items(row, own_spread_of(content, row.measurement), film))
        .collect();
    if items.is_empty() {
        return None;
    }
    let name = format!(
        "{} film, {} foot",
        film.view.name(),
        content.side.identifier()
    );
    let site = ContentItem::code(
        Relation::HasConceptModifier,
        &code::FINDING_SITE,
        &code::FOOT,
    )
    .with(ContentItem::code(
        Relation::HasConceptModifier,
        &code::LATERALITY,
        &side_code(content.side),
    ));
    let severity = (film.view == View::Ap)
        .then(|| severity_item(&content.worksheet.severity))
        .flatten();
    let judged = (film.view == View::Ap)
        .then_some(content.study.judged.lateral_head_edge)
        .flatten()
        .map(|edge| {
            ContentItem::code(
                Relation::Contains,
                &Code::own(
                    "lateral_head_edge",
                    "Lateral edge of the first metatarsal's head, by eye",
                ),
                &Code::own(
                    format!("lateral_head_edge.{}", edge.identifier()),
                    edge.identifier(),
                ),
            )
        });
    let group = ContentItem::container(&code::MEASUREMENT_GROUP, Some("1501"))
        .with(ContentItem::text(
            Relation::HasObservationContext,
            &code::TRACKING_IDENTIFIER,
            &name,
        ))
        .with(ContentItem::identifier(
            Relation::HasObservationContext,
            &code::TRACKING_UNIQUE_IDENTIFIER,
            &new_uid(),
        ))
        .with(site)
        .with_all(items)
        .with_all(severity)
        .with_all(judged);
    Some(group)
}

/// What is kept of the reader, where the interval of a measurement holds it.
fn own_spread_of<'a>(content: &ReportContent<'a>, measurement: Measurement) -> Option<&'a str> {
    let mut kept = content.own_spread.iter();
    let found = kept.find(|(of, _)| *of == measurement);
    found.map(|(_, words)| words.as_str())
}

/// Everything that was placed on one film, each once; nothing where nothing was.
fn traced(study: &Study, film: &FilmReference) -> Option<ContentItem> {
    let tracing: &FilmTracing = study.tracing.on(film.view);
    if tracing.is_empty() {
        return None;
    }
    let points = tracing.points.iter().map(|(landmark, placed)| {
        let name = Code::own(landmark.identifier(), landmark.name());
        ContentItem::places(Relation::Contains, &name, Shape::Point, &[placed.at], film)
    });
    let cortices = tracing.cortices.iter().flat_map(|(bone, cortices)| {
        [("one", &cortices.one), ("two", &cortices.two)].map(|(which, along)| {
            let name = cortex_code(*bone, which);
            ContentItem::places(Relation::Contains, &name, Shape::Polyline, along, film)
        })
    });
    let (value, meaning) = match film.view {
        View::Ap => ("tracing.ap", "Tracing of the AP film"),
        View::Lateral => ("tracing.lateral", "Tracing of the lateral film"),
    };
    let container = ContentItem::container(&Code::own(value, meaning), None);
    Some(container.with_all(points).with_all(cortices))
}

fn cortex_code(bone: LongBone, which: &str) -> Code {
    Code::own(
        format!("{}_cortex_{which}", bone.identifier()),
        format!("Cortex {which} of the {}", bone.name()),
    )
}
