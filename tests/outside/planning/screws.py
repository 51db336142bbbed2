"""The lengths of screws and their angle to the shaft, after docs/planning.md, "Screws and wires"."""

import math

from films import bone_on_lateral, degrees, dot


class Projection:
    """One film's shadow of the bone: the length from base to head along the shaft, and its scale."""

    def __init__(self, film, bone):
        self.length = bone.place(film.points["m1_head_centre"]).imag
        self.mm = film.mm_per_pixel_width if film.is_at_patient else None

    def share_length_by_tips(self, film, bone, side, side_bone):
        """On the lateral film L is the same share of the way to the tip as on the AP film."""
        tip = side_bone.place(side.points["m1_tip"]).imag if "m1_tip" in side.points else 0.0
        if tip >= self.length:
            ap_length = bone.place(film.points["m1_head_centre"]).imag
            self.length = ap_length * tip / bone.place(film.points["m1_tip"]).imag

    def in_mm(self, share):
        return share * self.length * self.mm


class Space:
    """How the first metatarsal lies in space: divergence, inclination and the tilt of the AP tube."""

    def __init__(self, divergence, side):
        self.skew = divergence
        self.fall = math.radians(21.0)
        self.tilt = math.tan(math.radians(15.0))
        if side is not None and "m1" in side.cortices:
            along = side.axis("m1")
            floor = side.points["floor_anterior"] - side.points["floor_posterior"]
            dorsal = bone_on_lateral(side).across
            up = 1j * floor / abs(floor)
            up = up if dot(up, dorsal) > 0 else -up
            self.fall = math.atan2(-dot(along, up), abs(dot(along, floor)) / abs(floor))

    def shadows(self):
        """Sines and cosines of i and φ, and how the two films shorten (l) and draw out (a) the shaft."""
        sin_i, cos_i = math.sin(self.fall), math.cos(self.fall)
        sin_f, cos_f = math.sin(self.skew), math.cos(self.skew)
        l = math.sqrt(1.0 - (cos_i * sin_f) ** 2)
        a = math.sqrt((cos_i * sin_f) ** 2 + (cos_i * cos_f + sin_i * self.tilt) ** 2)
        return sin_i, cos_i, sin_f, cos_f, l, a

    def looks_distal(self):
        """How much more distal the lateral film shows what lies lateral, for each share of L."""
        _, cos_i, sin_f, cos_f, l, a = self.shadows()
        return sin_f * cos_f * cos_i * a / l**2

    def length(self, x, y, on_ap, on_lateral):
        sin_i, cos_i, sin_f, _, l, a = self.shadows()
        v = y - x * sin_f * sin_i
        w = (
            (on_lateral / l + on_ap / a) / 2
            - x * sin_f * sin_i * self.tilt / a**2
            - v * (sin_i - cos_i * self.tilt) / a
        )
        return math.sqrt(x * x + v * v + w * w)


def screw(stated, ap, lateral, space):
    """What is told of a screw; `lateral` is None where there is no lateral film."""
    along, across, up = (
        stated["tip"][name] - stated["entry"][name] for name in ("along", "lateral", "dorsal")
    )
    has_ap = ap.mm is not None
    has_lateral = lateral is not None and lateral.mm is not None
    found = {"true_mm": None, "ap_mm": None, "lateral_mm": None}
    if has_ap:
        found["ap_mm"] = math.hypot(ap.in_mm(across), ap.in_mm(along))
    if has_lateral:
        looks_along = along + across * space.looks_distal()
        found["lateral_mm"] = math.hypot(lateral.in_mm(up), lateral.in_mm(looks_along))
    if has_ap and has_lateral:
        found["true_mm"] = space.length(
            ap.in_mm(across), lateral.in_mm(up), ap.in_mm(along), lateral.in_mm(along)
        )
    sideways = math.hypot(across, up if lateral is not None else 0.0)
    found["angle_to_shaft_degrees"] = degrees(math.atan2(sideways, abs(along)))
    return found
