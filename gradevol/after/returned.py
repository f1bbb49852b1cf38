"""What was sent back: how sure it is, on the day of the pour and in the account alike."""

from gradevol.files.tickets.cells import Amount
from gradevol.ground.units import CUBIC_YARD

#: One standard deviation of what was sent back, a share of it, as measured and as guessed; of a
#: guess no less than the rest, 0.05 yd³, m³. Judgements, no source.
MEASURED, GUESSED, LEAST = 0.05, 0.5, 0.05 * CUBIC_YARD


def doubt_returned(amount: Amount) -> float:
    """One standard deviation of what a load sent back, m³."""
    if amount.is_estimate:
        return max(GUESSED * amount.value, LEAST)
    return MEASURED * amount.value
