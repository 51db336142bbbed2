"""Every measurement of docs/measurements.md by name."""

import ap_film
import axes
import lateral_film
from gaps import NoNumber


class Foot:
    """The films of one foot; every axis is laid once."""

    def __init__(self, layout, vectors, levels_mm, operated):
        self.ap = layout.film("ap", vectors)
        self.lateral = layout.film("lateral", vectors)
        self._levels_mm = levels_mm
        self._operated = operated
        self._axes = {}

    def axis(self, view, bone, convention):
        key = view, bone, convention
        if key not in self._axes:
            film = self.ap if view == "ap" else self.lateral
            try:
                laid = axes.axis(film, bone, convention, self._levels_mm, self._operated)
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


# What varies with the tracing; of a sesamoid that is the per cent, not its class.
QUANTITIES = {
    "hallux_valgus_angle": lambda foot, convention: ap_film.angle_between(
        foot, convention, "m1", "proximal_phalanx"
    ),
    "intermetatarsal_angle_1_2": lambda foot, convention: ap_film.angle_between(
        foot, convention, "m1", "m2"
    ),
    "distal_metatarsal_articular_angle": ap_film.distal_metatarsal_articular_angle,
    "hallux_interphalangeal_angle": lambda foot, convention: ap_film.angle_between(
        foot, convention, "proximal_phalanx", "distal_phalanx"
    ),
    "tibial_sesamoid_share": ap_film.sesamoid_per_cent,
    "tibial_sesamoid_position": ap_film.sesamoid_per_cent,
    "tibial_sesamoid_grade": ap_film.sesamoid_per_cent,
    **dict(lengths()),
    "relative_first_metatarsal_length": ap_film.relative_first_metatarsal_length,
    "relative_first_metatarsal_length_ratio": ap_film.relative_first_metatarsal_length_ratio,
    "talo_first_metatarsal_angle": lateral_film.talo_first_metatarsal_angle,
    "calcaneal_inclination_angle": lambda foot, _: lateral_film.calcaneal_inclination_angle(foot),
    "first_metatarsal_inclination_angle": lateral_film.first_metatarsal_inclination_angle,
}


# How the number that is shown follows from the quantity.
SHOWN = {
    "tibial_sesamoid_share": lambda per_cent: min(max(per_cent, 0.0), 100.0),
    "tibial_sesamoid_position": ap_film.sesamoid_position,
    "tibial_sesamoid_grade": ap_film.sesamoid_grade,
}

# Between which limits of the quantity each class lies.
CLASS_LIMITS = {
    "tibial_sesamoid_position": ap_film.POSITION_LIMITS,
    "tibial_sesamoid_grade": ap_film.GRADE_LIMITS,
}


def shown(name, quantity):
    return SHOWN.get(name, float)(quantity)
