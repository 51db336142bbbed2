"""Recomputes every measurement from docs/measurements.md alone.

    python recompute.py TRACINGS.json VALUES.json

The page is all that this program knows: it was written without a look at the engine's formulas. The
test tests/tests/recomputation writes the tracings and compares the values.
"""

import json
import math
import sys

import numpy

import severity
from axes import CONVENTIONS
from gaps import NoNumber
from measurements import CLASS_LIMITS, PER_TURN, QUANTITIES, Foot, shown
from spread import all_quantities, by_random_tracings, first_order
from tracing import Layout

SEED = 20260301

# As exact as the page gives it.
TWO_SIDED_95 = 1.959963984540054


def unmoved_foot(layout, case):
    return Foot(layout, layout.values[None, :], case["levels_mm"], case["operated"])


def values_of(layout, case):
    """Every measurement by every convention: a value, or why there is none."""
    foot = unmoved_foot(layout, case)
    found = {}
    for convention in CONVENTIONS:
        for name, quantity in QUANTITIES.items():
            try:
                number = float(quantity(foot, convention)[0])
                outcome = {"value": shown(name, number), "quantity": number}
            except NoNumber as gap:
                outcome = {"status": gap.status}
            found.setdefault(name, {})[convention] = outcome
    return found


def add_first_order(layout, case, found):
    """Adds sd, interval and the probabilities of classes to every value."""
    foot = unmoved_foot(layout, case)
    tangent = severity.tangent_by_reader(case["has_reader_error"])
    for convention in CONVENTIONS:
        for name, sd in first_order(layout, case, convention).items():
            outcome = found[name][convention]
            reach = TWO_SIDED_95 * sd
            ends = outcome["quantity"] - reach, outcome["quantity"] + reach
            outcome["sd"] = sd
            outcome["interval"] = [shown(name, end) for end in ends]
            if name in CLASS_LIMITS and tangent is not None:
                by_reader = float(PER_TURN[name](foot, convention)[0]) * tangent
                deviation = math.hypot(sd, by_reader)
                if deviation > 0:
                    outcome["classes"] = severity.probabilities_between(
                        CLASS_LIMITS[name], outcome["quantity"], deviation
                    )


def add_level_freedom(layout, case, found):
    """Adds the least and the greatest value while the levels in millimetres move through their ranges."""
    by_levels = {}
    for step in range(9):
        share = step / 8
        levels_mm = {
            "metatarsal": 10 + 10 * share,
            "proximal_phalanx": 5 + 5 * share,
            "distal_phalanx": 4 + 4 * share,
        }
        quantities = all_quantities(
            layout, layout.values[None, :], {**case, "levels_mm": levels_mm}, "mid_diaphyseal_mm"
        )
        for name, quantity in quantities.items():
            by_levels.setdefault(name, []).append(shown(name, float(quantity[0])))
    for name, values in by_levels.items():
        found[name]["level_freedom"] = [min(values), max(values)]


def add_random_tracings(layout, case, found, generator):
    for convention in CONVENTIONS:
        drawn = by_random_tracings(layout, case, convention, case["draws"], generator)
        for name, sd in drawn.items():
            found[name][convention]["drawn_sd"] = sd


def severity_by_every_scheme(found, case):
    """Severity by the visit's default convention, where both angles have a number."""
    convention = "head_base" if case["operated"] else "mid_diaphyseal_quarters"
    angles = {
        "hallux_valgus": found["hallux_valgus_angle"][convention],
        "intermetatarsal": found["intermetatarsal_angle_1_2"][convention],
    }
    if any("value" not in angle for angle in angles.values()):
        return None
    values = {name: angle["value"] for name, angle in angles.items()}
    deviations = {name: angle["sd"] for name, angle in angles.items()}
    return {
        scheme: severity.severity(values, deviations, scheme, case["has_reader_error"])
        for scheme in severity.SCHEMES
    }


def recomputed(case, generator):
    layout = Layout(case)
    found = values_of(layout, case)
    answer = {"measurements": found}
    if case["with_spread"]:
        add_first_order(layout, case, found)
        add_level_freedom(layout, case, found)
        answer["severity"] = severity_by_every_scheme(found, case)
    if case["draws"] > 0:
        add_random_tracings(layout, case, found, generator)
    return answer


def classes_of(degrees):
    """The class of each angle, by every scheme."""
    return {
        scheme: {
            name: [severity.CLASSES[severity.class_of(angle, limits)] for angle in degrees]
            for name, limits in angles.items()
        }
        for scheme, angles in severity.SCHEMES.items()
    }


def main():
    source, target = sys.argv[1:]
    with open(source, encoding="utf-8") as file:
        question = json.load(file)
    generator = numpy.random.default_rng(SEED)
    answer = {
        "cases": [recomputed(case, generator) for case in question["cases"]],
        "classes": classes_of(question["degrees"]),
    }
    with open(target, "w", encoding="utf-8") as file:
        json.dump(answer, file)


if __name__ == "__main__":
    main()
