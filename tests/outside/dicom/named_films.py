"""Films that name their patient in every place where a film can, and what is left after the names were taken away.

Usage: named_films.py write FOLDER
       named_films.py read QUESTION ANSWER

`write` makes FOLDER/*.dcm from one picture in several transfer syntaxes and pixel kinds, FOLDER/*.png, *.jpg and *.tif
with names in their own metadata, and FOLDER/secrets.json, the list of texts that must be found nowhere afterwards.
`read` is given pairs of such films before and after, with the boxes that were masked, and tells what pydicom reads.
"""

import json
import sys
from pathlib import Path

import numpy as np
import pydicom
from PIL import Image, PngImagePlugin, TiffImagePlugin
from pydicom.dataset import Dataset, FileDataset, FileMetaDataset
from pydicom.sequence import Sequence
from pydicom.uid import (
    DigitalXRayImageStorageForPresentation,
    ExplicitVRBigEndian,
    ExplicitVRLittleEndian,
    ImplicitVRLittleEndian,
    JPEG2000Lossless,
    JPEGBaseline8Bit,
    RLELossless,
)

ROOT = "1.3.6.1.4.1.99999.7"
SECRETS = [
    "Quillfeather", "QF-40271", "19470312", "20240917", "20240918", "Ottershaw", "ACC77123", "Penhaligon", "Neighbour",
    ROOT, "Hushaby",
]


def elements(rows, columns):
    film = Dataset()
    film.SpecificCharacterSet = "ISO_IR 100"
    film.ImageType = ["ORIGINAL", "PRIMARY", ""]
    film.SOPClassUID = DigitalXRayImageStorageForPresentation
    film.SOPInstanceUID = f"{ROOT}.1"
    film.StudyDate = film.SeriesDate = film.AcquisitionDate = film.ContentDate = "20240917"
    film.StudyTime = film.ContentTime = "101112"
    film.AcquisitionDateTime = "20240918101112"
    film.AccessionNumber = "ACC77123"
    film.Modality = "DX"
    film.Manufacturer = "A maker"
    film.InstitutionName = "Ottershaw Infirmary"
    film.InstitutionAddress = "Ottershaw"
    film.ReferringPhysicianName = "Penhaligon^P"
    film.StudyDescription = "Foot of Quillfeather"
    film.SeriesDescription = "Quillfeather standing"
    film.OperatorsName = "Penhaligon^O"
    film.PatientName = "Quillfeather^Ren\u00e9"
    film.PatientID = "QF-40271"
    film.PatientBirthDate = "19470312"
    film.PatientSex = "O"
    film.OtherPatientNames = "Quillfeather^Other"
    film.PatientAddress = "Ottershaw"
    film.PatientComments = "Neighbour of Penhaligon"
    film.AdditionalPatientHistory = "Quillfeather fell"
    film.StudyInstanceUID = f"{ROOT}.2"
    film.SeriesInstanceUID = f"{ROOT}.3"
    film.FrameOfReferenceUID = f"{ROOT}.4"
    film.StudyID = "ACC77123"
    film.SeriesNumber = 1
    film.InstanceNumber = 1
    film.ImageLaterality = "L"
    film.BodyPartExamined = "FOOT"
    film.ImageComments = "Quillfeather"
    film.BurnedInAnnotation = "YES"
    film.PixelSpacing = [0.15, 0.15]
    source = Dataset()
    source.ReferencedSOPClassUID = DigitalXRayImageStorageForPresentation
    source.ReferencedSOPInstanceUID = f"{ROOT}.1"
    film.SourceImageSequence = Sequence([source])
    request = Dataset()
    request.AccessionNumber = "ACC77123"
    request.RequestedProcedureDescription = "Quillfeather's foot"
    request.ReferencedStudySequence = Sequence([source])
    film.RequestAttributesSequence = Sequence([request])
    # In a sequence that the profile keeps, so that only going into it finds the names.
    region = Dataset()
    region.CodeValue, region.CodingSchemeDesignator, region.CodeMeaning = "56459004", "SCT", "Foot"
    region.PatientName = "Quillfeather^Nested"
    region.ContextUID = "1.2.840.10008.6.1.310"
    film.AnatomicRegionSequence = Sequence([region])
    film.add_new((0x0009, 0x0010), "LO", "Hushaby")
    film.add_new((0x0009, 0x1001), "LO", "Quillfeather")
    film.add_new((0x5000, 0x2500), "LO", "Quillfeather")
    film.add_new((0x6000, 0x0010), "US", rows)
    film.add_new((0x6000, 0x0011), "US", columns)
    film.add_new((0x6000, 0x0022), "LO", "Quillfeather")
    film.add_new((0x6000, 0x4000), "LT", "Quillfeather")
    film.add_new((0x6000, 0x3000), "OW", b"\0\0" * (rows * columns // 16 + 1))
    return film


def grey(rows, columns, bits):
    generator = np.random.default_rng(7)
    return generator.integers(3, 1 << bits, (rows, columns)).astype(np.uint16 if bits > 8 else np.uint8)


def described(film, pixels, colours, bits):
    is_run = pixels.ndim == 3 and pixels.shape[2] != 3
    if is_run:
        film.NumberOfFrames = len(pixels)
        film.FrameTime = 100
        film.FrameIncrementPointer = 0x00181063
    film.Rows, film.Columns = pixels.shape[1:] if is_run else pixels.shape[:2]
    film.SamplesPerPixel = 3 if pixels.ndim == 3 and not is_run else 1
    film.PhotometricInterpretation = colours
    film.BitsAllocated = pixels.dtype.itemsize * 8
    film.BitsStored, film.HighBit = bits, bits - 1
    film.PixelRepresentation = 0
    if film.SamplesPerPixel == 3:
        film.PlanarConfiguration = 0
    else:
        film.WindowCenter, film.WindowWidth = 1 << (bits - 1), 1 << bits


def write_dicom(path, pixels, colours, bits, syntax):
    film = elements(*(pixels.shape[1:] if pixels.ndim == 3 and pixels.shape[2] != 3 else pixels.shape[:2]))
    described(film, pixels, colours, bits)
    meta = FileMetaDataset()
    meta.MediaStorageSOPClassUID = film.SOPClassUID
    meta.MediaStorageSOPInstanceUID = film.SOPInstanceUID
    is_compressed = syntax in (RLELossless, JPEG2000Lossless)
    meta.TransferSyntaxUID = ExplicitVRLittleEndian if is_compressed else syntax
    meta.SourceApplicationEntityTitle = "Hushaby"
    is_big = syntax == ExplicitVRBigEndian
    stored = FileDataset(
        str(path),
        film,
        preamble=b"Quillfeather".ljust(128, b"\0"),
        file_meta=meta,
        is_implicit_VR=syntax == ImplicitVRLittleEndian,
        is_little_endian=not is_big,
    )
    raw = pixels.astype(pixels.dtype.newbyteorder(">")) if is_big else pixels
    stored.PixelData = raw.tobytes()
    stored["PixelData"].VR = "OB" if pixels.dtype.itemsize == 1 and not is_big else "OW"
    if is_compressed:
        stored.compress(syntax, generate_instance_uid=False)
    stored.save_as(path, enforce_file_format=True)


def lettered(shape):
    """A graphic in the four bits above the sample, as films before 2004 have it."""
    bits = np.zeros(shape, np.uint16)
    bits[10:30, 40:70] = 0x8000
    return bits


def write_shared_colours(folder):
    """A film whose colours two pixels share, uncompressed and in JPEG."""
    rows, columns = 64, 80
    generator = np.random.default_rng(9)
    shared = np.empty((rows, columns // 2, 4), np.uint8)
    shared[..., :2] = generator.integers(60, 190, (rows, columns // 2, 2))
    shared[..., 2:] = generator.integers(110, 146, (rows, columns // 2, 2))
    film = elements(rows, columns)
    described(film, np.empty((rows, columns, 3), np.uint8), "YBR_FULL_422", 8)
    save(folder / "colour-422.dcm", film, shared.tobytes(), ExplicitVRLittleEndian)
    smooth = np.dstack([np.add.outer(np.arange(rows), np.arange(columns)).astype(np.uint8) + grey for grey in (20, 50, 90)])
    write_jpeg(folder / "colour-422-jpeg.dcm", smooth)


def save(path, film, pixels, syntax):
    meta = FileMetaDataset()
    meta.MediaStorageSOPClassUID = film.SOPClassUID
    meta.MediaStorageSOPInstanceUID = film.SOPInstanceUID
    meta.TransferSyntaxUID = syntax
    stored = FileDataset(str(path), film, preamble=b"\0" * 128, file_meta=meta)
    stored.PixelData = pixels
    stored["PixelData"].VR = "OB"
    stored["PixelData"].is_undefined_length = syntax == JPEGBaseline8Bit
    stored.save_as(path, enforce_file_format=True)


def write_jpeg(path, pixels):
    """A film in JPEG whose stream has a comment of its own."""
    from io import BytesIO

    stream = BytesIO()
    Image.fromarray(pixels).save(stream, "JPEG", quality=95, comment=b"Quillfeather")
    film = elements(*pixels.shape[:2])
    described(film, pixels, "MONOCHROME2" if pixels.ndim == 2 else "YBR_FULL_422", 8)
    film.LossyImageCompression = "01"
    film.LossyImageCompressionRatio = 8
    save(path, film, pydicom.encaps.encapsulate([stream.getvalue()]), JPEGBaseline8Bit)


def write(folder):
    folder = Path(folder)
    small, deep = grey(64, 80, 8), grey(64, 80, 12)
    for name, syntax in [
        ("implicit", ImplicitVRLittleEndian),
        ("explicit", ExplicitVRLittleEndian),
        ("big", ExplicitVRBigEndian),
        ("rle", RLELossless),
        ("jpeg2000", JPEG2000Lossless),
    ]:
        write_dicom(folder / f"{name}.dcm", deep, "MONOCHROME2", 12, syntax)
    write_dicom(folder / "dark.dcm", deep, "MONOCHROME1", 12, ExplicitVRLittleEndian)
    write_dicom(folder / "small.dcm", small, "MONOCHROME2", 8, ExplicitVRLittleEndian)
    colours = np.dstack([small, small // 2, small // 3])
    write_dicom(folder / "colour.dcm", colours, "RGB", 8, ExplicitVRLittleEndian)
    write_dicom(folder / "colour-rle.dcm", colours, "RGB", 8, RLELossless)
    write_jpeg(folder / "jpeg.dcm", small)
    write_shared_colours(folder)
    write_dicom(folder / "run.dcm", np.stack([deep, deep[::-1], deep[:, ::-1]]), "MONOCHROME2", 12, RLELossless)
    write_dicom(folder / "bits.dcm", deep | lettered(deep.shape), "MONOCHROME2", 12, ExplicitVRLittleEndian)

    words = PngImagePlugin.PngInfo()
    words.add_text("Author", "Quillfeather")
    words.add_itxt("Comment", "Penhaligon")
    Image.fromarray(deep.astype(np.uint16) << 4).save(folder / "plain.png", pnginfo=words)
    exif = Image.Exif()
    exif[0x010E] = "Quillfeather"
    exif[0x9003] = "20240917"
    Image.fromarray(small).save(folder / "plain.jpg", exif=exif, comment=b"Quillfeather")
    tags = TiffImagePlugin.ImageFileDirectory_v2()
    tags[270] = "Quillfeather"
    tags[305] = "Hushaby"
    Image.fromarray(small).save(folder / "plain.tif", tiffinfo=tags)
    (folder / "secrets.json").write_text(json.dumps(SECRETS))


def read_pair(pair):
    before, after = Path(pair["before"]), Path(pair["after"])
    if before.suffix == ".dcm":
        old, film = pydicom.dcmread(before), pydicom.dcmread(after)
        one, other = pydicom.pixels.pixel_array(old), pydicom.pixels.pixel_array(film)
        if before.name == "bits.dcm":
            # What lies above the sample is no part of it, and must be gone.
            one = one & 0x0FFF
        said = {
            "syntax": film.file_meta.TransferSyntaxUID,
            "removed": film.PatientIdentityRemoved,
            "methods": [item.CodeValue for item in film.DeidentificationMethodCodeSequence],
            "burned": film.get("BurnedInAnnotation"),
            "lossy": film.get("LossyImageCompression"),
            "private": sum(element.tag.is_private for element in film.iterall()),
            "nested": film.SourceImageSequence[0].ReferencedSOPInstanceUID == film.SOPInstanceUID,
            "meta": film.file_meta.MediaStorageSOPInstanceUID == film.SOPInstanceUID,
            "kept": [film.ImageLaterality, film.BodyPartExamined, film.AnatomicRegionSequence[0].CodeValue],
            "type": str(film.ImageType[0]),
        }
    else:
        one, other = np.array(Image.open(before)), np.array(Image.open(after))
        opened = Image.open(after)
        opened.load()
        said = {"info": sorted(opened.info), "exif": len(opened.getexif()), "format": opened.format}
    box = pair["box"]
    is_run = one.ndim == 3 and one.shape[2] != 3
    inside = np.zeros(one.shape if is_run else one.shape[:2], bool)
    inside[..., box[1] : box[1] + box[3], box[0] : box[0] + box[2]] = True
    said["pictures"] = len(other) if is_run else 1
    said["is_even"] = len(np.unique(other[inside].reshape(inside.sum(), -1), axis=0)) == 1
    said["is_darkest"] = bool((other[inside] == (one.max() if pair["is_dark"] else one.min())).all())
    said["largest_difference"] = int(np.abs(other[~inside].astype(int) - one[~inside].astype(int)).max())
    return said


if sys.argv[1] == "write":
    write(sys.argv[2])
else:
    pairs = json.loads(Path(sys.argv[2]).read_text())["pairs"]
    Path(sys.argv[3]).write_text(json.dumps([read_pair(pair) for pair in pairs]))
