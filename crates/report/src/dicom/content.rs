//! The tree of a structured report (PS3.3 C.17.3): items that hold items.

use dicom_core::{DataElement, PrimitiveValue, VR};
use dicom_dictionary_std::tags;
use dicom_object::{InMemDicomObject, mem::InMemElement};
use plumbray_anatomy::FilmPoint;

use super::{
    code::Code,
    elements::{decimal, item, reals, sequence, text, uid, word},
    film_reference::FilmReference,
};

/// How an item belongs to the one that holds it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Relation {
    Contains,
    HasObservationContext,
    HasAcquisitionContext,
    HasConceptModifier,
    HasProperties,
    InferredFrom,
    SelectedFrom,
}

impl Relation {
    const fn name(self) -> &'static str {
        match self {
            Self::Contains => "CONTAINS",
            Self::HasObservationContext => "HAS OBS CONTEXT",
            Self::HasAcquisitionContext => "HAS ACQ CONTEXT",
            Self::HasConceptModifier => "HAS CONCEPT MOD",
            Self::HasProperties => "HAS PROPERTIES",
            Self::InferredFrom => "INFERRED FROM",
            Self::SelectedFrom => "SELECTED FROM",
        }
    }
}

/// An item of a report with those that it holds.
#[derive(Clone, Debug)]
pub(super) struct ContentItem {
    relation: Option<Relation>,
    elements: Vec<InMemElement>,
    children: Vec<Self>,
}

impl ContentItem {
    fn new(relation: Option<Relation>, kind: &str, name: Option<&Code>) -> Self {
        let mut elements = vec![word(tags::VALUE_TYPE, kind)];
        elements
            .extend(name.map(|code| sequence(tags::CONCEPT_NAME_CODE_SEQUENCE, vec![code.item()])));
        Self {
            relation,
            elements,
            children: Vec::new(),
        }
    }

    /// The item that holds all others.
    pub(super) fn root(name: &Code, template: &str) -> Self {
        Self::new(None, "CONTAINER", Some(name)).holding(Some(template))
    }

    /// An item that holds others under a heading.
    pub(super) fn container(name: &Code, template: Option<&str>) -> Self {
        Self::new(Some(Relation::Contains), "CONTAINER", Some(name)).holding(template)
    }

    fn holding(mut self, template: Option<&str>) -> Self {
        self.elements
            .push(word(tags::CONTINUITY_OF_CONTENT, "SEPARATE"));
        self.elements.extend(template.map(|identifier| {
            let template = item([
                word(tags::MAPPING_RESOURCE, "DCMR"),
                word(tags::TEMPLATE_IDENTIFIER, identifier),
            ]);
            sequence(tags::CONTENT_TEMPLATE_SEQUENCE, vec![template])
        }));
        self
    }

    pub(super) fn code(relation: Relation, name: &Code, value: &Code) -> Self {
        Self::new(Some(relation), "CODE", Some(name))
            .with_element(sequence(tags::CONCEPT_CODE_SEQUENCE, vec![value.item()]))
    }

    pub(super) fn text(relation: Relation, name: &Code, value: &str) -> Self {
        Self::new(Some(relation), "TEXT", Some(name)).with_element(text(
            tags::TEXT_VALUE,
            VR::UT,
            value,
        ))
    }

    pub(super) fn person(relation: Relation, name: &Code, value: &str) -> Self {
        Self::new(Some(relation), "PNAME", Some(name)).with_element(text(
            tags::PERSON_NAME,
            VR::PN,
            value,
        ))
    }

    pub(super) fn identifier(relation: Relation, name: &Code, value: &str) -> Self {
        Self::new(Some(relation), "UIDREF", Some(name)).with_element(uid(tags::UID, value))
    }

    /// A number: as a decimal string, and unrounded beside it.
    pub(super) fn number(relation: Relation, name: &Code, value: f64, unit: &Code) -> Self {
        let measured = item([
            text(tags::NUMERIC_VALUE, VR::DS, decimal(value)),
            DataElement::new(
                tags::FLOATING_POINT_VALUE,
                VR::FD,
                PrimitiveValue::from(value),
            ),
            sequence(tags::MEASUREMENT_UNITS_CODE_SEQUENCE, vec![unit.item()]),
        ]);
        Self::new(Some(relation), "NUM", Some(name))
            .with_element(sequence(tags::MEASURED_VALUE_SEQUENCE, vec![measured]))
    }

    /// A film.
    pub(super) fn image(relation: Relation, film: &FilmReference) -> Self {
        Self::new(Some(relation), "IMAGE", None)
            .with_element(sequence(tags::REFERENCED_SOP_SEQUENCE, vec![film.item()]))
    }

    /// Places on a film, in its pixels: from 0, 0 at the upper left corner of the first one (PS3.3 C.18.6.1.1).
    pub(super) fn places(
        relation: Relation,
        name: &Code,
        shape: Shape,
        points: &[FilmPoint],
        film: &FilmReference,
    ) -> Self {
        Self::new(Some(relation), "SCOORD", Some(name))
            .with_element(word(tags::GRAPHIC_TYPE, shape.name()))
            .with_element(reals(tags::GRAPHIC_DATA, coordinates(points)))
            .with(Self::image(Relation::SelectedFrom, film))
    }

    fn with_element(mut self, element: InMemElement) -> Self {
        self.elements.push(element);
        self
    }

    /// The same with one more item in it.
    pub(super) fn with(mut self, child: Self) -> Self {
        self.children.push(child);
        self
    }

    /// The same with more items in it.
    pub(super) fn with_all(mut self, children: impl IntoIterator<Item = Self>) -> Self {
        self.children.extend(children);
        self
    }

    /// The elements of the item, for the highest level of a document.
    pub(super) fn into_elements(self) -> Vec<InMemElement> {
        let mut elements = self.elements;
        elements.extend(
            self.relation
                .map(|relation| word(tags::RELATIONSHIP_TYPE, relation.name())),
        );
        if !self.children.is_empty() {
            let children = self.children.into_iter().map(Self::into_item).collect();
            elements.push(sequence(tags::CONTENT_SEQUENCE, children));
        }
        elements
    }

    fn into_item(self) -> InMemDicomObject {
        item(self.into_elements())
    }
}

/// What places are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shape {
    Point,
    Polyline,
    /// The ends of the major, then of the minor axis.
    Ellipse,
}

impl Shape {
    const fn name(self) -> &'static str {
        match self {
            Self::Point => "POINT",
            Self::Polyline => "POLYLINE",
            Self::Ellipse => "ELLIPSE",
        }
    }
}

/// Film points as column, row, column, row …
#[expect(
    clippy::cast_possible_truncation,
    reason = "the standard has 32 bits for a place, a hundredth of a pixel on the largest film"
)]
pub(super) fn coordinates(points: &[FilmPoint]) -> Vec<f32> {
    let pairs = points.iter().flat_map(|point| [point.x_px, point.y_px]);
    pairs.map(|place| place as f32).collect()
}
