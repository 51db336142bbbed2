//! What the sheet draws over a film, as a Grayscale Softcopy Presentation State (PS3.3 A.33.1): an archive's own
//! viewer shows it over the untouched film.

use dicom_core::{DataElement, PrimitiveValue, Tag, VR};
use dicom_dictionary_std::{tags, uids};
use dicom_object::{InMemDicomObject, mem::InMemElement};
use plumbray_anatomy::{FilmPoint, Proportions};
use plumbray_film::{FilmElement, FilmObject, FilmValue, Pyramid};
use plumbray_measure::Worksheet;
use plumbray_study::Study;

use super::{
    characters::{Characters, plain_text},
    content::coordinates,
    elements::{
        aspect_in_numbers, day, item, linear_window, number, reals, sequence, text, time, uid,
        view_number, word,
    },
    error::DicomError,
    film_reference::FilmReference,
    instance::{Export, Kind},
};
use crate::{
    content::proportions_of,
    drawing::{Drawing, Label},
};

const KIND: Kind = Kind {
    class_uid: uids::GRAYSCALE_SOFTCOPY_PRESENTATION_STATE_STORAGE,
    modality: "PR",
    series_number: "9902",
    series_description: "Plumbray tracing over the film",
};

/// The only layer.
const LAYER: &str = "TRACING";

/// More points than a graphic object can have are thinned out (Number of Graphic Points is a 16-bit number).
const MOST_POINTS: usize = 65_535;

/// What a drawing is made from.
#[derive(Clone, Copy, Debug)]
pub(super) struct DrawnFilm<'a> {
    pub(super) study: &'a Study,
    pub(super) worksheet: &'a Worksheet,
    pub(super) film: &'a Pyramid,
    /// The film's own elements; nothing for the secondary capture of a plain picture.
    pub(super) object: Option<&'a FilmObject>,
    pub(super) reference: &'a FilmReference,
}

/// The drawing over one film as a file.
///
/// # Errors
/// When the film is in colour, or the object cannot be written.
pub(super) fn drawing(export: &Export<'_>, drawn: &DrawnFilm<'_>) -> Result<Vec<u8>, DicomError> {
    let view = drawn.reference.view;
    if is_colour(drawn.object) {
        return Err(DicomError::ColourFilm { view });
    }
    let instance = export.instance(&KIND, view_number(view)).of_foot().with([
        word(tags::LATERALITY, export.side_letter()),
        word(tags::CONTENT_LABEL, LAYER),
        text(
            tags::CONTENT_DESCRIPTION,
            VR::LO,
            format!("Tracing of the {} film", view.name_in_sentence()),
        ),
        text(tags::PRESENTATION_CREATION_DATE, VR::DA, day(export.moment)),
        text(
            tags::PRESENTATION_CREATION_TIME,
            VR::TM,
            time(export.moment),
        ),
        text(tags::CONTENT_CREATOR_NAME, VR::PN, ""),
        sequence(
            tags::REFERENCED_SERIES_SEQUENCE,
            vec![film_in_series(drawn)],
        ),
        sequence(
            tags::DISPLAYED_AREA_SELECTION_SEQUENCE,
            vec![displayed_area(drawn)],
        ),
        sequence(tags::GRAPHIC_ANNOTATION_SEQUENCE, vec![annotation(drawn)]),
        sequence(tags::GRAPHIC_LAYER_SEQUENCE, vec![layer()]),
        sequence(tags::SOFTCOPY_VOILUT_SEQUENCE, vec![window(drawn)]),
        word(
            tags::PRESENTATION_LUT_SHAPE,
            // The film's values, MONOCHROME1 included, are taken as they are stored (PS3.4 N.2.1.2).
            if drawn.film.film().grey().shown_inverted {
                "INVERSE"
            } else {
                "IDENTITY"
            },
        ),
    ]);
    let modality = drawn
        .object
        .map(|film| modality_table(film, drawn.reference.frame, export))
        .unwrap_or_default();
    export.file(instance.with(modality))
}

fn is_colour(object: Option<&FilmObject>) -> bool {
    let colours = object
        .and_then(|film| film.element(tags::PHOTOMETRIC_INTERPRETATION))
        .map(plain_text);
    colours.is_some_and(|name| !name.is_empty() && !name.starts_with("MONOCHROME"))
}

fn film_in_series(drawn: &DrawnFilm<'_>) -> InMemDicomObject {
    item([
        uid(tags::SERIES_INSTANCE_UID, &drawn.reference.series_uid),
        sequence(
            tags::REFERENCED_IMAGE_SEQUENCE,
            vec![drawn.reference.item()],
        ),
    ])
}

/// All of the film, fitted to the screen. The corners are the first and the last pixel, counted from 1.
fn displayed_area(drawn: &DrawnFilm<'_>) -> InMemDicomObject {
    let corner = |tag, column: u16, row: u16| {
        let pair = [i32::from(column), i32::from(row)];
        DataElement::new(tag, VR::SL, PrimitiveValue::I32(pair.as_slice().into()))
    };
    let reference = drawn.reference;
    item([
        sequence(tags::REFERENCED_IMAGE_SEQUENCE, vec![reference.item()]),
        corner(tags::DISPLAYED_AREA_TOP_LEFT_HAND_CORNER, 1, 1),
        corner(
            tags::DISPLAYED_AREA_BOTTOM_RIGHT_HAND_CORNER,
            reference.columns,
            reference.rows,
        ),
        word(tags::PRESENTATION_SIZE_MODE, "SCALE TO FIT"),
        text(
            tags::PRESENTATION_PIXEL_ASPECT_RATIO,
            VR::IS,
            aspect_in_numbers(shape_of_pixels(drawn)).unwrap_or_else(|| "1\\1".to_owned()),
        ),
    ])
}

/// The shape of the film's pixels, as its study has it or else its file.
fn shape_of_pixels(drawn: &DrawnFilm<'_>) -> Proportions {
    let record = drawn.study.film(drawn.reference.view);
    record.map_or_else(|| drawn.film.film().proportions(), proportions_of)
}

fn annotation(drawn: &DrawnFilm<'_>) -> InMemDicomObject {
    let view = drawn.reference.view;
    let record = drawn.study.film(view);
    let proportions = record.map_or_else(|| drawn.film.film().proportions(), proportions_of);
    let tracing = drawn.study.tracing.on(view);
    let over = Drawing::of(view, tracing, proportions, drawn.worksheet);
    let lines = over
        .strokes
        .iter()
        .map(|stroke| graphic("POLYLINE", &thinned(&stroke.along)));
    let placed = tracing.points.values().map(|placed| placed.at);
    let points = placed
        .filter(|point| point.is_finite())
        .map(|point| graphic("POINT", &[point]));
    let mut elements = vec![
        sequence(
            tags::REFERENCED_IMAGE_SEQUENCE,
            vec![drawn.reference.item()],
        ),
        word(tags::GRAPHIC_LAYER, LAYER),
    ];
    let graphics: Vec<InMemDicomObject> = lines.chain(points).collect();
    if !graphics.is_empty() {
        elements.push(sequence(tags::GRAPHIC_OBJECT_SEQUENCE, graphics));
    }
    if !over.labels.is_empty() {
        let labels = over.labels.iter().map(label).collect();
        elements.push(sequence(tags::TEXT_OBJECT_SEQUENCE, labels));
    }
    item(elements)
}

fn thinned(along: &[FilmPoint]) -> Vec<FilmPoint> {
    let step = along.len().div_ceil(MOST_POINTS).max(1);
    along.iter().step_by(step).copied().collect()
}

fn graphic(kind: &str, points: &[FilmPoint]) -> InMemDicomObject {
    item([
        word(tags::GRAPHIC_ANNOTATION_UNITS, "PIXEL"),
        number(tags::GRAPHIC_DIMENSIONS, 2),
        number(
            tags::NUMBER_OF_GRAPHIC_POINTS,
            u16::try_from(points.len()).unwrap_or(u16::MAX),
        ),
        reals(tags::GRAPHIC_DATA, coordinates(points)),
        word(tags::GRAPHIC_TYPE, kind),
        word(tags::GRAPHIC_FILLED, "N"),
    ])
}

/// A value beside its lines. The viewer chooses the letters; the anchor is where the sheet has the value.
///
/// Minus signs and narrow spaces of the typesetter's kind are left out: old viewers, and dcmtk's check, take them for
/// control letters.
fn label(label: &Label) -> InMemDicomObject {
    let words = label.text.replace('−', "-").replace('\u{2009}', " ");
    item([
        word(tags::ANCHOR_POINT_ANNOTATION_UNITS, "PIXEL"),
        text(tags::UNFORMATTED_TEXT_VALUE, VR::ST, words),
        reals(tags::ANCHOR_POINT, coordinates(&[label.at])),
        word(tags::ANCHOR_POINT_VISIBILITY, "N"),
    ])
}

fn layer() -> InMemDicomObject {
    item([
        word(tags::GRAPHIC_LAYER, LAYER),
        text(tags::GRAPHIC_LAYER_ORDER, VR::IS, "1"),
        text(
            tags::GRAPHIC_LAYER_DESCRIPTION,
            VR::LO,
            "Tracing, axes and angles",
        ),
    ])
}

/// The film's own window. A table, and a window of another function, are copied; a ramp is written as LINEAR, whose
/// centre and width are half a step and one step larger than those of the exact ramp (PS3.3 C.11.2.1.2.1).
fn window(drawn: &DrawnFilm<'_>) -> InMemDicomObject {
    let shown = drawn.film.film().grey().default_window();
    let copied = shown.curve.as_ref().and(drawn.object).map(|film| {
        let group = group_of_frame(film, drawn.reference.frame, tags::FRAME_VOILUT_SEQUENCE);
        let said = |tag| element_of(film, group, tag);
        let table = said(tags::VOILUT_SEQUENCE);
        let wanted: &[_] = if table.is_some() {
            &[tags::VOILUT_SEQUENCE]
        } else {
            &[
                tags::WINDOW_CENTER,
                tags::WINDOW_WIDTH,
                tags::VOILUT_FUNCTION,
            ]
        };
        let found = wanted.iter().filter_map(|tag| said(*tag));
        let characters = Characters::of(film);
        found
            .map(|element| first_of(element, &characters))
            .collect::<Vec<InMemElement>>()
    });
    let elements = copied.unwrap_or_else(|| linear_window(shown.window).into());
    item(elements)
}

/// The first item of a sequence or the first of several values: a presentation state has one window.
fn first_of(element: &FilmElement, characters: &Characters) -> InMemElement {
    match &element.value {
        FilmValue::Items(items) => {
            let first = FilmElement {
                value: FilmValue::Items(items.iter().take(1).cloned().collect()),
                ..element.clone()
            };
            characters.copied(&first)
        }
        FilmValue::Bytes(_) => {
            let words = plain_text(element);
            let first = words.split('\\').next().unwrap_or_default();
            text(element.tag, element.vr, first)
        }
    }
}

/// A functional group of a frame, its own or the one that all frames share (PS3.3 C.7.6.16); nothing where the film has
/// neither.
fn group_of_frame(film: &FilmObject, frame: Option<u32>, group: Tag) -> Option<&[FilmElement]> {
    let index = frame.map_or(0, |number| number.saturating_sub(1) as usize);
    let groups = [
        (tags::PER_FRAME_FUNCTIONAL_GROUPS_SEQUENCE, index),
        (tags::SHARED_FUNCTIONAL_GROUPS_SEQUENCE, 0),
    ];
    groups.into_iter().find_map(|(sequence, index)| {
        let functional = item_of(film.element(sequence), index)?;
        item_of(functional.iter().find(|one| one.tag == group), 0)
    })
}

/// An element of a functional group, or of the highest level where there is no such group: the film is read from one of
/// them alone, too.
fn element_of<'film>(
    film: &'film FilmObject,
    group: Option<&'film [FilmElement]>,
    tag: Tag,
) -> Option<&'film FilmElement> {
    match group {
        Some(elements) => elements.iter().find(|one| one.tag == tag),
        None => film.element(tag),
    }
}

fn item_of(sequence: Option<&FilmElement>, index: usize) -> Option<&[FilmElement]> {
    match &sequence?.value {
        FilmValue::Items(items) => items.get(index).map(Vec::as_slice),
        FilmValue::Bytes(_) => None,
    }
}

/// How stored values become values before the window: a presentation state takes the film's place in this too.
fn modality_table(film: &FilmObject, frame: Option<u32>, export: &Export<'_>) -> Vec<InMemElement> {
    let group = group_of_frame(film, frame, tags::PIXEL_VALUE_TRANSFORMATION_SEQUENCE);
    let said = |tag| element_of(film, group, tag);
    let wanted: &[_] = if film.element(tags::MODALITY_LUT_SEQUENCE).is_some() {
        &[tags::MODALITY_LUT_SEQUENCE]
    } else {
        &[
            tags::RESCALE_INTERCEPT,
            tags::RESCALE_SLOPE,
            tags::RESCALE_TYPE,
        ]
    };
    let found = wanted.iter().filter_map(|tag| said(*tag));
    let mut elements: Vec<InMemElement> = found
        .map(|element| export.subject.characters.copied(element))
        .collect();
    let has = |tag| said(tag).is_some();
    if has(tags::RESCALE_SLOPE)
        && has(tags::RESCALE_INTERCEPT)
        && !has(tags::RESCALE_TYPE)
        && !has(tags::MODALITY_LUT_SEQUENCE)
    {
        elements.push(text(tags::RESCALE_TYPE, VR::LO, "US"));
    }
    elements
}
