"""The cut and the way of the fragment, after docs/planning.md, "The cut" and "The head".

Places are across + i along in pixel widths of the AP film, in the first metatarsal's own directions.
"""

import cmath
import math

from films import cross, dot

AIM_SHARES = {"neck": 0.82, "head": 0.93}


def extent(stated, whole, scale):
    """A stated length in pixel widths: millimetres, or a share of the whole."""
    ((kind, number),) = stated.items()
    return number / scale if kind == "millimetres" else number * whole


def line_crossing(cortex, through, direction):
    """Where a straight line meets a cortex, which it must do once."""
    found = []
    for first, last in zip(cortex, cortex[1:]):
        before, after = cross(direction, first - through), cross(direction, last - through)
        if before != after and before * after <= 0:
            found.append(first + (last - first) * before / (before - after))
    if len(found) != 1:
        raise OffBone
    return found[0]


def outline_sides(film):
    """The two cortices, each carried on straight to its end of the head's joint surface."""
    ends = [film.points[f"m1_articular_{side}"] for side in ("medial", "lateral")]
    cortices = film.cortices["m1"]
    straight = sum(abs(line[-1] - end) for line, end in zip(cortices, ends))
    crossed = sum(abs(line[-1] - end) for line, end in zip(cortices, reversed(ends)))
    if crossed < straight:
        ends.reverse()
    return [[*line, end] for line, end in zip(cortices, ends)]


class OffBone(Exception):
    """The cut does not meet each cortex once."""


class Cut:
    def __init__(self, film, bone, plan):
        scale, cut = film.mm_per_pixel_width, plan["cut"]
        base, tip = film.ends("m1")
        joint = tip
        if "proximal_phalanx_base_centre" in film.points:
            joint = (tip + film.points["proximal_phalanx_base_centre"]) / 2
        self.from_joint = extent(cut["level"], abs(tip - base), scale)
        along = bone.place(joint).imag - self.from_joint
        cortices = [[bone.place(point) for point in line] for line in outline_sides(film)]
        square = [line_crossing(line, 1j * along, 1 + 0j) for line in cortices]
        self.middle = sum(square) / 2
        self.width = abs(square[1] - square[0])
        self.tilt = self.tilt_of(cut["direction"], film, bone)
        self.direction = complex(math.cos(self.tilt), math.sin(self.tilt))
        ends = [line_crossing(line, self.middle, self.direction) for line in cortices]
        self.ends = sorted(ends, key=lambda place: dot(place, self.direction))
        self.chord = abs(ends[1] - ends[0])
        self.kerf = extent(cut["kerf"], self.width, scale)
        # The faces lie half a kerf to either side; corners from medial to lateral.
        square_to_cut = 1j * self.direction
        self.shaft_face, self.fragment_face = (
            sorted(
                (
                    line_crossing(line, self.middle + side * self.kerf / 2 * square_to_cut, self.direction)
                    for line in cortices
                ),
                key=lambda place: dot(place, self.direction),
            )
            for side in (-1, 1)
        )
        self.closing = self.kerf
        if cut["form"] != "straight":
            opening = math.radians(cut["form"]["chevron"]["opens_degrees"])
            self.closing = self.kerf / math.cos(opening / 2)

    def tilt_of(self, direction, film, bone):
        if "tilt_degrees" in direction:
            return math.radians(direction["tilt_degrees"])
        aim = direction["toward"]
        base, tip = film.ends(aim["bone"])
        target = bone.place(base + (tip - base) * AIM_SHARES[aim["at"]])
        way = target - self.middle
        return math.atan2(way.imag, way.real)


class Way:
    """How far the fragment goes, and what becomes of length and contact."""

    def __init__(self, cut, film, plan, divergence, head_centre):
        scale, head = film.mm_per_pixel_width, plan["head"]
        theta, k = cut.tilt, cut.closing
        self.shift = extent(head["shift"], cut.width, scale)
        self.travel = s = (self.shift - k * math.sin(theta)) / math.cos(theta)
        self.along_first = s * math.sin(theta) - k * math.cos(theta)
        self.first_by_kerf = -k * math.cos(theta)
        self.along_second = s * math.sin(theta + divergence) - k * math.cos(theta + divergence)
        self.second_by_kerf = -k * math.cos(theta + divergence)
        self.second_by_divergence = s * math.sin(divergence)
        self.second_by_tilt = (
            self.along_second - self.second_by_kerf - self.second_by_divergence
        )
        dorsal = extent(head["dorsal_shift"], cut.width, scale)
        self.overlap = max(self.overlap_of_faces(cut, head_centre, head, dorsal), 0.0)
        self.contact = self.overlap / cut.chord

    def overlap_of_faces(self, cut, head_centre, head, dorsal):
        """c - sqrt((c - o)^2 + x^2), with the fragment's face turned about the head's centre and shifted."""
        turned = cmath.exp(1j * math.radians(head["medial_turn_degrees"]))
        moved = [
            head_centre + turned * (corner - head_centre) + self.displacement()
            for corner in cut.fragment_face
        ]

        def along(place):
            return dot(place, cut.direction)

        medial, lateral = (along(corner) for corner in cut.shaft_face)
        covered = min(lateral, along(moved[1])) - max(medial, along(moved[0]))
        face = lateral - medial
        return face - math.hypot(face - covered, dorsal)

    def displacement(self):
        """Lateral and distal, as one place is to another."""
        return complex(self.shift, self.along_first)
