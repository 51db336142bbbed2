"""The vocabularies that crate plumbray-report leans on, from packages of others.

Usage: vocabulary.py QUESTION ANSWER

`codes`: for each asked code of DICOM's context groups, the meanings that pydicom has for it. `profile`: every attribute
of the Basic Application Level Confidentiality Profile (PS3.15 table E.1-1, edition 2026c) with its action, as
dicom-anonymizer has it, and `patterns`, those that it names by pattern.
"""

import json
import sys
from pathlib import Path

from dicomanonymizer.dicom_anonymization_databases import dicomfields_2026c as profile
from pydicom.sr._concepts_dict import concepts

ACTIONS = {
    "D": profile.D_TAGS,
    "Z": profile.Z_TAGS,
    "X": profile.X_TAGS,
    "U": profile.U_TAGS,
    "ZD": profile.Z_D_TAGS,
    "XZ": profile.X_Z_TAGS,
    "XD": profile.X_D_TAGS,
    "XZD": profile.X_Z_D_TAGS,
    "XZU": profile.X_Z_U_STAR_TAGS,
}


def meanings(scheme, value):
    """pydicom's dictionary goes by keywords, under each of which codes stand with their meanings."""
    return sorted({
        codes[value][0] for codes in concepts.get(scheme, {}).values() if value in codes
    })


def main():
    question = json.loads(Path(sys.argv[1]).read_text())
    lines = [(tag, action) for action, tags in ACTIONS.items() for tag in tags]
    answer = {
        "codes": [meanings(asked["scheme"], asked["value"]) for asked in question["codes"]],
        "profile": [[tag[0] << 16 | tag[1], action] for tag, action in lines if len(tag) == 2],
        "patterns": [[tag[0], action] for tag, action in lines if len(tag) == 4],
    }
    Path(sys.argv[2]).write_text(json.dumps(answer))


main()
