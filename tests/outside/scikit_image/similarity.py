"""Fits maps that keep angles with scikit-image.

    python similarity.py PAIRS.json MAPS.json
"""

import json
import sys

import numpy
from skimage.transform import SimilarityTransform


def fitted(pairs):
    source, target = (numpy.array(pairs[end]) for end in ("from", "to"))
    estimate = SimilarityTransform.from_estimate(source, target)
    if not estimate:
        raise SystemExit(f"scikit-image could not fit a map: {estimate}")
    return estimate(source).tolist()


def main():
    source, target = sys.argv[1:]
    with open(source, encoding="utf-8") as file:
        question = json.load(file)
    with open(target, "w", encoding="utf-8") as file:
        json.dump([fitted(pairs) for pairs in question], file)


if __name__ == "__main__":
    main()
