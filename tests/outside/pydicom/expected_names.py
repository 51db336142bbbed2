"""Patients' names of pydicom's own test files, as it reads them in each character set.

Usage: expected_names.py

Prints a list of files with the groups of each name: alphabetic, ideographic, phonetic.
"""

import json
import warnings
from pathlib import Path

import pydicom


def main():
    warnings.simplefilter("ignore")
    packages = Path(pydicom.__file__).parent / "data"
    found = []
    for path in sorted(packages.rglob("*.dcm")):
        try:
            dataset = pydicom.dcmread(path, force=True, stop_before_pixels=True)
            dataset.decode()
            name = dataset.get("PatientName")
        except Exception:  # files that are damaged on purpose
            continue
        if name:
            groups = [name.alphabetic, name.ideographic, name.phonetic]
            found.append({"path": str(path), "groups": groups})
    print(json.dumps(found))


if __name__ == "__main__":
    main()
