"""The moved landmarks and what they measure, after docs/planning.md, "The head", "The toe" and "What is
assumed", by head centre – base centre."""

import cmath
import math

from films import Film, degrees, dot, level_crossing, turn, unit

TOE_BONES = ("proximal_phalanx", "distal_phalanx")
WEDGE_AT = 0.2


def first_axis(film):
    return film.points["m1_head_centre"] - film.points["m1_base_centre"]


def hallux_valgus(film, sign):
    return degrees(sign * turn(first_axis(film), film.axis("proximal_phalanx")))


def angles(film, sign):
    """What is measured on a film, by identifier."""
    first = first_axis(film)
    surface = film.points["m1_articular_lateral"] - film.points["m1_articular_medial"]
    normal = 1j * surface
    if dot(normal, first) < 0:
        normal = -normal
    second = film.axis("m2")
    base, tip = film.ends("m2")
    reach = dot(film.points["m1_tip"] - tip, second) / abs(second)
    found = {
        "intermetatarsal_angle_1_2": degrees(sign * turn(first, second)),
        "distal_metatarsal_articular_angle": degrees(sign * turn(first, normal)),
        "tibial_sesamoid_share": sesamoid_share(film, first, sign),
        "relative_first_metatarsal_length_ratio": reach / abs(tip - base),
    }
    if "proximal_phalanx" in film.cortices:
        found["hallux_valgus_angle"] = hallux_valgus(film, sign)
        found["hallux_interphalangeal_angle"] = degrees(
            sign * turn(film.axis("proximal_phalanx"), film.axis("distal_phalanx"))
        )
    return found


def sesamoid_share(film, first, sign):
    centre, long_end, short_end = (
        film.points[f"tibial_sesamoid_{part}"] for part in ("centre", "long_end", "short_end")
    )
    across = sign * 1j * unit(first)
    far = dot(centre - film.points["m1_base_centre"], across)
    half = math.hypot(dot(long_end - centre, across), dot(short_end - centre, across))
    return min(max(100 * (far + half) / (2 * half), 0.0), 100.0)


def toe_moved(film, motion):
    for name in film.points:
        if name.startswith(TOE_BONES):
            film.points[name] = motion(name, film.points[name])
    for bone in TOE_BONES:
        if bone in film.cortices:
            film.cortices[bone] = [
                [motion(bone, point) for point in line] for line in film.cortices[bone]
            ]


def about(centre, clockwise):
    """A turn about a point, in radians clockwise on the screen."""
    turned = cmath.exp(1j * clockwise)
    return lambda point: centre + turned * (point - centre)


def wedge_closed(film, sign, plan):
    """What lies distal of a fifth of the phalanx is turned medially about its lateral cortex there."""
    angle = math.radians(plan["toe"]["wedge_degrees"])
    if angle == 0 or "proximal_phalanx" not in film.cortices:
        return
    base, tip = film.ends("proximal_phalanx")
    reference = tip - base
    sides = [
        level_crossing(line, base, reference, WEDGE_AT)
        for line in film.cortices["proximal_phalanx"]
    ]
    hinge = max(sides, key=lambda point: dot(point - base, sign * 1j * reference))
    close = about(hinge, -sign * angle)

    def motion(name, point):
        share = dot(point - base, reference) / abs(reference) ** 2
        beyond = name.startswith("distal_phalanx") or share > WEDGE_AT
        return close(point) if beyond else point

    toe_moved(film, motion)


def planned_film(case, bone, sign, cut, way):
    """The AP film with the fragment and the toe where the plan brings them."""
    film, plan = Film(case["ap"]), case["plan"]
    step = bone.film(way.displacement()) - bone.origin
    head = film.points["m1_head_centre"] + step
    # Toward medial: against the clock where lateral lies clockwise.
    medially = about(head, -sign * math.radians(plan["head"]["medial_turn_degrees"]))
    # The tip is the most distal point of a round head: it keeps its place against the axis from base to head.
    base = film.points["m1_base_centre"]
    axis_before = film.points["m1_head_centre"] - base
    tip_from_head = film.points["m1_tip"] - film.points["m1_head_centre"]
    turned = cmath.phase((head - base) / axis_before)
    film.points["m1_tip"] = head + cmath.exp(1j * turned) * tip_from_head
    for name in ("m1_head_centre", "m1_articular_medial", "m1_articular_lateral"):
        film.points[name] = medially(film.points[name] + step)
    rule = plan["toe"]["rule"]
    if rule == "follows_head":
        toe_moved(film, lambda _, point: medially(point + step))
    else:
        toe_moved(film, lambda _, point: point + step)
    wedge_closed(film, sign, plan)
    if isinstance(rule, dict) and "proximal_phalanx" in film.cortices:
        wanted = rule["realigned"]["hallux_valgus_degrees"]
        by = math.radians(wanted - hallux_valgus(film, sign))
        realigned = about(head, sign * by)
        toe_moved(film, lambda _, point: realigned(point))
    return film
