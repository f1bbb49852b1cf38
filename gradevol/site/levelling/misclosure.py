"""Misclosure: how much is allowed, and how it is shared out."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from typing import Literal

from gradevol.ground.errors import InputError
from gradevol.site.levelling import Leg, ReducedRow, Reduction

#: Allowed misclosure by order of accuracy, ft per square root of the length in miles. Compiled by
#: a university laboratory sheet, https://studylib.net/doc/8628885/file (read there; the standard
#: it draws on was not read). A leg is held to it by its own length.
ORDERS = {
    "first-i": 0.012,
    "first-ii": 0.017,
    "second-i": 0.025,
    "second-ii": 0.033,
    "third": 0.050,
    "construction": 0.100,
}
_FOOT = 0.3048
_MILE = 5280 * _FOOT
#: Float dust of sums and conversions, m: far below anything that is read on a rod.
_DUST = 1e-9


@dataclass(frozen=True, slots=True)
class Limit:
    """
    A rule for the misclosure that is allowed.

    Attributes
    ----------
    rule : str
        In words.
    factor : float
        What it allows for one, m.
    per : str
        ``km``: factor times the square root of the leg's length in km; ``setup``: times the
        square root of the number of its setups.
    """

    rule: str
    factor: float
    per: Literal["km", "setup"]

    @classmethod
    def of_order(cls, order: str) -> "Limit":
        """Rule of one of `ORDERS`."""
        factor = ORDERS[order]
        per_root_km = factor * _FOOT / math.sqrt(_MILE / 1000)
        return cls(f"order {order}, {factor:.3f} ft × √miles", per_root_km, "km")

    def allowed(self, leg: Leg) -> float | None:
        """Return the misclosure that a leg is allowed, m; None if its length is not known."""
        if self.per == "setup":
            return self.factor * math.sqrt(len(leg.backsights))
        return None if leg.length is None else self.factor * math.sqrt(leg.length / 1000)

    def is_exceeded(self, leg: Leg) -> bool | None:
        """Whether a leg's misclosure is more than is allowed; None where that can't be known."""
        allowed = self.allowed(leg)
        if allowed is None or leg.misclosure is None:
            return None
        return abs(leg.misclosure) > allowed + _DUST


def find_exceeded(reduction: Reduction, limits: Sequence[Limit]) -> list[bool]:
    """
    Whether each closed leg exceeds each limit, wherever that can be known.

    Raises
    ------
    InputError
        If limits are stated and none can be held against any leg.
    """
    tried = [limit.is_exceeded(leg) for leg in reduction.legs for limit in limits]
    known = [answer for answer in tried if answer is not None]
    if limits and not known:
        is_closed = any(leg.misclosure is not None for leg in reduction.legs)
        why = "the lengths of its sights are not known" if is_closed else "no leg is closed"
        raise InputError(
            f"the limit {limits[0].rule} cannot be held against these levels, for {why}",
            remedy="Give columns 'BS distance' and 'FS distance', or a limit by setups"
            if is_closed
            else "Close the levels on a point whose elevation is known",
        )
    return known


def adjust_by_setups(reduction: Reduction) -> Reduction:
    """
    Share each closed leg's misclosure out equally among its setups.

    Intermediate sights take the correction of their setup's foresight, as in the worked examples
    that the tests reproduce.

    References
    ----------
    J. Mahun, Open Access Surveying Library, "Elevations": equal corrections a setup, or in
    proportion to the length of sights. http://jerrymahun.com/index.php/home/open-access/
    """
    return _adjust(reduction, "setups", lambda leg: [1.0] * len(leg.lengths))


def adjust_by_distance(reduction: Reduction) -> Reduction:
    """
    Share each closed leg's misclosure out among its setups by the length of their sights.

    Raises
    ------
    InputError
        If a length in a closed leg is not known, or all are 0.
    """

    def weigh(leg: Leg) -> list[float]:
        weights = [length for length in leg.lengths if length is not None]
        if len(weights) < len(leg.lengths) or sum(weights) <= 0:
            raise InputError(
                f"the leg from {leg.start!r} to {leg.end!r} cannot be adjusted by distance: "
                f"{len(weights)} of its {len(leg.lengths)} setups have both lengths of sight",
                remedy="Give columns 'BS distance' and 'FS distance', or adjust by setups",
            )
        return weights

    return _adjust(reduction, "distance", weigh)


def _adjust(
    reduction: Reduction,
    by: Literal["setups", "distance"],
    weigh: Callable[[Leg], Sequence[float]],
) -> Reduction:
    shares: list[list[float] | None] = []  # of the misclosure, after 0, 1, 2... setups of a leg
    for leg in reduction.legs:
        if leg.misclosure is None:
            shares.append(None)
            continue
        passed = list(accumulate(weigh(leg), initial=0.0))
        shares.append([-leg.misclosure * part / passed[-1] for part in passed])
    if not any(shares):
        return reduction

    def correct(item: ReducedRow) -> ReducedRow:
        share = shares[item.leg]
        return item if share is None else replace(item, correction=share[item.passed])

    return replace(reduction, rows=tuple(map(correct, reduction.rows)), adjusted=by)
