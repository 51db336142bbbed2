"""The tracing of a foot, as the test writes it, with room for many tracings at once.

The numbers that have a spread stand in one vector: x and y of every point and cortex vertex, in film
pixels, and the millimetres in one pixel width of every calibrated film. `Layout` knows which is which.
"""

import numpy

from gaps import NoNumber
from plane import length
import gaps


class Film:
    """What is placed on one film, in physical proportions."""

    def __init__(self, points, cortices, mm_per_pixel_width):
        self.points = points
        self.cortices = cortices
        self._mm_per_pixel_width = mm_per_pixel_width

    def has(self, *names):
        return all(name in self.points for name in names)

    def point(self, name):
        if name not in self.points:
            raise NoNumber("needs", name)
        return self.points[name]

    def line(self, start, end):
        """The two ends of a line, which must not lie on top of each other."""
        first, last = gaps.all_of(lambda: self.point(start), lambda: self.point(end))
        gaps.ensure(length(last - first) >= gaps.LEAST_LENGTH, "degenerate", f"{start}, {end}")
        return first, last

    def mm_per_pixel_width(self):
        if self._mm_per_pixel_width is None:
            raise NoNumber("needs", "calibration")
        return self._mm_per_pixel_width


class Layout:
    """Which number of the vector belongs to which part of a case."""

    def __init__(self, case):
        self.films = {}
        values, deviations = [], []

        def place(value, deviation):
            values.append(value)
            deviations.append(deviation)
            return len(values) - 1

        def place_point(at, deviation):
            return place(at["x_px"], deviation), place(at["y_px"], deviation)

        for view in ("ap", "lateral"):
            film = case[view]
            points = {
                name: place_point(point["at"], point["sd_px"])
                for name, point in film["points"].items()
            }
            cortices = {
                bone: [
                    [place_point(vertex, traced["sd_px"]) for vertex in traced[which]]
                    for which in ("one", "two")
                ]
                for bone, traced in film["cortices"].items()
            }
            scale = None
            if film["calibration"] is not None:
                value = film["calibration"]["mm_per_pixel_width"]
                scale = place(value, value * film["calibration"]["relative_sd"])
            self.films[view] = points, cortices, scale, film["height_over_width"]
        self.values = numpy.array(values)
        self.deviations = numpy.array(deviations)
        self.is_scale = numpy.zeros(len(values), dtype=bool)
        self.is_scale[[film[2] for film in self.films.values() if film[2] is not None]] = True

    def film(self, view, vectors):
        """The film of a view, one tracing for each row of `vectors`."""
        points, cortices, scale, height_over_width = self.films[view]
        proportions = numpy.array([1.0, height_over_width])

        def physical(places):
            return vectors[:, list(places)] * proportions

        return Film(
            {name: physical(places) for name, places in points.items()},
            {
                bone: [numpy.stack([physical(vertex) for vertex in cortex]) for cortex in both]
                for bone, both in cortices.items()
            },
            None if scale is None else vectors[:, scale],
        )
