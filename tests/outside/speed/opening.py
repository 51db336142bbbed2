"""How long a film of 12 megapixels and 16 bits takes to open, beside dcmtk and pydicom, in one run.

Usage: opening.py OPEN_FILM [TIMES]

OPEN_FILM is the example `open_film` of crate film, built for release. Each reader opens each film from its file to 8-bit
greys of all pixels by its own window, in turn, so that all meet the same machine. Prints a table: the median of each and
the peak memory of ours.
"""

import json
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pydicom
from pydicom.pixels import apply_voi_lut

HERE = Path(__file__).parent
COLUMNS, ROWS = 3000, 4000


def by_pydicom(path):
    begun = time.perf_counter()
    dataset = pydicom.dcmread(path)
    values = apply_voi_lut(dataset.pixel_array, dataset).astype(np.float32)
    low, high = values.min(), values.max()
    ((values - low) * (255 / max(high - low, 1))).astype(np.uint8)
    return time.perf_counter() - begun


def by_dcmtk(path, folder):
    begun = time.perf_counter()
    done = subprocess.run(
        ["dcmj2pnm", "--min-max-window", "--write-8-bit-pnm", path, folder / "out.pgm"],
        capture_output=True,
    )
    took = time.perf_counter() - begun
    return took if done.returncode == 0 else None


def by_ours(program, path):
    done = subprocess.run([program, path, "1"], capture_output=True, text=True, check=True)
    seconds, peak = done.stdout.strip().splitlines()
    return float(seconds), int(peak.split()[1]) / 1024


def median(values):
    values = [value for value in values if value is not None]
    return f"{1000 * statistics.median(values):.0f} ms" if values else "does not read it"


def timed(reader):
    try:
        return reader()
    except Exception:  # a codec that pydicom lacks
        return None


def main():
    program, times = sys.argv[1], int((sys.argv[2:] or [5])[0])
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        script = HERE.parent / "imagecodecs/encoded_films.py"
        subprocess.run([sys.executable, script, folder, str(COLUMNS), str(ROWS)], check=True)
        manifest = json.loads((folder / "manifest.json").read_text())
        print("| transfer syntax | ours | dcmtk | pydicom | our peak memory |")
        print("| --- | ---: | ---: | ---: | ---: |")
        for film in manifest:
            path = folder / film["film"]
            ours, dcmtk, pydicoms = [], [], []
            for _ in range(times):
                ours.append(by_ours(program, path))
                dcmtk.append(by_dcmtk(path, folder))
                pydicoms.append(timed(lambda: by_pydicom(path)))
            peak = max(peak for _, peak in ours)
            print(
                f"| {film['name'] or film['syntax']} | {median([one for one, _ in ours])} "
                f"| {median(dcmtk)} | {median(pydicoms)} | {peak:.0f} MiB |",
                flush=True,
            )


if __name__ == "__main__":
    main()
