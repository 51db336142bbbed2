"""Fibular sesamoid and medial eminence, after the section of docs/measurements.md by that name."""

import numpy

import axes
import gaps
from ap_film import lateral_sign, outline, per_cent_beyond, per_cent_per_turn
from plane import dot, length, middle, perpendicular, reversed_if, scaled, unit

PROXIMAL_LEVEL, DISTAL_LEVEL = 1 / 3, 2 / 3

LATERAL, MEDIAL = 1.0, -1.0


def ensure_proximal_to_osteotomy(film):
    """On an operated visit both levels must lie proximal to the cut.

    Without the cut the line is refused whatever else is placed; without cortices, base and tip there
    are no levels to refuse it for.
    """
    axes.place_of_osteotomy(film)
    axes.shaft_needs(film, "m1")
    axes.ensure_level_proximal_to_osteotomy(film, DISTAL_LEVEL)


def edge(foot, side):
    """The two points of the line along the lateral or medial cortex, and its outward unit normal."""
    film = foot.ap
    parts = [
        lambda: lateral_sign(film),
        lambda: axes.crossings(film, "m1", PROXIMAL_LEVEL),
        lambda: axes.crossings(film, "m1", DISTAL_LEVEL),
    ]
    if foot.operated:
        parts.append(lambda: ensure_proximal_to_osteotomy(film))
    sign, proximal, distal = gaps.all_of(*parts)[:3]
    base, tip = film.line("m1_base_centre", "m1_tip")
    outward = scaled(perpendicular(tip - base), side * sign)

    def outermost(one, two):
        is_first = dot(one, outward) > dot(two, outward)
        return numpy.where(is_first[..., None], one, two)

    start, end = outermost(*proximal), outermost(*distal)
    gaps.ensure(length(end - start) >= gaps.LEAST_LENGTH, "degenerate", "the line along a cortex")
    normal = perpendicular(end - start)
    return start, end, unit(reversed_if(dot(normal, outward) < 0, normal))


def fibular_sesamoid_beside_edge(foot):
    return gaps.all_of(lambda: outline(foot.ap, "fibular_sesamoid"), lambda: edge(foot, LATERAL))


def fibular_sesamoid_per_cent(foot):
    """Per cent of the fibular sesamoid's width beyond the lateral cortex, not limited."""
    ellipse, (start, _, outward) = fibular_sesamoid_beside_edge(foot)
    return per_cent_beyond(ellipse, start, outward)


def fibular_sesamoid_per_turn(foot):
    ellipse, (start, end, outward) = fibular_sesamoid_beside_edge(foot)
    return per_cent_per_turn(ellipse, middle(start, end), outward)


def medial_eminence(foot):
    (start, _, outward), head, scale = gaps.all_of(
        lambda: edge(foot, MEDIAL),
        lambda: foot.ap.point("m1_head_medial"),
        foot.ap.mm_per_pixel_width,
    )
    return scale * dot(head - start, outward)
