"""What pydicom and highdicom read from the objects of a study that came back from an archive.

Usage: came_back.py QUESTION ANSWER

The question names the `folder` into which they came, the `films` that were sent at first and the `objects` that were
sent back. Objects are told apart by their SOP class alone, since an archive gives them other names. The answer holds
every number and class of the report, the films that report and drawings refer to, whether the pixels of each film are
those that were sent, byte by byte and as an array, how the document of the sheet begins, and which of the objects came
back with every element as it was sent: an archive may write lengths of sequences otherwise.
"""

import json
import sys
from pathlib import Path

import highdicom
import numpy as np
import pydicom
from pydicom.uid import (
    ComprehensiveSRStorage,
    EncapsulatedPDFStorage,
    GrayscaleSoftcopyPresentationStateStorage,
)

MEASUREMENTS = "126010"


def code(sequence):
    item = sequence[0]
    return item.CodeValue if "CodeValue" in item else item.LongCodeValue


def values(report):
    """Every number and class of the measurement groups, by the program's identifier."""
    read = {}
    for container in report.ContentSequence:
        if container.ValueType != "CONTAINER" or code(container.ConceptNameCodeSequence) != MEASUREMENTS:
            continue
        for group in container.ContentSequence:
            for item in group.ContentSequence:
                if item.RelationshipType != "CONTAINS":
                    continue
                name = code(item.ConceptNameCodeSequence)
                if item.ValueType == "NUM":
                    read[name] = item.MeasuredValueSequence[0].FloatingPointValue
                elif item.ValueType == "CODE":
                    read[name] = code(item.ConceptCodeSequence)
    return read


def highdicom_values(path):
    groups = highdicom.sr.srread(path).content.get_image_measurement_groups()
    return {one.name.value: one.value for group in groups for one in group.get_measurements()}


def referenced(dataset):
    """The instances to which a dataset refers anywhere, without those that it is about itself."""
    found = set()
    for element in dataset.iterall():
        if element.keyword == "ReferencedSOPInstanceUID":
            found.add(str(element.value))
    return sorted(found)


def pixels(film, sent):
    original = sent[film.SOPInstanceUID]
    return {
        "are_same_bytes": film.PixelData == original.PixelData,
        "are_same_values": bool(np.array_equal(film.pixel_array, original.pixel_array)),
    }


def main():
    question = json.loads(Path(sys.argv[1]).read_text())
    sent = {film.SOPInstanceUID: film for film in map(pydicom.dcmread, question["films"])}
    objects = {one.SOPInstanceUID: one for one in map(pydicom.dcmread, question["objects"])}
    answer = {"films": {}, "drawings": {}, "reports": [], "sheets": [], "equal": []}
    for path in sorted(Path(question["folder"]).glob("*.dcm")):
        came = pydicom.dcmread(path)
        if came.SOPInstanceUID in objects and came == objects[came.SOPInstanceUID]:
            answer["equal"].append(str(came.SOPInstanceUID))
        if came.SOPClassUID == ComprehensiveSRStorage:
            report = {"values": values(came), "highdicom": highdicom_values(path), "films": referenced(came)}
            answer["reports"].append(report)
        elif came.SOPClassUID == GrayscaleSoftcopyPresentationStateStorage:
            answer["drawings"][str(came.SOPInstanceUID)] = referenced(came)
        elif came.SOPClassUID == EncapsulatedPDFStorage:
            answer["sheets"].append(came.EncapsulatedDocument[:5].decode("latin-1"))
        else:
            answer["films"][str(came.SOPInstanceUID)] = pixels(came, sent)
    Path(sys.argv[2]).write_text(json.dumps(answer))


main()
