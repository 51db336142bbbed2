"""What pydicom and highdicom read from the objects that `plumbray export` wrote.

Usage: read_objects.py QUESTION ANSWER

The question names a folder. The answer holds every number, class and place of the report, the drawings, what each
object says of its patient, study and film, and the pixels of the pictures compared with the annotated pictures
that `plumbray sheet --picture` wrote (`pictures`, a folder). The document of the sheet is written beside it as
`sheet.pdf`.
"""

import json
import sys
from pathlib import Path

import highdicom
import numpy as np
import pydicom
from highdicom.sr import MeasurementReport
from imageio.v3 import imread

TRACKED = (
    "PatientName PatientID PatientBirthDate StudyInstanceUID SeriesInstanceUID SOPInstanceUID SOPClassUID Modality"
    " SpecificCharacterSet Manufacturer SoftwareVersions SeriesDescription BurnedInAnnotation ConversionType Laterality"
    " ImageLaterality InstanceCreationDate PatientIdentityRemoved"
).split()


def code(sequence):
    item = sequence[0]
    value = item.CodeValue if "CodeValue" in item else item.LongCodeValue
    return {"value": value, "scheme": item.CodingSchemeDesignator, "meaning": item.CodeMeaning}


def number(item):
    measured = item.MeasuredValueSequence[0]
    return {
        "exact": measured.FloatingPointValue,
        "decimal": float(measured.NumericValue),
        "unit": code(measured.MeasurementUnitsCodeSequence)["value"],
    }


def children(item, relation=None):
    for child in item.get("ContentSequence", []):
        if relation is None or child.RelationshipType == relation:
            yield child


def name(item):
    return code(item.ConceptNameCodeSequence)


def place(item):
    image = item.ContentSequence[0]
    assert image.RelationshipType == "SELECTED FROM", image
    return {
        "name": name(item),
        "shape": item.GraphicType,
        "points": [float(value) for value in item.GraphicData],
        "image": image.ReferencedSOPSequence[0].ReferencedSOPInstanceUID,
    }


def value_of(item):
    if item.ValueType == "NUM":
        return number(item)
    if item.ValueType == "CODE":
        return code(item.ConceptCodeSequence)
    if item.ValueType == "UIDREF":
        return item.UID
    if item.ValueType == "PNAME":
        return str(item.PersonName)
    return item.TextValue


def measured(item):
    properties = {name(child)["value"]: number(child) for child in children(item, "HAS PROPERTIES")}
    modifiers = {name(child)["value"]: value_of(child) for child in children(item, "HAS CONCEPT MOD")}
    return {
        "name": name(item),
        "kind": item.ValueType,
        "value": value_of(item),
        "properties": properties,
        "modifiers": modifiers,
        "places": [place(child) for child in children(item, "INFERRED FROM")],
    }


def read_report(path):
    report = pydicom.dcmread(path)
    containers = {name(child)["value"]: child for child in children(report) if child.ValueType == "CONTAINER"}
    groups = []
    for group in children(containers["126010"]):
        site = next(child for child in children(group) if name(child)["value"] == "363698007")
        groups.append({
            "tracking": next(value_of(child) for child in children(group) if name(child)["value"] == "112039"),
            "site": value_of(site)["value"],
            "laterality": value_of(site.ContentSequence[0])["value"],
            "items": [measured(child) for child in children(group, "CONTAINS")],
        })
    tracing = {
        view: [place(child) for child in children(containers[f"tracing.{view}"])]
        for view in ("ap", "lateral")
        if f"tracing.{view}" in containers
    }
    library = [
        image.ReferencedSOPSequence[0].ReferencedSOPInstanceUID
        for group in children(containers["111028"])
        for image in children(group)
    ]
    evidence = [
        instance.ReferencedSOPInstanceUID
        for keyword in ("CurrentRequestedProcedureEvidenceSequence", "PertinentOtherEvidenceSequence")
        for study in report.get(keyword, [])
        for series in study.ReferencedSeriesSequence
        for instance in series.ReferencedSOPSequence
    ]
    texts = {name(child)["value"]: value_of(child) for child in children(report) if child.ValueType in ("TEXT", "PNAME")}
    # highdicom checks the templates' structure while it reads, and finds the groups by their own identifiers.
    opened = highdicom.sr.srread(path)
    assert isinstance(opened.content, MeasurementReport), type(opened.content)
    found = opened.content.get_image_measurement_groups()
    return {
        "groups": groups,
        "tracing": tracing,
        "library": library,
        "evidence": evidence,
        "texts": texts,
        "highdicom": [
            {
                "tracking": group.tracking_identifier,
                "site": group.finding_sites[0].value.value,
                "numbers": {
                    measurement.name.value: measurement.value for measurement in group.get_measurements()
                },
            }
            for group in found
        ],
    }


def read_drawing(path):
    state = pydicom.dcmread(path)
    annotation = state.GraphicAnnotationSequence[0]
    image = state.ReferencedSeriesSequence[0].ReferencedImageSequence[0]
    voi = state.SoftcopyVOILUTSequence[0]
    return {
        "graphics": [
            {"shape": graphic.GraphicType, "points": [float(value) for value in np.ravel(graphic.GraphicData)]}
            for graphic in annotation.GraphicObjectSequence
        ],
        "texts": [text.UnformattedTextValue for text in annotation.get("TextObjectSequence", [])],
        "units": sorted({graphic.GraphicAnnotationUnits for graphic in annotation.GraphicObjectSequence}),
        "image": image.ReferencedSOPInstanceUID,
        "layers": [layer.GraphicLayer for layer in state.GraphicLayerSequence],
        "area": [
            list(state.DisplayedAreaSelectionSequence[0].DisplayedAreaTopLeftHandCorner),
            list(state.DisplayedAreaSelectionSequence[0].DisplayedAreaBottomRightHandCorner),
        ],
        "window": [float(voi.WindowCenter), float(voi.WindowWidth)],
        "shape": state.PresentationLUTShape,
    }


def read_picture(path, annotated):
    picture = pydicom.dcmread(path)
    expected = imread(annotated)
    if expected.ndim == 2:
        expected = np.repeat(expected[:, :, np.newaxis], 3, axis=2)
    return {
        "is_same": bool(np.array_equal(picture.pixel_array, expected[:, :, :3])),
        "source": picture.SourceImageSequence[0].ReferencedSOPInstanceUID,
        "size": [int(picture.Columns), int(picture.Rows)],
    }


def read_capture(path, original):
    """The secondary capture of a film that was a PNG."""
    return {"is_same": bool(np.array_equal(pydicom.dcmread(path).pixel_array, imread(original)))}


def main():
    question = json.loads(Path(sys.argv[1]).read_text())
    folder = Path(question["folder"])
    answer = {"said": {}, "drawings": {}, "pictures": {}, "captures": {}}
    for path in sorted(folder.glob("*.dcm")):
        read = pydicom.dcmread(path, stop_before_pixels=True)
        said = {keyword: str(read[keyword].value) for keyword in TRACKED if keyword in read}
        said["meta"] = str(read.file_meta.MediaStorageSOPInstanceUID)
        answer["said"][path.stem] = said
        if path.stem == "report":
            answer["report"] = read_report(path)
        elif path.stem.startswith("drawing"):
            answer["drawings"][path.stem] = read_drawing(path)
        elif path.stem.startswith("picture"):
            view = path.stem.split("-")[1]
            annotated = next(Path(question["pictures"]).glob(f"*.{view}.png"))
            answer["pictures"][path.stem] = read_picture(path, annotated)
        elif path.stem.startswith("film") and path.stem in question.get("originals", {}):
            answer["captures"][path.stem] = read_capture(path, question["originals"][path.stem])
        elif path.stem == "sheet":
            length = read.EncapsulatedDocumentLength
            (folder / "sheet.pdf").write_bytes(read.EncapsulatedDocument[:length])
    Path(sys.argv[2]).write_text(json.dumps(answer))


main()
