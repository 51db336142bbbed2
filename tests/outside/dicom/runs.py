"""A run of several pictures of which the second is a given film, and what is said and kept of each picture afterwards.

Usage: runs.py QUESTION ANSWER

`{"write": {"film": PATH, "run": PATH}}` makes a run of fluoroscopy of a DICOM film: three pictures, the second the film's
own. `{"read": {"film": PATH, "folder": PATH, "box": [LEFT, TOP, WIDTH, HEIGHT]}}` tells of every object of a folder which
frames of the film `film-ap.dcm` there it refers to, nothing for a reference without frame, and of the pictures of that
film which differ outside the box from those of PATH and how many values lie within it.
"""

import json
import sys
from pathlib import Path

import numpy as np
import pydicom
from pydicom.uid import ExplicitVRLittleEndian, XRayRadiofluoroscopicImageStorage


def write(film, run):
    made = pydicom.dcmread(film)
    own = made.pixel_array
    pictures = np.stack([own[::-1] // 2, own, own[:, ::-1] // 3]).astype(own.dtype)
    made.SOPClassUID = XRayRadiofluoroscopicImageStorage
    made.file_meta.MediaStorageSOPClassUID = XRayRadiofluoroscopicImageStorage
    made.file_meta.TransferSyntaxUID = ExplicitVRLittleEndian
    made.Modality = "RF"
    made.NumberOfFrames = len(pictures)
    made.FrameTime = 100
    made.FrameIncrementPointer = pydicom.datadict.tag_for_keyword("FrameTime")
    made.PixelData = pictures.tobytes()
    made["PixelData"].VR = "OW"
    made.save_as(run, enforce_file_format=True)
    return {}


def frames_of(data_set, uid):
    found = []
    for element in data_set:
        if element.VR != "SQ":
            continue
        for item in element.value:
            if item.get("ReferencedSOPInstanceUID") == uid:
                number = item.get("ReferencedFrameNumber")
                found.append(None if number is None else int(number))
            found += frames_of(item, uid)
    return found


def read(film, folder, box):
    folder = Path(folder)
    after = pydicom.dcmread(folder / "film-ap.dcm")
    frames = {
        path.stem: sorted(
            set(frames_of(pydicom.dcmread(path, stop_before_pixels=True), after.SOPInstanceUID)), key=str
        )
        for path in folder.glob("*.dcm")
    }
    before = pydicom.dcmread(film).pixel_array
    pictures = after.pixel_array
    inside = np.zeros(before.shape[1:], bool)
    inside[box[1] : box[1] + box[3], box[0] : box[0] + box[2]] = True
    return {
        "frames": frames,
        "pictures": len(pictures),
        "differ_outside": [int((one != other)[~inside].sum()) for one, other in zip(before, pictures)],
        "values_inside": [len(np.unique(picture[inside])) for picture in pictures],
    }


question = json.loads(Path(sys.argv[1]).read_text())
answer = write(**question["write"]) if "write" in question else read(**question["read"])
Path(sys.argv[2]).write_text(json.dumps(answer))
