"""Makes the seeds of the film, summary and directory targets: small whole files of every kind that is read.

Usage: make_seeds.py FOLDER, with the Python of target/outside-venv

The seeds are committed; this says where they come from.
"""

import io
import subprocess
import sys
from pathlib import Path

import numpy as np
import pydicom
from PIL import Image
from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.sequence import Sequence
from pydicom.uid import ExplicitVRBigEndian, ExplicitVRLittleEndian, ImplicitVRLittleEndian

HERE = Path(__file__).parent


def grey(bits=16):
    return (np.arange(24 * 16, dtype=np.uint32) * 97 % (1 << bits)).astype("<u2").reshape(16, 24)


def film(syntax=ExplicitVRLittleEndian):
    made = Dataset()
    made.file_meta = FileMetaDataset()
    made.file_meta.TransferSyntaxUID = syntax
    made.file_meta.MediaStorageSOPClassUID = "1.2.840.10008.5.1.4.1.1.1.1"
    made.file_meta.MediaStorageSOPInstanceUID = "2.25.1"
    made.SpecificCharacterSet = ["", "ISO 2022 IR 87"]
    made.SOPClassUID, made.SOPInstanceUID = "1.2.840.10008.5.1.4.1.1.1.1", "2.25.1"
    made.StudyInstanceUID, made.SeriesInstanceUID = "2.25.2", "2.25.3"
    made.StudyDate, made.Modality, made.ImageLaterality = "20260105", "DX", "L"
    made.PatientName, made.PatientID, made.InstanceNumber = "Sample^Foot=山田^太郎", "S1", 1
    made.PixelSpacing, made.ImagerPixelSpacing = [0.15, 0.15], [0.16, 0.16]
    made.PatientOrientation = ["L", "P"]
    made.Rows, made.Columns, made.SamplesPerPixel = 16, 24, 1
    made.PhotometricInterpretation, made.BitsAllocated = "MONOCHROME1", 16
    made.BitsStored, made.HighBit, made.PixelRepresentation = 12, 11, 0
    made.WindowCenter, made.WindowWidth = [2000, 900], [4000, 800]
    made.PixelData = grey(12).tobytes()
    return made


def with_tables(made):
    for keyword in ("ModalityLUTSequence", "VOILUTSequence"):
        table = Dataset()
        table.add_new(0x00283002, "US", [4, 0, 12])
        table.LUTExplanation = "Bone"
        table.add_new(0x00283006, "US", [0, 9, 99, 4095])
        setattr(made, keyword, Sequence([table]))
    return made


def with_overlay(made):
    made.add_new(0x60000010, "US", 16)
    made.add_new(0x60000011, "US", 24)
    made.add_new(0x60000040, "CS", "G")
    made.add_new(0x60000050, "SS", [1, 1])
    made.add_new(0x60000100, "US", 1)
    made.add_new(0x60000102, "US", 0)
    made.add_new(0x60003000, "OW", bytes(48))
    return made


def several(made):
    made.NumberOfFrames = 3
    made.PixelData = 3 * grey(12).tobytes()
    shared = Dataset()
    measures = Dataset()
    measures.PixelSpacing = [0.2, 0.2]
    shared.PixelMeasuresSequence = Sequence([measures])
    made.SharedFunctionalGroupsSequence = Sequence([shared])
    return made


def palette(made):
    made.PhotometricInterpretation = "PALETTE COLOR"
    made.BitsAllocated, made.BitsStored, made.HighBit = 8, 8, 7
    made.PixelData = bytes(range(192)) * 2
    for colour in ("Red", "Green", "Blue"):
        setattr(made, f"{colour}PaletteColorLookupTableDescriptor", [256, 0, 16])
        data = np.arange(256, dtype="<u2").tobytes()
        setattr(made, f"{colour}PaletteColorLookupTableData", data)
    return made


def written(made, implicit=False, little=True):
    buffer = io.BytesIO()
    pydicom.dcmwrite(
        buffer, made, enforce_file_format=True, implicit_vr=implicit, little_endian=little
    )
    return buffer.getvalue()


def directory():
    made = Dataset()
    made.file_meta = FileMetaDataset()
    made.file_meta.TransferSyntaxUID = ExplicitVRLittleEndian
    made.file_meta.MediaStorageSOPClassUID = "1.2.840.10008.1.3.10"
    made.file_meta.MediaStorageSOPInstanceUID = "2.25.4"
    made.FileSetID = "DISC"
    made.OffsetOfTheFirstDirectoryRecordOfTheRootDirectoryEntity = 0
    made.OffsetOfTheLastDirectoryRecordOfTheRootDirectoryEntity = 0
    made.FileSetConsistencyFlag = 0
    records = []
    for kind in ("PATIENT", "STUDY", "SERIES", "IMAGE", "IMAGE"):
        record = Dataset()
        record.OffsetOfTheNextDirectoryRecord = 0
        record.RecordInUseFlag = 0xFFFF
        record.OffsetOfReferencedLowerLevelDirectoryEntity = 0
        record.DirectoryRecordType = kind
        if kind == "IMAGE":
            record.ReferencedFileID = ["FILMS", f"IM{len(records)}"]
        records.append(record)
    made.DirectoryRecordSequence = Sequence(records)
    return written(made)


def pictures():
    eight = Image.fromarray((grey(8)).astype(np.uint8))
    colour = Image.merge("RGB", [eight, eight.rotate(180), eight])
    for name, picture, options in [
        ("grey.png", Image.fromarray(grey()), {}),
        ("colour.png", colour, {}),
        ("palette.png", colour.quantize(16), {}),
        ("grey.jpg", eight, {}),
        ("progressive.jpg", colour, {"progressive": True}),
        ("plain.tif", Image.fromarray(grey()), {}),
        ("lzw.tif", Image.fromarray(grey()), {"compression": "tiff_lzw"}),
        ("deflate.tif", colour, {"compression": "tiff_adobe_deflate"}),
        ("fax.tif", eight.convert("1"), {"compression": "group4"}),
        ("grey.bmp", eight, {}),
    ]:
        buffer = io.BytesIO()
        kind = {"jpg": "JPEG", "tif": "TIFF"}.get(name[-3:], name[-3:].upper())
        picture.save(buffer, kind, **options)
        yield name, buffer.getvalue()


def films(scratch):
    yield "plain.dcm", written(with_overlay(film()))
    yield "tables.dcm", written(with_tables(film()))
    yield "several.dcm", written(several(film()))
    yield "palette.dcm", written(palette(film()))
    yield "implicit.dcm", written(film(ImplicitVRLittleEndian), implicit=True)
    yield "big-endian.dcm", written(film(ExplicitVRBigEndian), little=False)
    deflated = film(pydicom.uid.DeflatedExplicitVRLittleEndian)
    yield "deflated.dcm", written(deflated)
    script = HERE.parent / "outside/imagecodecs/encoded_films.py"
    subprocess.run([sys.executable, script, scratch, "24", "16"], check=True)
    for path in sorted(Path(scratch).glob("*.dcm")):
        yield f"encoded-{path.name}", path.read_bytes()


def main():
    folder = Path(sys.argv[1])
    scratch = folder / "scratch"
    made = [*films(scratch), *pictures()]
    for target in ("film", "summary", "directory"):
        (folder / target).mkdir(parents=True, exist_ok=True)
    for name, content in made:
        (folder / "film" / name).write_bytes(content)
        if name.endswith(".dcm") and not name.startswith("encoded"):
            (folder / "summary" / name).write_bytes(content)
    (folder / "directory" / "DICOMDIR").write_bytes(directory())
    for path in scratch.iterdir():
        path.unlink()
    scratch.rmdir()


if __name__ == "__main__":
    main()
