"""Finds the edge between two greys to a fraction of a pixel with scikit-image.

    python edges.py FILMS.json EDGES.json

Each film is a square of grey values with one straight edge. scikit-image follows the line at the middle grey
between the pixels; answered are the points of that line, x and y with the first pixel's centre at (0.5, 0.5).
"""

import json
import sys

import numpy
from skimage.measure import find_contours


def edge(film):
    grey = numpy.array(film["samples"], dtype=float).reshape(film["side"], film["side"])
    lines = find_contours(grey, film["middle"])
    longest = max(lines, key=len)
    return [[float(column) + 0.5, float(row) + 0.5] for row, column in longest]


def main():
    source, target = sys.argv[1:]
    with open(source, encoding="utf-8") as file:
        films = json.load(file)
    with open(target, "w", encoding="utf-8") as file:
        json.dump([edge(film) for film in films], file)


if __name__ == "__main__":
    main()
