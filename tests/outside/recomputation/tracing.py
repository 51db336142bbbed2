"""The tracing of a foot, as the test writes it, with room for many tracings at once.

The numbers that have a spread stand in one vector: x and y of every point and cortex vertex in film
pixels, the shift across the bone that the vertices of one polyline share in pixel widths, and the
millimetres in one pixel width of every calibrated film. `Layout` knows which is which.
"""

import math

import numpy

from gaps import NoNumber
from plane import length, perpendicular, scaled, unit
import gaps


class Film:
    """What is placed on one film, in physical proportions; `broken` are bones whose cortices are no use."""

    def __init__(self, points, cortices, broken, mm_per_pixel_width):
        self.points = points
        self.cortices = cortices
        self.broken = broken
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

    def shaft(self, bone):
        """The two cortices of a bone."""
        if bone not in self.cortices:
            raise NoNumber("needs", f"cortices of {bone}")
        if bone in self.broken:
            raise NoNumber("degenerate", f"the spread of the cortices of {bone}")
        return self.cortices[bone]

    def mm_per_pixel_width(self):
        if self._mm_per_pixel_width is None:
            raise NoNumber("needs", "calibration")
        return self._mm_per_pixel_width


def together_of(traced):
    """The part of the spread by which all vertices of one polyline lie off together."""
    return traced.get("together_sd_px", 0.0)


def is_part(together, deviation):
    return 0 <= together <= deviation


def across(vertices, height_over_width):
    """The unit vector across a polyline, in physical proportions; zero where its ends coincide."""
    first, last = (
        numpy.array([vertex["x_px"], height_over_width * vertex["y_px"]])
        for vertex in (vertices[0], vertices[-1])
    )
    way = perpendicular(last - first)
    return unit(way) if way.any() else way


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

        def place_cortex(vertices, deviation, together, height_over_width):
            """The vertices with what is their own of the deviation, the shift they share and its way.

            A broken pair of deviations counts for nothing, as nothing is read from such a cortex.
            """
            if not is_part(together, deviation):
                deviation = together = 0.0
            own = math.sqrt(deviation**2 - together**2)
            shift = place(0.0, together)
            way = across(vertices, height_over_width)
            return [place_point(vertex, own) for vertex in vertices], shift, way

        for view in ("ap", "lateral"):
            film = case[view]
            height_over_width = film["height_over_width"]
            points = {
                name: place_point(point["at"], point["sd_px"])
                for name, point in film["points"].items()
            }
            cortices = {
                bone: [
                    place_cortex(
                        traced[which], traced["sd_px"], together_of(traced), height_over_width
                    )
                    for which in ("one", "two")
                ]
                for bone, traced in film["cortices"].items()
            }
            broken = {
                bone
                for bone, traced in film["cortices"].items()
                if not is_part(together_of(traced), traced["sd_px"])
            }
            scale = None
            if film["calibration"] is not None:
                value = film["calibration"]["mm_per_pixel_width"]
                scale = place(value, value * film["calibration"]["relative_sd"])
            self.films[view] = points, cortices, broken, scale, height_over_width
        self.values = numpy.array(values)
        self.deviations = numpy.array(deviations)
        self.is_scale = numpy.zeros(len(values), dtype=bool)
        self.is_scale[[film[3] for film in self.films.values() if film[3] is not None]] = True

    def film(self, view, vectors):
        """The film of a view, one tracing for each row of `vectors`."""
        points, cortices, broken, scale, height_over_width = self.films[view]
        proportions = numpy.array([1.0, height_over_width])

        def physical(places):
            return vectors[:, list(places)] * proportions

        def physical_cortex(vertices, shift, way):
            places = [physical(vertex) for vertex in vertices]
            return numpy.stack(places) + scaled(way, vectors[:, shift])

        return Film(
            {name: physical(places) for name, places in points.items()},
            {
                bone: [physical_cortex(*cortex) for cortex in both]
                for bone, both in cortices.items()
            },
            broken,
            None if scale is None else vectors[:, scale],
        )
