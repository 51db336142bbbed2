"""The spread of a number from the spread of what was placed, by two routes.

The page takes exact derivatives; here they are central differences, and beside them stand repeated
random tracings.
"""

import numpy

from gaps import NoNumber
from measurements import QUANTITIES, Foot

STEP_PX = 3e-5

# As a share of the scale: it moves levels that lie hundreds of pixels from the ends of a bone.
STEP_OF_SCALE = 1e-7


def all_quantities(layout, vectors, case, convention):
    """Each quantity for each row of `vectors`; those without a number are left out."""
    foot = Foot(layout, vectors, case["levels_mm"], case["operated"])
    found = {}
    for name, quantity in QUANTITIES.items():
        try:
            found[name] = quantity(foot, convention)
        except NoNumber:
            continue
    return found


def first_order(layout, case, convention):
    """Standard deviation of every quantity by central differences."""
    moving = numpy.flatnonzero(layout.deviations > 0)
    steps = numpy.where(layout.is_scale, STEP_OF_SCALE * layout.values, STEP_PX)[moving]
    shifts = numpy.zeros((len(moving), len(layout.values)))
    shifts[numpy.arange(len(moving)), moving] = steps
    # The tracing itself stands first, so that what has no number has none here either.
    unmoved = numpy.zeros((1, len(layout.values)))
    vectors = layout.values + numpy.concatenate([unmoved, shifts, -shifts])
    found = {}
    for name, values in all_quantities(layout, vectors, case, convention).items():
        ahead, behind = values[1:].reshape(2, -1)
        terms = (ahead - behind) / (2 * steps) * layout.deviations[moving]
        found[name] = float(numpy.sqrt((terms**2).sum()))
    return found


def by_random_tracings(layout, case, convention, draws, generator):
    """Standard deviation of every quantity over so many random tracings."""
    noise = generator.standard_normal((draws, len(layout.values)))
    vectors = layout.values + noise * layout.deviations
    quantities = all_quantities(layout, vectors, case, convention)
    return {name: float(values.std(ddof=1)) for name, values in quantities.items()}
