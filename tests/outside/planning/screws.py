"""The lengths of screws and their angle to the shaft, after docs/planning.md, "Screws and wires"."""

import math

from films import degrees


class Projection:
    """One film's shadow of the bone: the length from base to head along the shaft, and its scale."""

    def __init__(self, film, bone):
        self.length = bone.place(film.points["m1_head_centre"]).imag
        self.mm = film.mm_per_pixel_width if film.is_at_patient else None

    def in_mm(self, share):
        return share * self.length * self.mm


def screw(stated, ap, lateral):
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
        found["lateral_mm"] = math.hypot(lateral.in_mm(up), lateral.in_mm(along))
    if has_ap and has_lateral:
        found["true_mm"] = math.hypot(
            ap.in_mm(across), lateral.in_mm(up), lateral.in_mm(along)
        )
    sideways = math.hypot(across, up if lateral is not None else 0.0)
    found["angle_to_shaft_degrees"] = degrees(math.atan2(sideways, abs(along)))
    return found
