"""Every measurement of docs/measurements.md by name."""

import ap_film
import axes
import joint_surfaces
import lateral_film
import shaft_edges
from gaps import NoNumber


class Foot:
    """The films of one foot; every axis is laid once."""

    def __init__(self, layout, vectors, levels_mm, operated):
        self.ap = layout.film("ap", vectors)
        self.lateral = layout.film("lateral", vectors)
        self.operated = operated
        self._levels_mm = levels_mm
        self._axes = {}

    def axis(self, view, bone, convention):
        key = view, bone, convention
        if key not in self._axes:
            film = self.ap if view == "ap" else self.lateral
            try:
                laid = axes.axis(film, bone, convention, self._levels_mm, self.operated)
            except NoNumber as gap:
                laid = gap
            self._axes[key] = laid
        laid = self._axes[key]
        if isinstance(laid, NoNumber):
            raise laid
        return laid


def lengths():
    """The lengths and their ratios, which lay no axis."""
    for number in range(1, 6):
        yield f"m{number}_length", lambda foot, _, n=number: ap_film.length_in_mm(foot, n)
    for number in (1, 3, 4, 5):
        yield (
            f"length_ratio_m{number}_m2",
            lambda foot, _, n=number: ap_film.ratio_to_second(foot, n),
        )


def angles_between_axes():
    for name, proximal, distal in (
        ("hallux_valgus_angle", "m1", "proximal_phalanx"),
        ("intermetatarsal_angle_1_2", "m1", "m2"),
        ("hallux_interphalangeal_angle", "proximal_phalanx", "distal_phalanx"),
        ("intermetatarsal_angle_1_5", "m1", "m5"),
        ("intermetatarsal_angle_4_5", "m4", "m5"),
    ):
        yield (
            name,
            lambda foot, convention, pair=(proximal, distal): ap_film.angle_between(
                foot, convention, *pair
            ),
        )


def metatarsus_adductus():
    for name, corner in (
        ("metatarsus_adductus_angle", "m4_base_lateral"),
        ("metatarsus_adductus_angle_modified", "m5_base_lateral"),
    ):
        yield (
            name,
            lambda foot, convention, corner=corner: ap_film.metatarsus_adductus_angle(
                foot, convention, corner
            ),
        )


def reaches():
    """How far one point lies distally of another along the second metatarsal, and by arcs."""
    for name, further, other in (
        ("relative_first_metatarsal_length", "m1_tip", "m2_tip"),
        ("m2_m3_step", "m2_tip", "m3_tip"),
        ("m3_m4_step", "m3_tip", "m4_tip"),
        ("m4_m5_step", "m4_tip", "m5_tip"),
        ("sesamoid_line_at_m4", "fibular_sesamoid_centre", "m4_head_centre"),
    ):
        yield (
            name,
            lambda foot, convention, pair=(further, other): ap_film.reach_along_second_in_mm(
                foot, convention, *pair
            ),
        )
    for number in (1, 3, 4, 5):
        yield (
            f"m{number}_reach_by_arcs",
            lambda foot, convention, n=number: ap_film.reach_by_arcs(foot, convention, n),
        )


# What varies with the tracing; of a sesamoid that is the per cent, not its class.
QUANTITIES = {
    **dict(angles_between_axes()),
    "distal_metatarsal_articular_angle": joint_surfaces.distal_metatarsal_articular_angle,
    "proximal_phalangeal_articular_angle": joint_surfaces.proximal_phalangeal_articular_angle,
    "first_metatarsophalangeal_angle": lambda foot, _: (
        joint_surfaces.first_metatarsophalangeal_angle(foot)
    ),
    "proximal_distal_phalangeal_articular_angle": lambda foot, _: (
        joint_surfaces.proximal_distal_phalangeal_articular_angle(foot)
    ),
    "congruency_index": lambda foot, _: joint_surfaces.congruency_index(foot),
    "first_tarsometatarsal_angle": lambda foot, convention: (
        joint_surfaces.first_tarsometatarsal_angle(foot, convention, "m2")
    ),
    "first_tarsometatarsal_angle_own": lambda foot, convention: (
        joint_surfaces.first_tarsometatarsal_angle(foot, convention, "m1")
    ),
    **dict(metatarsus_adductus()),
    "second_metatarsal_cuneiform_angle": ap_film.second_metatarsal_cuneiform_angle,
    "tibial_sesamoid_share": ap_film.sesamoid_per_cent,
    "tibial_sesamoid_position": ap_film.sesamoid_per_cent,
    "tibial_sesamoid_grade": ap_film.sesamoid_per_cent,
    "fibular_sesamoid_share": lambda foot, _: shaft_edges.fibular_sesamoid_per_cent(foot),
    "fibular_sesamoid_grade": lambda foot, _: shaft_edges.fibular_sesamoid_per_cent(foot),
    "medial_eminence": lambda foot, _: shaft_edges.medial_eminence(foot),
    "forefoot_width": lambda foot, _: ap_film.forefoot_width(foot),
    **dict(lengths()),
    **dict(reaches()),
    "relative_first_metatarsal_length_ratio": ap_film.relative_first_metatarsal_length_ratio,
    "talo_first_metatarsal_angle": lateral_film.talo_first_metatarsal_angle,
    "calcaneal_inclination_angle": lambda foot, _: lateral_film.calcaneal_inclination_angle(foot),
    "first_metatarsal_inclination_angle": lateral_film.first_metatarsal_inclination_angle,
    "lateral_talocalcaneal_angle": lambda foot, _: lateral_film.lateral_talocalcaneal_angle(foot),
    "sagittal_intermetatarsal_angle": lambda foot, _: (
        lateral_film.sagittal_intermetatarsal_angle(foot)
    ),
    "first_metatarsal_elevation": lambda foot, _: lateral_film.first_metatarsal_elevation(foot),
    "first_metatarsal_elevation_gain": lambda foot, _: (
        lateral_film.first_metatarsal_elevation_gain(foot)
    ),
    "medial_cuneiform_height": lambda foot, _: lateral_film.medial_cuneiform_height(foot),
    "fragment_shift": lambda foot, _: lateral_film.fragment_shift(foot),
    "fragment_shift_ratio": lambda foot, _: lateral_film.fragment_shift_ratio(foot),
    "fragment_tilt": lambda foot, _: lateral_film.fragment_tilt(foot),
}


def limited_to_whole(per_cent):
    return min(max(per_cent, 0.0), 100.0)


# How the number that is shown follows from the quantity.
SHOWN = {
    "tibial_sesamoid_share": limited_to_whole,
    "tibial_sesamoid_position": ap_film.sesamoid_position,
    "tibial_sesamoid_grade": ap_film.sesamoid_grade,
    "fibular_sesamoid_share": limited_to_whole,
    "fibular_sesamoid_grade": ap_film.sesamoid_grade,
}

# Between which limits of the quantity each class lies.
CLASS_LIMITS = {
    "tibial_sesamoid_position": ap_film.POSITION_LIMITS,
    "tibial_sesamoid_grade": ap_film.GRADE_LIMITS,
    "fibular_sesamoid_grade": ap_film.GRADE_LIMITS,
}

# By how many per cent each of them moves where the line turns by a tangent of 1.
PER_TURN = {
    "tibial_sesamoid_position": ap_film.sesamoid_per_turn,
    "tibial_sesamoid_grade": ap_film.sesamoid_per_turn,
    "fibular_sesamoid_grade": lambda foot, _: shaft_edges.fibular_sesamoid_per_turn(foot),
}


def shown(name, quantity):
    return SHOWN.get(name, float)(quantity)
