"""Why a measurement has no number: the three statuses of docs/measurements.md."""

# A refusal goes before a degenerate tracing, and that before something missing.
PRECEDENCE = ("refused", "degenerate", "needs")

# Two points of a line that lie closer than this, in pixel widths, give no line.
LEAST_LENGTH = 5.0


class NoNumber(Exception):
    """There is no number; `status` is one of PRECEDENCE."""

    def __init__(self, status, why):
        super().__init__(f"{status}: {why}")
        self.status = status


def all_of(*parts):
    """What every part gives, or the gap that goes before the others."""
    values, gaps = [], []
    for part in parts:
        try:
            values.append(part())
        except NoNumber as gap:
            gaps.append(gap)
    if gaps:
        raise min(gaps, key=lambda gap: PRECEDENCE.index(gap.status))
    return values


def ensure(holds, status, why):
    """Raises unless the condition holds in every tracing at once."""
    if not holds.all():
        raise NoNumber(status, why)
