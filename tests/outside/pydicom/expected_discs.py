"""The discs among pydicom's own test files, as it reads them.

Usage: expected_discs.py

Prints a list with an entry for each directory (DICOMDIR): its path, and the films that its records name, each with
its path below the disc and the identifiers of its patient, study and series from the film's own file.
"""

import json
import warnings
from pathlib import Path

import pydicom


def films(directory):
    dataset = pydicom.dcmread(directory)
    for record in dataset.get("DirectoryRecordSequence", []):
        if record.DirectoryRecordType != "IMAGE":
            continue
        named = record.ReferencedFileID
        parts = [named] if isinstance(named, str) else list(named)
        path = directory.parent.joinpath(*parts)
        if not path.is_file():
            continue
        film = pydicom.dcmread(path)
        if "PixelData" not in film:
            continue
        yield {
            "path": "/".join(parts),
            "patient": str(film.PatientID),
            "study": str(film.StudyInstanceUID),
            "series": str(film.SeriesInstanceUID),
        }


def main():
    warnings.simplefilter("ignore")
    packages = Path(pydicom.__file__).parent / "data" / "test_files"
    found = []
    for directory in sorted(packages.rglob("DICOMDIR*")):
        if directory.is_file():
            found.append({"directory": str(directory), "films": list(films(directory))})
    print(json.dumps(found))


if __name__ == "__main__":
    main()
