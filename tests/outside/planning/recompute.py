"""Recomputes plans from docs/planning.md and docs/measurements.md alone.

    python recompute.py PLANS.json VALUES.json

The pages are all that this program knows: it was written without a look at the code of crate plan. The
test tests/tests/planning writes the plans and compares the values.
"""

import json
import math
import sys

from cut import Cut, OffBone, Way
from films import Film, bone_on_ap, bone_on_lateral, degrees, turn
from moved import angles, planned_film
from screws import Projection, Space, screw

NOT_TOLD_AFTER_SUPINATION = ("distal_metatarsal_articular_angle",)


def has_loss(name):
    return name.endswith("_angle") or name in (
        "intermetatarsal_angle_1_2",
        "tibial_sesamoid_share",
    )


def rows(before, planned, plan):
    """Every measurement before, planned and with loss."""
    found = {}
    for name, value in before.items():
        row = {"before": value, "planned": planned[name], "with_loss": None}
        if plan["head"]["supination_degrees"] != 0 and name in NOT_TOLD_AFTER_SUPINATION:
            row["planned"] = None
        elif has_loss(name) and not (name.endswith("_share") and planned[name] in (0.0, 100.0)):
            row["with_loss"] = planned[name] + plan["lost_share"] * (value - planned[name])
        found[name] = row
    return found


def turn_of_axis(film, bone, way):
    """By how much the line from base to head turns, in degrees."""
    head = bone.place(film.points["m1_head_centre"])
    before = math.atan(head.real / head.imag)
    after = math.atan((head.real + way.shift) / (head.imag + way.along_first))
    return degrees(after - before)


def recomputed(case):
    film, plan = Film(case["ap"]), case["plan"]
    bone, sign = bone_on_ap(film), film.lateral_sign()
    divergence = sign * turn(film.axis("m1"), film.axis("m2"))
    try:
        cut = Cut(film, bone, plan)
    except OffBone:
        return {"refused": "CutOffBone"}
    way = Way(cut, film, plan, divergence, bone.place(film.points["m1_head_centre"]))
    planned = planned_film(case, bone, sign, cut, way)
    ap, lateral = Projection(film, bone), None
    if case["lateral"] is not None:
        side = Film(case["lateral"])
        lateral = Projection(side, bone_on_lateral(side))
        lateral.share_length_by_tips(film, bone, side, bone_on_lateral(side))
    space = Space(divergence, case["lateral"] and Film(case["lateral"]))
    return {
        "pixel_widths": {
            "from joint": cut.from_joint,
            "width": cut.width,
            "chord": cut.chord,
            "kerf": cut.kerf,
            "closing": cut.closing,
            "shift": way.shift,
            "travel": way.travel,
            "overlap": way.overlap,
            "along M1": way.along_first,
            "along M1 by the kerf": way.first_by_kerf,
            "along M1 by the tilt": way.along_first - way.first_by_kerf,
            "along M1 by divergence": 0.0,
            "along M2": way.along_second,
            "along M2 by the kerf": way.second_by_kerf,
            "along M2 by the tilt": way.second_by_tilt,
            "along M2 by divergence": way.second_by_divergence,
        },
        "tilt_degrees": degrees(cut.tilt),
        "divergence_degrees": degrees(divergence),
        "turn_of_axis_degrees": turn_of_axis(film, bone, way),
        "contact": way.contact,
        "rows": rows(angles(film, sign), angles(planned, sign), plan),
        "screws": [screw(stated, ap, lateral, space) for stated in plan["screws"]],
    }


def main():
    source, target = sys.argv[1:]
    with open(source, encoding="utf-8") as file:
        cases = json.load(file)
    with open(target, "w", encoding="utf-8") as file:
        json.dump([recomputed(case) for case in cases], file)


if __name__ == "__main__":
    main()
