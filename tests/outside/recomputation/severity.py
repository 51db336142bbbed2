"""Severity classes and their probabilities, after docs/measurements.md, "Severity"."""

import math
from statistics import NormalDist

CLASSES = ("normal", "mild", "moderate", "severe")

# Of each scheme and angle the three limits, and whether the limit itself is still the milder class.
SCHEMES = {
    "coughlin_mann": {
        "hallux_valgus": ((15, False), (20, False), (40, True)),
        "intermetatarsal": ((9, False), (11, True), (16, False)),
    },
    "geometric_analysis_2009": {
        "hallux_valgus": ((15, False), (20, True), (40, False)),
        "intermetatarsal": ((9, False), (11, True), (18, False)),
    },
    "nice_overview": {
        "hallux_valgus": ((15, False), (20, False), (40, False)),
        "intermetatarsal": ((9, False), (14, False), (20, False)),
    },
    "clinical_pages": {
        "hallux_valgus": ((15, False), (20, False), (40, True)),
        "intermetatarsal": ((9, False), (12, False), (15, True)),
    },
}

# 95 % of single readings within 3.6 degrees; 86.2 % of repeats within 5 degrees.
READER = {
    "intermetatarsal": 3.6 / NormalDist().inv_cdf(0.975),
    "hallux_valgus": 5 / NormalDist().inv_cdf((1 + 0.862) / 2) / math.sqrt(2),
}


def reader_of(name, has_reader_error):
    return READER[name] if has_reader_error else 0.0


def tangent_by_reader(has_reader_error):
    """The tangent of one axis's turn by the reader's error, or nothing where that is impossible."""
    reader = reader_of("intermetatarsal", has_reader_error)
    if not (math.isfinite(reader) and reader >= 0):
        return None
    return math.tan(math.radians(reader / math.sqrt(2)))


def cumulative(number):
    return 0.5 * math.erfc(-number / math.sqrt(2))


def class_of(degrees, limits):
    """The number of the class, 0 for normal."""
    for number, (limit, is_milder) in enumerate(limits):
        if degrees < limit or (is_milder and degrees == limit):
            return number
    return len(limits)


def probabilities_between(limits, value, deviation):
    below = [0.0, *(cumulative((limit - value) / deviation) for limit in limits), 1.0]
    return [upper - lower for lower, upper in zip(below, below[1:])]


def graded(degrees, deviation, limits):
    number = class_of(degrees, limits)
    if deviation == 0:
        return number, [float(number == other) for other in range(4)]
    return number, probabilities_between([limit for limit, _ in limits], degrees, deviation)


def severity(angles, deviations, scheme, has_reader_error):
    """The class of the worse angle and the probability of each class.

    `angles` and `deviations` hold one number each for `hallux_valgus` and `intermetatarsal`.
    """
    classes, chances = {}, {}
    for name, limits in SCHEMES[scheme].items():
        reader = reader_of(name, has_reader_error)
        deviation = math.sqrt(deviations[name] ** 2 + reader**2)
        classes[name], chances[name] = graded(angles[name], deviation, limits)
    worst = [0.0] * 4
    for first, chance_of_first in enumerate(chances["hallux_valgus"]):
        for second, chance_of_second in enumerate(chances["intermetatarsal"]):
            worst[max(first, second)] += chance_of_first * chance_of_second
    return {
        "class": CLASSES[max(classes.values())],
        "hallux_valgus": chances["hallux_valgus"],
        "intermetatarsal": chances["intermetatarsal"],
        "worst": worst,
        "disagree": classes["hallux_valgus"] != classes["intermetatarsal"],
        "hallux_varus": angles["hallux_valgus"] < 0,
    }
