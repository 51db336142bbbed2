"""Fits circles and ellipses with scikit-image.

    python fits.py POINTS.json FITS.json

scikit-image fits a circle algebraically, which on scattered points is not the circle of least squared
distances. That circle is found from it with scipy, by the residuals of scikit-image's own model.
"""

import json
import sys

import numpy
from scipy.optimize import least_squares
from skimage.measure import CircleModel, EllipseModel


def estimated(model, points):
    fit = model.from_estimate(points)
    if not fit:
        raise SystemExit(f"scikit-image could not fit {model.__name__}: {fit}")
    return fit


def circle(points):
    start = estimated(CircleModel, points)

    def distances(numbers):
        return CircleModel(numbers[:2], numbers[2]).residuals(points)

    def signed_distances(numbers):
        outside = numpy.hypot(*(points - numbers[:2]).T) > numbers[2]
        return numpy.where(outside, 1.0, -1.0) * distances(numbers)

    exact = {"xtol": 1e-15, "ftol": 1e-15, "gtol": 1e-15}
    first = [*start.center, start.radius]
    best = least_squares(signed_distances, first, method="lm", **exact)
    squares = (distances(best.x) ** 2).sum()
    offsets = points - best.x[:2]
    directions = offsets / numpy.hypot(*offsets.T)[:, None]
    slopes = numpy.column_stack([directions, numpy.ones(len(points))])
    covariance = numpy.linalg.inv(slopes.T @ slopes) * squares / (len(points) - 3)
    return {
        "algebraic": [*start.center, start.radius],
        "centre": list(best.x[:2]),
        "radius": best.x[2],
        "rms": numpy.sqrt(squares / len(points)),
        "centre_sd": numpy.sqrt(numpy.linalg.eigvalsh(covariance[:2, :2]).max()),
        "radius_sd": numpy.sqrt(covariance[2, 2]),
    }


def ellipse(points):
    """The centre, and the sum of a half-axis times itself over both half-axes.

    That sum does not depend on which end of an axis is meant, nor does it turn about wildly where
    the ellipse is nearly a circle.
    """
    fit = estimated(EllipseModel, points)
    cosine, sine = numpy.cos(fit.theta), numpy.sin(fit.theta)
    axes = numpy.array([[cosine, sine], [-sine, cosine]]) * fit.axis_lengths[:, None]
    spread = axes.T @ axes
    return {"centre": list(fit.center), "spread": [spread[0, 0], spread[0, 1], spread[1, 1]]}


def main():
    source, target = sys.argv[1:]
    with open(source, encoding="utf-8") as file:
        question = json.load(file)
    answer = {
        "circles": [circle(numpy.array(points)) for points in question["circles"]],
        "ellipses": [ellipse(numpy.array(points)) for points in question["ellipses"]],
    }
    with open(target, "w", encoding="utf-8") as file:
        json.dump(answer, file)


if __name__ == "__main__":
    main()
