"""The axis of a long bone by every convention, after docs/measurements.md, "The axis of a long bone"."""

from typing import NamedTuple

import numpy

import gaps
from gaps import NoNumber
from plane import cross, dot, length, middle, reversed_if, scaled

SHAFT_CONVENTIONS = ("mid_diaphyseal_quarters", "mid_diaphyseal_mm", "shaft_fit")
HEAD_CONVENTIONS = ("head_base", "head_shaft")
CONVENTIONS = SHAFT_CONVENTIONS + HEAD_CONVENTIONS

FIT_LEVELS = [0.25 + k / 40 for k in range(21)]


class Axis(NamedTuple):
    """An axis, and the middle between the first and the last of the points that carry it."""

    start: numpy.ndarray
    direction: numpy.ndarray
    middle: numpy.ndarray


def share(point, base, reference):
    return dot(point - base, reference) / dot(reference, reference)


def crossing(cortex, base, reference, level):
    """Where the level crosses a cortex; of several crossings the one nearest the reference line."""
    shares = share(cortex, base, reference)
    before, after = shares[:-1], shares[1:]
    hits = (numpy.minimum(before, after) <= level) & (level <= numpy.maximum(before, after))
    hits &= before != after
    gaps.ensure(hits.any(axis=0), "degenerate", "a cortex does not reach a level")
    run = numpy.where(hits, after - before, 1.0)
    places = cortex[:-1] + scaled(cortex[1:] - cortex[:-1], (level - before) / run)
    distances = numpy.abs(cross(places - base, reference)) / length(reference)
    nearest = numpy.where(hits, distances, numpy.inf).argmin(axis=0)
    return places[nearest, numpy.arange(places.shape[1])]


def crossings(film, bone, level):
    """Where a level, a number or one for each tracing, crosses the two cortices."""
    cortices, (base, tip) = shaft_needs(film, bone)
    one, two = (crossing(cortex, base, tip - base, level) for cortex in cortices)
    gaps.ensure(length(two - one) >= 1.0, "degenerate", f"cortices of {bone} meet")
    return one, two


def middle_of_shaft(film, bone, level):
    return middle(*crossings(film, bone, level))


def shaft_needs(film, bone):
    """What the levels need: the cortices, and base and tip."""
    return gaps.all_of(
        lambda: film.shaft(bone), lambda: film.line(f"{bone}_base_centre", f"{bone}_tip")
    )


def is_drawn_by_hand(film, bone):
    has_ends = film.has(f"{bone}_shaft_start", f"{bone}_shaft_end")
    return bone not in film.cortices and has_ends


def drawn_axis(film, bone):
    start, end = film.line(f"{bone}_shaft_start", f"{bone}_shaft_end")
    direction = end - start
    if film.has(f"{bone}_base_centre", f"{bone}_tip"):
        reference = film.point(f"{bone}_tip") - film.point(f"{bone}_base_centre")
        direction = reversed_if(dot(direction, reference) < 0, direction)
    return Axis(start, direction, middle(start, end))


def level_by_millimetres(film, bone, levels_mm):
    kind = bone if bone in levels_mm else "metatarsal"
    ends, scale = gaps.all_of(
        lambda: film.line(f"{bone}_base_centre", f"{bone}_tip"), film.mm_per_pixel_width
    )
    level = levels_mm[kind] / (scale * length(ends[1] - ends[0]))
    gaps.ensure((0 < level) & (level < 0.5), "refused", f"the levels of {bone} pass each other")
    return level


def axis_through_two(film, bone, proximal, distal):
    base, tip = film.line(f"{bone}_base_centre", f"{bone}_tip")
    start = middle_of_shaft(film, bone, proximal)
    end = middle_of_shaft(film, bone, distal)
    direction = end - start
    gaps.ensure(length(direction) >= gaps.LEAST_LENGTH, "degenerate", f"axis of {bone}")
    direction = reversed_if(dot(direction, tip - base) < 0, direction)
    return Axis(start, direction, middle(start, end))


def fitted_axis(film, bone):
    base, tip = film.line(f"{bone}_base_centre", f"{bone}_tip")
    middles = numpy.stack([middle_of_shaft(film, bone, level) for level in FIT_LEVELS])
    mean = middles.mean(axis=0)
    x, y = (middles - mean)[..., 0], (middles - mean)[..., 1]
    across, along = 2 * (x * y).sum(axis=0), (x * x).sum(axis=0) - (y * y).sum(axis=0)
    scatter = (x * x).sum(axis=0) + (y * y).sum(axis=0)
    gaps.ensure(numpy.hypot(across, along) > 1e-6 * scatter, "degenerate", f"middles of {bone}")
    angle = 0.5 * numpy.arctan2(across, along)
    direction = numpy.stack([numpy.cos(angle), numpy.sin(angle)], axis=-1)
    direction = reversed_if(dot(direction, tip - base) < 0, direction)
    return Axis(mean, direction, middle(middles[0], middles[-1]))


def shaft_axis(film, bone, convention, levels_mm):
    if is_drawn_by_hand(film, bone):
        return drawn_axis(film, bone)
    if convention == "mid_diaphyseal_quarters":
        shaft_needs(film, bone)
        return axis_through_two(film, bone, 0.25, 0.75)
    if bone not in film.cortices:
        shaft_needs(film, bone)
    if convention == "mid_diaphyseal_mm":
        _, level = gaps.all_of(
            lambda: shaft_needs(film, bone),
            lambda: level_by_millimetres(film, bone, levels_mm),
        )
        return axis_through_two(film, bone, level, 1 - level)
    shaft_needs(film, bone)
    return fitted_axis(film, bone)


def head_axis(film, convention):
    if convention == "head_base":
        base, head = film.line("m1_base_centre", "m1_head_centre")
        return Axis(base, head - base, middle(base, head))
    _, head = gaps.all_of(lambda: shaft_needs(film, "m1"), lambda: film.point("m1_head_centre"))
    start = middle_of_shaft(film, "m1", 0.25)
    gaps.ensure(length(head - start) >= gaps.LEAST_LENGTH, "degenerate", "head and shaft")
    return Axis(start, head - start, middle(start, head))


def most_distal_level(film, convention, levels_mm):
    if convention == "mid_diaphyseal_mm":
        return 1 - level_by_millimetres(film, "m1", levels_mm)
    return 0.25 if convention == "head_shaft" else 0.75


def place_of_osteotomy(film):
    if not film.has("m1_osteotomy_level"):
        raise NoNumber("refused", "no level of the osteotomy")
    return film.point("m1_osteotomy_level")


def ensure_level_proximal_to_osteotomy(film, level):
    """On an operated visit a level of the first metatarsal must lie proximal to the cut."""
    cut = place_of_osteotomy(film)
    base, tip = film.line("m1_base_centre", "m1_tip")
    proximal = level < share(cut, base, tip - base)
    gaps.ensure(proximal, "refused", "the level lies in the fragment")


def ensure_proximal_to_osteotomy(film, convention, levels_mm):
    """On an operated visit the axis must lie proximal to the cut."""
    cut = place_of_osteotomy(film)
    if is_drawn_by_hand(film, "m1") and convention != "head_shaft":
        start, end = film.line("m1_shaft_start", "m1_shaft_end")
        reference = drawn_axis(film, "m1").direction
        if film.has("m1_base_centre", "m1_tip"):
            reference = film.point("m1_tip") - film.point("m1_base_centre")
        proximal = (dot(start - cut, reference) < 0) & (dot(end - cut, reference) < 0)
        gaps.ensure(proximal, "refused", "the axis leans on the fragment")
        return
    if convention in SHAFT_CONVENTIONS and "m1" not in film.cortices:
        shaft_needs(film, "m1")
    level = most_distal_level(film, convention, levels_mm)
    ensure_level_proximal_to_osteotomy(film, level)


def axis(film, bone, convention, levels_mm, operated):
    """The bone's axis, from proximal to distal."""
    if bone != "m1" and convention in HEAD_CONVENTIONS:
        convention = "mid_diaphyseal_quarters"
    parts = []
    if operated and bone == "m1" and convention != "head_base":
        parts.append(lambda: ensure_proximal_to_osteotomy(film, convention, levels_mm))
    if convention in HEAD_CONVENTIONS:
        parts.append(lambda: head_axis(film, convention))
    else:
        parts.append(lambda: shaft_axis(film, bone, convention, levels_mm))
    return gaps.all_of(*parts)[-1]
