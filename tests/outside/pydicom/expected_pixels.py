"""What pydicom reads from its own test files, for comparison with crate plumbray-film.

Usage: expected_pixels.py FOLDER

Writes FOLDER/manifest.json, a list with entries for each file of the packages pydicom, pydicom-data
and pynetdicom that has pixels: one for its first frame and, where it has several, for its second, its
middle and its last one. Overlay planes of the first frame are beside them. For each frame that pydicom can decode it writes FOLDER/N-FRAME.codes:
16-bit little-endian codes in the order of the modality values (docs/films.md says how codes follow
from stored samples). Everything is computed here anew from pydicom's arrays;
nothing comes from the crate under test.
"""

import json
import sys
import warnings
from pathlib import Path

import numpy as np
import pydicom
from pydicom.pixels import apply_color_lut, apply_modality_lut, pixel_array
from pydicom.uid import (
    DeflatedExplicitVRLittleEndian,
    ExplicitVRBigEndian,
    ExplicitVRLittleEndian,
    ImplicitVRLittleEndian,
    JPEG2000,
    JPEGBaseline8Bit,
    JPEGExtended12Bit,
)

LOSSY = {JPEGBaseline8Bit, JPEGExtended12Bit, JPEG2000}
UNCOMPRESSED = {
    ImplicitVRLittleEndian,
    ExplicitVRLittleEndian,
    ExplicitVRBigEndian,
    DeflatedExplicitVRLittleEndian,
}


def test_files():
    """Every file of the three packages, once, whatever its name."""
    packages = Path(pydicom.__file__).parent
    folders = [
        packages / "data" / "test_files",
        packages / "data" / "charset_files",
        packages.parent / "data_store" / "data",
        packages.parent / "pynetdicom" / "tests" / "dicom_files",
    ]
    found = [path for folder in folders for path in folder.rglob("*")]
    return sorted(path for path in found if path.is_file() and path.suffix not in {".py", ".pyc"})


def with_transfer_syntax(dataset):
    """Gives a data set without file meta group the transfer syntax that it was recognised by."""
    if not hasattr(dataset, "file_meta") or "TransferSyntaxUID" not in dataset.file_meta:
        implicit, little = dataset.original_encoding
        guessed = ExplicitVRLittleEndian
        if implicit:
            guessed = ImplicitVRLittleEndian
        elif not little:
            guessed = ExplicitVRBigEndian
        dataset.file_meta = getattr(dataset, "file_meta", pydicom.dataset.FileMetaDataset())
        dataset.file_meta.TransferSyntaxUID = guessed
    return dataset


def with_turned_palette(dataset):
    """Turns the palette entries of a big-endian file around.

    pydicom 3.0.2 reads them in little endian: its own OBXXXX1A_expb.dcm then differs from
    OBXXXX1A.dcm, which is the same picture in little endian.
    """
    if dataset.original_encoding == (False, False):
        for colour in ("Red", "Green", "Blue"):
            word = f"{colour}PaletteColorLookupTableData"
            if word in dataset:
                data = np.frombuffer(dataset[word].value, ">u2")
                setattr(dataset, word, data.astype("<u2").tobytes())
    return dataset


def scaled(values):
    """Values deeper than 16 bits, the used range spread over 0 to 65,535 unless it fits."""
    step = max((int(values.max()) - int(values.min())) / 65535, 1)
    return np.floor((values - values.min()) / step + 0.5).astype(np.int64)


def luminance(red_green_blue):
    """ITU-R BT.601, rounded to the nearest."""
    colours = red_green_blue.astype(np.int64)
    thousandfold = 299 * colours[..., 0] + 587 * colours[..., 1] + 114 * colours[..., 2]
    return (thousandfold + 500) // 1000


def stored_values(dataset, array):
    """Masked to Bits Stored and sign-extended."""
    bits = dataset.BitsStored
    shift = dataset.HighBit + 1 - bits
    values = array.astype(np.int64) >> shift
    values &= (1 << bits) - 1
    if dataset.PixelRepresentation == 1:
        values -= (values >> (bits - 1)) << bits
    return values


def grey_codes(dataset, array):
    values = stored_values(dataset, array)
    if dataset.get("ModalityLUTSequence"):
        return apply_modality_lut(values, dataset).astype(np.int64)
    rising = float(dataset.get("RescaleSlope", 1) or 1) >= 0
    if dataset.BitsAllocated == 32:
        return scaled(values if rising else -values)
    bits = dataset.BitsStored
    lowest = -(1 << (bits - 1)) if dataset.PixelRepresentation == 1 else 0
    codes = values - lowest
    return codes if rising else (1 << bits) - 1 - codes


def expected_codes(dataset, frame):
    meaning = dataset.get("PhotometricInterpretation", "MONOCHROME2")
    syntax = dataset.file_meta.TransferSyntaxUID
    if meaning in ("MONOCHROME1", "MONOCHROME2"):
        return grey_codes(dataset, pixel_array(dataset, index=frame, raw=True))
    if meaning == "PALETTE COLOR":
        indexes = pixel_array(dataset, index=frame, raw=True)
        return luminance(apply_color_lut(indexes, dataset))
    stored_as_luminance = meaning.startswith("YBR") and (
        syntax in UNCOMPRESSED or syntax == pydicom.uid.RLELossless
    )
    if stored_as_luminance:
        return pixel_array(dataset, index=frame, raw=True)[..., 0].astype(np.int64)
    grey = luminance(pixel_array(dataset, index=frame, raw=False))
    return scaled(grey) if dataset.BitsAllocated == 32 else grey


def overlays(dataset, codes_path):
    """The overlays that have data of their own, as files of a byte for each pixel."""
    found = []
    for group in range(0x6000, 0x6020, 2):
        if (group, 0x3000) in dataset:
            bits = dataset.overlay_array(group).astype(np.uint8)
            path = codes_path.with_suffix(f".{group:04X}")
            bits.tofile(path)
            top, left = dataset[group, 0x0050].value
            found.append({"bits": path.name, "top": int(top) - 1, "left": int(left) - 1})
    return found


def frames_of(dataset):
    """Places of the frames that are compared."""
    try:
        count = int(dataset.get("NumberOfFrames", 1) or 1)
    except ValueError:  # damaged on purpose
        count = 1
    return sorted({0, 1, count // 2, count - 1} & set(range(max(count, 1))))


def entries_of(path, number, folder):
    try:
        dataset = with_turned_palette(with_transfer_syntax(pydicom.dcmread(path, force=True)))
        if not any(
            word in dataset for word in ("PixelData", "FloatPixelData", "DoubleFloatPixelData")
        ):
            return [{"path": str(path), "frame": 0, "pixels": "none"}]
    except Exception as error:  # pydicom raises many kinds, and all mean the same here
        return [{"path": str(path), "frame": 0, "pixels": "unreadable", "reason": str(error)}]
    return [
        entry(path, dataset, frame, folder / f"{number}-{frame}.codes")
        for frame in frames_of(dataset)
    ]


def entry(path, dataset, frame, codes_path):
    described = {
        "path": str(path),
        "frame": frame,
        "syntax": str(dataset.file_meta.TransferSyntaxUID),
        "meaning": dataset.get("PhotometricInterpretation", ""),
        "lossy": dataset.file_meta.TransferSyntaxUID in LOSSY,
    }
    try:
        codes = expected_codes(dataset, frame)
    except Exception as error:
        return described | {"pixels": "undecoded", "reason": str(error)[:300]}
    if codes.min() < 0 or codes.max() > 65535:
        return described | {"pixels": "undecoded", "reason": "codes beyond 16 bits"}
    codes.astype("<u2").tofile(codes_path)
    height, width = codes.shape
    return described | {
        "pixels": "decoded",
        "overlays": overlays(dataset, codes_path) if frame == 0 else [],
        "codes": codes_path.name,
        "width": width,
        "height": height,
    }


def main():
    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    warnings.simplefilter("ignore")
    entries = [
        entry
        for number, path in enumerate(test_files())
        for entry in entries_of(path, number, folder)
    ]
    (folder / "manifest.json").write_text(json.dumps(entries, indent=1))


if __name__ == "__main__":
    main()
