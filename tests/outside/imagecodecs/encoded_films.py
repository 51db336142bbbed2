"""Films in compressed transfer syntaxes, encoded by imagecodecs, for comparison with crate plumbray-film.

Usage: encoded_films.py FOLDER [COLUMNS ROWS]

Writes FOLDER/manifest.json, a list of films with the samples that they hold, FOLDER/N.dcm and
FOLDER/N.samples (16-bit little endian, or 8 bits by colour for colour). Lossy ones hold what
imagecodecs decodes from its own stream.
"""

import json
import sys
from pathlib import Path

import imagecodecs
import numpy as np
import pydicom
from pydicom.dataset import Dataset, FileMetaDataset
from pydicom.encaps import encapsulate
from pydicom.uid import UID, ExplicitVRLittleEndian, RLELossless, generate_uid

JPEG_LOSSLESS = UID("1.2.840.10008.1.2.4.70")
JPEG_LS = UID("1.2.840.10008.1.2.4.80")
JPEG_LS_NEAR = UID("1.2.840.10008.1.2.4.81")
JPEG_2000_LOSSLESS = UID("1.2.840.10008.1.2.4.90")
JPEG_XL_LOSSLESS = UID("1.2.840.10008.1.2.4.110")
JPEG_XL = UID("1.2.840.10008.1.2.4.112")
HTJ2K_LOSSLESS = UID("1.2.840.10008.1.2.4.201")


def picture(columns, rows, bits):
    """A smooth picture with noise and an even border, as a detector gives it."""
    random = np.random.default_rng(bits)
    across, down = np.meshgrid(np.linspace(0, 1, columns), np.linspace(0, 1, rows))
    smooth = 0.5 + 0.4 * np.sin(6 * across) * np.cos(5 * down)
    grey = smooth * ((1 << bits) - 1) + random.normal(0, (1 << bits) / 300, (rows, columns))
    grey[: rows // 10] = 0
    return np.clip(np.round(grey), 0, (1 << bits) - 1).astype(np.uint8 if bits <= 8 else np.uint16)


def colour_picture(columns, rows):
    planes = [np.roll(picture(columns, rows, 8), 3 * place, axis=1) for place in range(3)]
    return np.ascontiguousarray(np.stack(planes, axis=-1))


def data_set(array, bits, syntax):
    film = Dataset()
    film.file_meta = FileMetaDataset()
    film.file_meta.TransferSyntaxUID = syntax
    film.file_meta.MediaStorageSOPClassUID = "1.2.840.10008.5.1.4.1.1.1.1"
    film.file_meta.MediaStorageSOPInstanceUID = generate_uid(entropy_srcs=[str(syntax), str(bits)])
    film.SOPClassUID = film.file_meta.MediaStorageSOPClassUID
    film.SOPInstanceUID = film.file_meta.MediaStorageSOPInstanceUID
    film.Modality = "DX"
    film.Rows, film.Columns = array.shape[:2]
    film.SamplesPerPixel = 1 if array.ndim == 2 else 3
    film.PhotometricInterpretation = "MONOCHROME2" if array.ndim == 2 else "RGB"
    if array.ndim == 3:
        film.PlanarConfiguration = 0
    film.BitsAllocated = 8 * array.dtype.itemsize
    film.BitsStored, film.HighBit, film.PixelRepresentation = bits, bits - 1, 0
    return film


def encoded(array, bits):
    """Each transfer syntax with its stream and the samples that it holds."""
    yield ExplicitVRLittleEndian, array.tobytes(), array
    yield RLELossless, None, array
    yield JPEG_LOSSLESS, imagecodecs.ljpeg_encode(array, bitspersample=bits), array
    yield JPEG_LS, imagecodecs.jpegls_encode(array), array
    near = imagecodecs.jpegls_encode(array, level=2)
    yield JPEG_LS_NEAR, near, imagecodecs.jpegls_decode(near)
    yield JPEG_2000_LOSSLESS, imagecodecs.jpeg2k_encode(
        array, codecformat="j2k", reversible=True, bitspersample=bits
    ), array
    yield HTJ2K_LOSSLESS, imagecodecs.htj2k_encode(array, reversible=True), array
    yield JPEG_XL_LOSSLESS, imagecodecs.jpegxl_encode(
        array, lossless=True, bitspersample=bits
    ), array


def films(columns, rows, depths):
    for bits in depths:
        array = picture(columns, rows, bits)
        for syntax, stream, samples in encoded(array, bits):
            yield data_set(array, bits, syntax), stream, samples, array
    if len(depths) > 1:
        array = colour_picture(columns, rows)
        stream = imagecodecs.jpegxl_encode(array, lossless=True)
        yield data_set(array, 8, JPEG_XL_LOSSLESS), stream, array, array
        grey = picture(columns, rows, 8)
        lossy = imagecodecs.jpegxl_encode(grey, distance=1.0)
        yield data_set(grey, 8, JPEG_XL), lossy, imagecodecs.jpegxl_decode(lossy), grey


def save(film, syntax, path):
    """pydicom 3.0.2 does not write JPEG XL, so its identifier takes the place of one as long."""
    if syntax in (JPEG_XL_LOSSLESS, JPEG_XL):
        film.file_meta.TransferSyntaxUID = HTJ2K_LOSSLESS
    film.save_as(path, enforce_file_format=True)
    if syntax in (JPEG_XL_LOSSLESS, JPEG_XL):
        content = path.read_bytes()
        path.write_bytes(content.replace(HTJ2K_LOSSLESS.encode(), syntax.encode(), 1))


def main():
    folder = Path(sys.argv[1])
    size = [int(side) for side in sys.argv[2:4]]
    folder.mkdir(parents=True, exist_ok=True)
    columns, rows = size or (211, 157)
    manifest = []
    for number, (film, stream, samples, array) in enumerate(
        films(columns, rows, [16] if size else [8, 10, 12, 16])
    ):
        syntax = film.file_meta.TransferSyntaxUID
        if syntax == RLELossless:
            film.PixelData = array.tobytes()
            film.file_meta.TransferSyntaxUID = ExplicitVRLittleEndian
            film.compress(RLELossless)
        elif syntax == ExplicitVRLittleEndian:
            film.PixelData = stream
            film["PixelData"].VR = "OW" if array.itemsize == 2 else "OB"
        else:
            film.PixelData = encapsulate([stream])
            film["PixelData"].VR = "OB"
            film["PixelData"].is_undefined_length = True
        save(film, syntax, folder / f"{number}.dcm")
        samples.astype("<u2" if samples.ndim == 2 else "u1").tofile(folder / f"{number}.samples")
        manifest.append(
            {
                "film": f"{number}.dcm",
                "samples": f"{number}.samples",
                "syntax": str(syntax),
                "name": UID(syntax).name,
                "bits": int(film.BitsStored),
                "colours": int(film.SamplesPerPixel),
                "lossy": syntax == JPEG_XL,
            }
        )
    (folder / "manifest.json").write_text(json.dumps(manifest, indent=1))


if __name__ == "__main__":
    main()
