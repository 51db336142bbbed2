"""What is measured on the AP film, after docs/measurements.md."""

import numpy

import gaps
from gaps import NoNumber
from plane import cross, dot, length, middle, perpendicular, reversed_if, scaled, turn, unit


def carrying_pair(film, number):
    """The proximal and the distal point that tell where a metatarsal lies, or nothing."""
    bone = f"m{number}"
    pairs = [(f"{bone}_base_centre", f"{bone}_tip")]
    if number == 1:
        pairs.append(("m1_base_centre", "m1_head_centre"))
    pairs.append((f"{bone}_shaft_start", f"{bone}_shaft_end"))
    for pair in pairs:
        if film.has(*pair):
            return film.line(*pair)
    if bone in film.cortices:
        one, two = film.cortices[bone]
        return middle(one[0], two[0]), middle(one[-1], two[-1])
    return None


def lateral_sign(film):
    """+1 where lateral lies clockwise of distal, -1 where it lies the other way."""
    placed = {number: carrying_pair(film, number) for number in range(1, 6)}
    placed = [pair for _, pair in sorted(placed.items()) if pair is not None]
    if len(placed) < 2:
        raise NoNumber("needs", "another metatarsal")
    (low_proximal, low_distal), (high_proximal, high_distal) = placed[0], placed[-1]
    distal = unit(unit(low_distal - low_proximal) + unit(high_distal - high_proximal))
    lateral = unit(middle(high_proximal, high_distal) - middle(low_proximal, low_distal))
    way = cross(distal, lateral)
    gaps.ensure(numpy.abs(way) > 0.1, "degenerate", "the metatarsals lie in one line")
    return numpy.sign(way)


def angle_between(foot, convention, proximal, distal):
    first, second, sign = gaps.all_of(
        lambda: foot.axis("ap", proximal, convention),
        lambda: foot.axis("ap", distal, convention),
        lambda: lateral_sign(foot.ap),
    )
    return numpy.degrees(sign * turn(first[1], second[1]))


def distal_metatarsal_articular_angle(foot, convention):
    axis, ends, sign = gaps.all_of(
        lambda: foot.axis("ap", "m1", convention),
        lambda: foot.ap.line("m1_articular_medial", "m1_articular_lateral"),
        lambda: lateral_sign(foot.ap),
    )
    normal = perpendicular(ends[1] - ends[0])
    facing = dot(normal, axis[1])
    faces = numpy.abs(facing) > 1e-6 * length(normal) * length(axis[1])
    gaps.ensure(faces, "degenerate", "the surface lies along the axis")
    return numpy.degrees(sign * turn(axis[1], reversed_if(facing < 0, normal)))


def sesamoid_per_cent(foot, convention):
    """Per cent of the tibial sesamoid's width lateral to the axis, not limited."""
    axis, centre, long_end, short_end, sign = gaps.all_of(
        lambda: foot.axis("ap", "m1", convention),
        lambda: foot.ap.point("tibial_sesamoid_centre"),
        lambda: foot.ap.point("tibial_sesamoid_long_end"),
        lambda: foot.ap.point("tibial_sesamoid_short_end"),
        lambda: lateral_sign(foot.ap),
    )
    start, direction = axis
    across = scaled(unit(perpendicular(direction)), sign)
    long_half, short_half = long_end - centre, short_end - centre
    gaps.ensure(numpy.abs(cross(long_half, short_half)) >= 1, "degenerate", "a flat sesamoid")
    offset = dot(centre - start, across)
    half_width = numpy.sqrt(dot(long_half, across) ** 2 + dot(short_half, across) ** 2)
    gaps.ensure(2 * half_width >= 2, "degenerate", "a narrow sesamoid")
    return 100 * (offset + half_width) / (2 * half_width)


def sesamoid_position(per_cent):
    if per_cent < -3:
        return 1
    if per_cent <= 3:
        return 2
    if per_cent < 45:
        return 3
    if per_cent <= 55:
        return 4
    if per_cent < 97:
        return 5
    return 6 if per_cent <= 103 else 7


def sesamoid_grade(per_cent):
    if per_cent <= 0:
        return 0
    if per_cent <= 50:
        return 1
    return 2 if per_cent < 100 else 3


POSITION_LIMITS = (-3, 3, 45, 55, 97, 103)
GRADE_LIMITS = (0, 50, 100)


def length_in_widths(foot, number):
    base, tip = foot.ap.line(f"m{number}_base_centre", f"m{number}_tip")
    return length(tip - base)


def length_in_mm(foot, number):
    size, scale = gaps.all_of(
        lambda: length_in_widths(foot, number), lambda: foot.ap.mm_per_pixel_width()
    )
    return scale * size


def ratio_to_second(foot, number):
    size, second = gaps.all_of(
        lambda: length_in_widths(foot, number), lambda: length_in_widths(foot, 2)
    )
    return size / second


def reach_beyond_second(foot, convention):
    """How far the first metatarsal reaches beyond the second, in pixel widths."""
    first_tip, second_tip, axis = gaps.all_of(
        lambda: foot.ap.point("m1_tip"),
        lambda: foot.ap.point("m2_tip"),
        lambda: foot.axis("ap", "m2", convention),
    )
    return dot(first_tip - second_tip, unit(axis[1]))


def relative_first_metatarsal_length(foot, convention):
    reach, scale = gaps.all_of(
        lambda: reach_beyond_second(foot, convention), lambda: foot.ap.mm_per_pixel_width()
    )
    return scale * reach


def relative_first_metatarsal_length_ratio(foot, convention):
    reach, second = gaps.all_of(
        lambda: reach_beyond_second(foot, convention), lambda: length_in_widths(foot, 2)
    )
    return reach / second
