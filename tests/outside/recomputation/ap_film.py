"""What is measured on the AP film, after docs/measurements.md."""

import numpy

import gaps
from gaps import NoNumber
from plane import cross, dot, length, middle, perpendicular, reversed_if, scaled, turn, unit


def carrying_points(film, number):
    """The names of the two points that tell where a metatarsal lies, or nothing."""
    bone = f"m{number}"
    pairs = [(f"{bone}_base_centre", f"{bone}_tip")]
    if number == 1:
        pairs.append(("m1_base_centre", "m1_head_centre"))
    pairs.append((f"{bone}_shaft_start", f"{bone}_shaft_end"))
    return next((pair for pair in pairs if film.has(*pair)), None)


def carrying_pair(film, number):
    """The proximal and the distal end that tell where a metatarsal lies, or nothing."""
    bone = f"m{number}"
    points = carrying_points(film, number)
    if points is not None:
        return film.line(*points)
    if bone in film.cortices:
        one, two = film.cortices[bone]
        return middle(one[0], two[0]), middle(one[-1], two[-1])
    return None


def ensure_whole(film, number):
    """Where cortices tell where a metatarsal lies they must not be broken."""
    if carrying_points(film, number) is None:
        film.shaft(f"m{number}")


def lateral_sign(film):
    """+1 where lateral lies clockwise of distal, -1 where it lies the other way."""
    placed = {number: carrying_pair(film, number) for number in range(1, 6)}
    placed = {number: pair for number, pair in placed.items() if pair is not None}
    if placed:
        ensure_whole(film, min(placed))
        ensure_whole(film, max(placed))
    if len(placed) < 2:
        raise NoNumber("needs", "another metatarsal")
    low_proximal, low_distal = placed[min(placed)]
    high_proximal, high_distal = placed[max(placed)]
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
    return numpy.degrees(sign * turn(first.direction, second.direction))


def across_the_foot(film, lateral_base):
    """The perpendicular of the line across the lesser tarsus, between the middles of its sides."""
    corner, talonavicular, calcaneocuboid, lateral_corner = gaps.all_of(
        lambda: film.point("m1_base_medial"),
        lambda: film.point("talonavicular_medial"),
        lambda: film.point("calcaneocuboid_lateral"),
        lambda: film.point(lateral_base),
    )
    line = middle(calcaneocuboid, lateral_corner) - middle(corner, talonavicular)
    gaps.ensure(length(line) >= gaps.LEAST_LENGTH, "degenerate", "the sides of the lesser tarsus")
    return perpendicular(line)


def metatarsus_adductus_angle(foot, convention, lateral_base):
    axis, normal, ends, sign = gaps.all_of(
        lambda: foot.axis("ap", "m2", convention),
        lambda: across_the_foot(foot.ap, lateral_base),
        lambda: foot.ap.line("m2_base_centre", "m2_tip"),
        lambda: lateral_sign(foot.ap),
    )
    normal = reversed_if(dot(normal, ends[1] - ends[0]) < 0, normal)
    return numpy.degrees(-sign * turn(normal, axis.direction))


def second_metatarsal_cuneiform_angle(foot, convention):
    axis, ends, sign = gaps.all_of(
        lambda: foot.axis("ap", "m2", convention),
        lambda: foot.ap.line("intermediate_cuneiform_proximal", "intermediate_cuneiform_distal"),
        lambda: lateral_sign(foot.ap),
    )
    return numpy.degrees(-sign * turn(ends[1] - ends[0], axis.direction))


def outline(film, sesamoid):
    """Centre and two half-diameters of the ellipse around a sesamoid."""
    centre, long_end, short_end = gaps.all_of(
        lambda: film.point(f"{sesamoid}_centre"),
        lambda: film.point(f"{sesamoid}_long_end"),
        lambda: film.point(f"{sesamoid}_short_end"),
    )
    return centre, long_end - centre, short_end - centre


def sesamoid_beside_axis(foot, convention):
    """The tibial sesamoid, the first metatarsal's axis and the unit vector square to it, to lateral."""
    axis, ellipse, sign = gaps.all_of(
        lambda: foot.axis("ap", "m1", convention),
        lambda: outline(foot.ap, "tibial_sesamoid"),
        lambda: lateral_sign(foot.ap),
    )
    return ellipse, axis, scaled(unit(perpendicular(axis.direction)), sign)


def sesamoid_per_cent(foot, convention):
    """Per cent of the tibial sesamoid's width lateral to the axis, not limited."""
    ellipse, axis, across = sesamoid_beside_axis(foot, convention)
    return per_cent_beyond(ellipse, axis.start, across)


def sesamoid_per_turn(foot, convention):
    ellipse, axis, across = sesamoid_beside_axis(foot, convention)
    return per_cent_per_turn(ellipse, axis.middle, across)


def half_width_of(ellipse, across):
    _, long_half, short_half = ellipse
    return numpy.sqrt(dot(long_half, across) ** 2 + dot(short_half, across) ** 2)


def per_cent_beyond(ellipse, start, across):
    """Per cent of an ellipse's width beyond the line through `start` that is square to `across`."""
    centre, long_half, short_half = ellipse
    gaps.ensure(numpy.abs(cross(long_half, short_half)) >= 1, "degenerate", "a flat sesamoid")
    offset = dot(centre - start, across)
    half_width = half_width_of(ellipse, across)
    gaps.ensure(2 * half_width >= 2, "degenerate", "a narrow sesamoid")
    return 100 * (offset + half_width) / (2 * half_width)


def per_cent_per_turn(ellipse, pivot, across):
    """By how many per cent of the width a line that turns about `pivot` by a tangent of 1 moves."""
    return 50 * length(ellipse[0] - pivot) / half_width_of(ellipse, across)


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


def reach_along_second(foot, convention, further, other):
    """How far a point lies distally of another along the second metatarsal, in pixel widths."""
    first, second, axis = gaps.all_of(
        lambda: foot.ap.point(further),
        lambda: foot.ap.point(other),
        lambda: foot.axis("ap", "m2", convention),
    )
    return dot(first - second, unit(axis.direction))


def reach_along_second_in_mm(foot, convention, further, other):
    reach, scale = gaps.all_of(
        lambda: reach_along_second(foot, convention, further, other),
        lambda: foot.ap.mm_per_pixel_width(),
    )
    return scale * reach


def relative_first_metatarsal_length_ratio(foot, convention):
    reach, second = gaps.all_of(
        lambda: reach_along_second(foot, convention, "m1_tip", "m2_tip"),
        lambda: length_in_widths(foot, 2),
    )
    return reach / second


def centre_of_arcs(foot, convention):
    """Where the second metatarsal's axis meets the line of the midtarsal joints."""
    axis, joints = gaps.all_of(
        lambda: foot.axis("ap", "m2", convention),
        lambda: foot.ap.line("talonavicular_medial", "calcaneocuboid_lateral"),
    )
    start, direction = axis.start, axis.direction
    along = joints[1] - joints[0]
    way = cross(direction, along)
    meet = numpy.abs(way) > 0.1 * length(direction) * length(along)
    gaps.ensure(meet, "degenerate", "the second metatarsal lies along the midtarsal joints")
    return start + scaled(direction, cross(joints[0] - start, along) / way)


def reach_by_arcs(foot, convention, number):
    tip, second_tip, centre, scale = gaps.all_of(
        lambda: foot.ap.point(f"m{number}_tip"),
        lambda: foot.ap.point("m2_tip"),
        lambda: centre_of_arcs(foot, convention),
        lambda: foot.ap.mm_per_pixel_width(),
    )
    return scale * (length(tip - centre) - length(second_tip - centre))


def forefoot_width(foot):
    ends, scale = gaps.all_of(
        lambda: foot.ap.line("m1_head_medial", "m5_head_lateral"),
        lambda: foot.ap.mm_per_pixel_width(),
    )
    return scale * length(ends[1] - ends[0])
