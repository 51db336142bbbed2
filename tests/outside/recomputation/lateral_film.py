"""What is measured on the lateral film, after docs/measurements.md."""

import numpy

import gaps
from gaps import NoNumber
from plane import cross, dot, length, middle, perpendicular, reversed_if, scaled, turn, unit

TALUS = ("talus_posterior", "talus_anterior")
CALCANEUS = ("calcaneus_plantar_posterior", "calcaneus_plantar_anterior")
FLOOR = ("floor_posterior", "floor_anterior")
FIRST_METATARSAL = (
    ("m1_base_centre", "m1_tip"),
    ("m1_base_centre", "m1_head_centre"),
    ("m1_shaft_start", "m1_shaft_end"),
)
DORSAL_OF_FIRST = ("m1_dorsal_proximal", "m1_dorsal_distal")
DORSAL_OF_SECOND = ("m2_dorsal_proximal", "m2_dorsal_distal")
FACE_OF_SHAFT = ("m1_shaft_cut_plantar", "m1_shaft_cut_dorsal")
FACE_OF_FRAGMENT = ("m1_fragment_cut_plantar", "m1_fragment_cut_dorsal")


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
    if not middles:
        raise NoNumber("needs", "a bone above the floor")
    dorsal = perpendicular(anterior - posterior)
    bones = numpy.mean(middles, axis=0)
    return reversed_if(dot(bones - posterior, dorsal) < 0, dorsal)


def dorsal(film):
    if film.has(*FLOOR):
        return dorsal_above_floor(film)
    plantar, talus = gaps.all_of(lambda: film.line(*CALCANEUS), lambda: film.line(*TALUS))
    up = perpendicular(plantar[1] - plantar[0])
    return reversed_if(dot(middle(*talus) - plantar[0], up) < 0, up)


def way_round(first, second, why):
    """+1 where the second direction lies clockwise of the first, -1 where it lies the other way."""
    way = cross(first, second)
    apart = numpy.abs(way) > 0.1 * length(first) * length(second)
    gaps.ensure(apart, "degenerate", why)
    return numpy.sign(way)


def talo_first_metatarsal_angle(foot, convention):
    film = foot.lateral
    axis, ends, up = gaps.all_of(
        lambda: foot.axis("lateral", "m1", convention),
        lambda: film.line(*TALUS),
        lambda: dorsal(film),
    )
    metatarsal = axis.direction
    talus = ends[1] - ends[0]
    talus = reversed_if(dot(talus, metatarsal) < 0, talus)
    sign = way_round(metatarsal, up, "the first metatarsal points to dorsal")
    return numpy.degrees(-sign * turn(talus, metatarsal))


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
    metatarsal, floor = axis.direction, ends[1] - ends[0]
    floor = reversed_if(dot(floor, metatarsal) < 0, floor)
    up = dorsal(film)
    return numpy.degrees(numpy.arctan2(-dot(metatarsal, up), dot(metatarsal, floor)))


def lateral_talocalcaneal_angle(foot):
    film = foot.lateral
    talus_ends, plantar_ends, up = gaps.all_of(
        lambda: film.line(*TALUS), lambda: film.line(*CALCANEUS), lambda: dorsal(film)
    )
    talus, plantar = talus_ends[1] - talus_ends[0], plantar_ends[1] - plantar_ends[0]
    first_metatarsal = middle_of_first_metatarsal(film)
    anterior = talus
    if first_metatarsal is not None:
        anterior = first_metatarsal - middle(*plantar_ends)
    talus = reversed_if(dot(talus, anterior) < 0, talus)
    plantar = reversed_if(dot(plantar, anterior) < 0, plantar)
    sign = way_round(anterior, up, "the foot points to dorsal")
    return numpy.degrees(sign * turn(talus, plantar))


def sagittal_intermetatarsal_angle(foot):
    film = foot.lateral
    first_ends, second_ends, up = gaps.all_of(
        lambda: film.line(*DORSAL_OF_FIRST),
        lambda: film.line(*DORSAL_OF_SECOND),
        lambda: dorsal(film),
    )
    first, second = first_ends[1] - first_ends[0], second_ends[1] - second_ends[0]
    sign = way_round(second, up, "the second metatarsal points to dorsal")
    return numpy.degrees(sign * turn(second, first))


def dorsal_of_second(ends, up):
    """The unit vector square to the second metatarsal's dorsal cortex, to dorsal."""
    second = ends[1] - ends[0]
    sign = way_round(second, up, "the second metatarsal points to dorsal")
    return unit(scaled(perpendicular(second), sign))


def first_metatarsal_elevation(foot):
    film = foot.lateral
    head, ends, up, scale = gaps.all_of(
        lambda: film.point("m1_dorsal_distal"),
        lambda: film.line(*DORSAL_OF_SECOND),
        lambda: dorsal(film),
        film.mm_per_pixel_width,
    )
    return scale * dot(head - ends[0], dorsal_of_second(ends, up))


def first_metatarsal_elevation_gain(foot):
    """By how much the first metatarsal's dorsal cortex rises over the second's from end to end."""
    film = foot.lateral
    first_ends, second_ends, up, scale = gaps.all_of(
        lambda: film.line(*DORSAL_OF_FIRST),
        lambda: film.line(*DORSAL_OF_SECOND),
        lambda: dorsal(film),
        film.mm_per_pixel_width,
    )
    first = first_ends[1] - first_ends[0]
    return scale * dot(first, dorsal_of_second(second_ends, up))


def medial_cuneiform_height(foot):
    film = foot.lateral
    lowest, floor, up, scale = gaps.all_of(
        lambda: film.point("medial_cuneiform_plantar"),
        lambda: film.line(*FLOOR),
        lambda: dorsal_above_floor(film),
        film.mm_per_pixel_width,
    )
    return scale * dot(lowest - floor[0], unit(up))


def cut_faces(foot):
    """The faces of shaft and fragment, each from its plantar to its dorsal end."""
    if not foot.operated:
        raise NoNumber("refused", "the foot was not operated on")
    film = foot.lateral
    return gaps.all_of(lambda: film.line(*FACE_OF_SHAFT), lambda: film.line(*FACE_OF_FRAGMENT))


def fragment_shift_in_widths(foot):
    shaft, fragment = cut_faces(foot)
    return dot(middle(*fragment) - middle(*shaft), unit(shaft[1] - shaft[0]))


def fragment_shift(foot):
    shift, scale = gaps.all_of(
        lambda: fragment_shift_in_widths(foot), foot.lateral.mm_per_pixel_width
    )
    return scale * shift


def fragment_shift_ratio(foot):
    shaft, _ = cut_faces(foot)
    return fragment_shift_in_widths(foot) / length(shaft[1] - shaft[0])


def fragment_tilt(foot):
    faces, ends = gaps.all_of(
        lambda: cut_faces(foot), lambda: foot.lateral.line("m1_base_centre", "m1_tip")
    )
    shaft, fragment = (dorsal_end - plantar_end for plantar_end, dorsal_end in faces)
    sign = way_round(ends[1] - ends[0], shaft, "the cut runs along the bone")
    return numpy.degrees(-sign * turn(shaft, fragment))
