"""Where joint surfaces face, after docs/measurements.md, "Joint surfaces"."""

import numpy

import gaps
from ap_film import lateral_sign
from plane import dot, length, perpendicular, reversed_if, turn

HEAD_OF_FIRST = ("m1_articular_medial", "m1_articular_lateral")
BASE_OF_FIRST = ("m1_base_medial", "m1_base_lateral")
BASE_OF_PHALANX = ("proximal_phalanx_base_medial", "proximal_phalanx_base_lateral")
HEAD_OF_PHALANX = ("proximal_phalanx_distal_medial", "proximal_phalanx_distal_lateral")


def facing(film, surface, guide):
    """The perpendicular of a surface on the side of the direction that `guide` gives, and that."""
    ends, direction = gaps.all_of(lambda: film.line(*surface), guide)
    normal = perpendicular(ends[1] - ends[0])
    along = dot(normal, direction)
    faces = numpy.abs(along) > 1e-6 * length(normal) * length(direction)
    gaps.ensure(faces, "degenerate", "the surface lies along its guide")
    return reversed_if(along < 0, normal), direction


def facing_by_axis(foot, surface, bone, convention):
    return facing(foot.ap, surface, lambda: foot.axis("ap", bone, convention).direction)


def facing_by_ends(foot, surface, bone):
    def from_base_to_tip():
        base, tip = foot.ap.line(f"{bone}_base_centre", f"{bone}_tip")
        return tip - base

    return facing(foot.ap, surface, from_base_to_tip)[0]


def distal_metatarsal_articular_angle(foot, convention):
    (normal, axis), sign = gaps.all_of(
        lambda: facing_by_axis(foot, HEAD_OF_FIRST, "m1", convention),
        lambda: lateral_sign(foot.ap),
    )
    return numpy.degrees(sign * turn(axis, normal))


def proximal_phalangeal_articular_angle(foot, convention):
    (normal, axis), sign = gaps.all_of(
        lambda: facing_by_axis(foot, BASE_OF_PHALANX, "proximal_phalanx", convention),
        lambda: lateral_sign(foot.ap),
    )
    return numpy.degrees(sign * turn(normal, axis))


def first_metatarsophalangeal_angle(foot):
    head, base, sign = gaps.all_of(
        lambda: facing_by_ends(foot, HEAD_OF_FIRST, "m1"),
        lambda: facing_by_ends(foot, BASE_OF_PHALANX, "proximal_phalanx"),
        lambda: lateral_sign(foot.ap),
    )
    return numpy.degrees(sign * turn(head, base))


def proximal_distal_phalangeal_articular_angle(foot):
    base, head, sign = gaps.all_of(
        lambda: facing_by_ends(foot, BASE_OF_PHALANX, "proximal_phalanx"),
        lambda: facing_by_ends(foot, HEAD_OF_PHALANX, "proximal_phalanx"),
        lambda: lateral_sign(foot.ap),
    )
    return numpy.degrees(sign * turn(base, head))


def congruency_index(foot):
    """The share of the metatarsal's surface that the phalanx's base faces."""
    (medial, lateral), corners = gaps.all_of(
        lambda: foot.ap.line(*HEAD_OF_FIRST), lambda: foot.ap.line(*BASE_OF_PHALANX)
    )
    along = lateral - medial
    first, second = (
        numpy.clip(dot(corner - medial, along) / dot(along, along), 0, 1) for corner in corners
    )
    return numpy.abs(first - second)


def first_tarsometatarsal_angle(foot, convention, bone):
    """Against the axis of the second metatarsal, or of the first itself."""
    (normal, axis), sign = gaps.all_of(
        lambda: facing_by_axis(foot, BASE_OF_FIRST, bone, convention),
        lambda: lateral_sign(foot.ap),
    )
    return numpy.degrees(-sign * turn(axis, normal))
