"""What is measured on the lateral film, after docs/measurements.md."""

import numpy

import gaps
from plane import cross, dot, length, middle, perpendicular, reversed_if, turn

TALUS = ("talus_posterior", "talus_anterior")
CALCANEUS = ("calcaneus_plantar_posterior", "calcaneus_plantar_anterior")
FLOOR = ("floor_posterior", "floor_anterior")
FIRST_METATARSAL = (
    ("m1_base_centre", "m1_tip"),
    ("m1_base_centre", "m1_head_centre"),
    ("m1_shaft_start", "m1_shaft_end"),
)


def middle_of(film, pair):
    return middle(film.point(pair[0]), film.point(pair[1]))


def middle_of_first_metatarsal(film):
    for pair in FIRST_METATARSAL:
        if film.has(*pair):
            return middle_of(film, pair)
    return None


def dorsal_above_floor(film):
    posterior, anterior = film.line(*FLOOR)
    middles = [middle_of(film, pair) for pair in (TALUS, CALCANEUS) if film.has(*pair)]
    first_metatarsal = middle_of_first_metatarsal(film)
    if first_metatarsal is not None:
        middles.append(first_metatarsal)
    dorsal = perpendicular(anterior - posterior)
    bones = numpy.mean(middles, axis=0)
    return reversed_if(dot(bones - posterior, dorsal) < 0, dorsal)


def dorsal(film):
    if film.has(*FLOOR):
        return dorsal_above_floor(film)
    plantar, talus = gaps.all_of(lambda: film.line(*CALCANEUS), lambda: film.line(*TALUS))
    up = perpendicular(plantar[1] - plantar[0])
    return reversed_if(dot(middle(*talus) - plantar[0], up) < 0, up)


def talo_first_metatarsal_angle(foot, convention):
    film = foot.lateral
    axis, ends, up = gaps.all_of(
        lambda: foot.axis("lateral", "m1", convention),
        lambda: film.line(*TALUS),
        lambda: dorsal(film),
    )
    metatarsal = axis[1]
    talus = ends[1] - ends[0]
    talus = reversed_if(dot(talus, metatarsal) < 0, talus)
    way = cross(metatarsal, up)
    stands = numpy.abs(way) > 0.1 * length(metatarsal) * length(up)
    gaps.ensure(stands, "degenerate", "the first metatarsal points to dorsal")
    return numpy.degrees(-numpy.sign(way) * turn(talus, metatarsal))


def calcaneal_inclination_angle(foot):
    film = foot.lateral
    plantar_ends, floor_ends = gaps.all_of(
        lambda: film.line(*CALCANEUS), lambda: film.line(*FLOOR)
    )
    plantar = plantar_ends[1] - plantar_ends[0]
    floor = floor_ends[1] - floor_ends[0]
    first_metatarsal = middle_of_first_metatarsal(film)
    anterior = plantar
    if first_metatarsal is not None:
        anterior = first_metatarsal - middle(*plantar_ends)
    floor = reversed_if(dot(floor, anterior) < 0, floor)
    plantar = reversed_if(dot(plantar, floor) < 0, plantar)
    return numpy.degrees(numpy.arctan2(dot(plantar, dorsal(film)), dot(plantar, floor)))


def first_metatarsal_inclination_angle(foot, convention):
    film = foot.lateral
    axis, ends = gaps.all_of(
        lambda: foot.axis("lateral", "m1", convention), lambda: film.line(*FLOOR)
    )
    metatarsal, floor = axis[1], ends[1] - ends[0]
    floor = reversed_if(dot(floor, metatarsal) < 0, floor)
    up = dorsal(film)
    return numpy.degrees(numpy.arctan2(-dot(metatarsal, up), dot(metatarsal, floor)))
