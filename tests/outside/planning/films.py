"""The films of a case and the axes on them, after docs/measurements.md.

A point or direction in physical proportions is one complex number x + iy. y points down, so that a turn
toward positive angles is clockwise on the screen.
"""

import cmath
import math


def dot(first, second):
    return (first.conjugate() * second).real


def cross(first, second):
    return (first.conjugate() * second).imag


def turn(first, second):
    """The angle from the first direction to the second, in radians."""
    return cmath.phase(first.conjugate() * second)


def unit(vector):
    return vector / abs(vector)


def level_crossing(cortex, base, reference, level):
    """Where the level meets a cortex; of several places the one nearest the reference line."""

    def share(point):
        return dot(point - base, reference) / abs(reference) ** 2

    found = []
    for first, last in zip(cortex, cortex[1:]):
        before, after = share(first), share(last)
        if before != after and min(before, after) <= level <= max(before, after):
            found.append(first + (last - first) * (level - before) / (after - before))
    return min(found, key=lambda point: abs(cross(point - base, reference)))


class Film:
    """What is placed on one film, with the millimetres in one pixel width where they are known."""

    def __init__(self, film):
        height = film["height_over_width"]

        def physical(at):
            return complex(at["x_px"], height * at["y_px"])

        self.points = {name: physical(point["at"]) for name, point in film["points"].items()}
        self.cortices = {
            bone: [[physical(at) for at in traced[which]] for which in ("one", "two")]
            for bone, traced in film["cortices"].items()
        }
        self.mm_per_pixel_width = film["mm_per_pixel_width"]
        self.is_at_patient = film["is_at_patient"]

    def ends(self, bone):
        return self.points[f"{bone}_base_centre"], self.points[f"{bone}_tip"]

    def middle(self, bone, level):
        base, tip = self.ends(bone)
        one, two = (
            level_crossing(cortex, base, tip - base, level) for cortex in self.cortices[bone]
        )
        return (one + two) / 2

    def axis(self, bone):
        """The direction of a bone by the quarters of its shaft."""
        base, tip = self.ends(bone)
        direction = self.middle(bone, 0.75) - self.middle(bone, 0.25)
        return -direction if dot(direction, tip - base) < 0 else direction

    def lateral_sign(self):
        """Whether lateral lies clockwise of distal (1) or not (-1)."""
        placed = [k for k in range(1, 6) if f"m{k}_base_centre" in self.points]
        first, last = (self.ends(f"m{k}") for k in (placed[0], placed[-1]))
        distal = unit(unit(first[1] - first[0]) + unit(last[1] - last[0]))
        lateral = unit(sum(last) / 2 - sum(first) / 2)
        return 1 if cross(distal, lateral) > 0 else -1


class Bone:
    """The first metatarsal's own directions on one film: across (lateral or dorsal) and along its shaft."""

    def __init__(self, origin, along, across_hint):
        self.origin = origin
        self.along = unit(along)
        across = 1j * self.along
        self.across = across if dot(across, across_hint) > 0 else -across

    def place(self, point):
        """A point of the film as across + i along."""
        return complex(
            dot(point - self.origin, self.across), dot(point - self.origin, self.along)
        )

    def film(self, place):
        """The other way round."""
        return self.origin + self.across * place.real + self.along * place.imag


def bone_on_ap(film):
    along = film.axis("m1")
    across = film.lateral_sign() * 1j * along
    return Bone(film.points["m1_base_centre"], along, across)


def bone_on_lateral(film):
    base, head = film.points["m1_base_centre"], film.points["m1_head_centre"]
    along = film.axis("m1") if "m1" in film.cortices else head - base
    floor = film.points["floor_posterior"], film.points["floor_anterior"]
    dorsal = 1j * (floor[1] - floor[0])
    middle = sum(film.ends("m1")) / 2
    if dot(middle - floor[0], dorsal) < 0:
        dorsal = -dorsal
    return Bone(base, along, dorsal)


def degrees(radians):
    return math.degrees(radians)
