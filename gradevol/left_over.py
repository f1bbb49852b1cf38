"""Left over: what small pours take of it, in order, and what then remains."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from gradevol.normal import Normal
from gradevol.terms import SmallPour


@dataclass(frozen=True, slots=True)
class Stretch:
    """
    Amounts left over, of which something remains: what does grows with them.

    Attributes
    ----------
    start, end : float
        Left over at its ends, m³; the last stretch has no end.
    rest : float
        What remains at its start, m³.
    """

    start: float
    end: float
    rest: float


#: Nothing taken: all that is left over remains.
ALL = (Stretch(0.0, float("inf"), 0.0),)


def fill(stretches: Iterable[Stretch], pour: SmallPour) -> tuple[Stretch, ...]:
    """
    Let a small pour take what it can.

    Parameters
    ----------
    stretches : iterable of Stretch
        What remains for it, by what is left over.
    pour : SmallPour

    Returns
    -------
    tuple of Stretch
        What remains after it: one that can stop part-way takes all up to its volume, another as
        many whole ones as there is concrete for.
    """
    size, most = (pour.volume * pour.count, 1) if pour.is_partial else (pour.volume, pour.count)
    made: list[Stretch] = []
    for stretch in stretches:
        start, rest = stretch.start, stretch.rest
        while start < stretch.end:
            whole = min(most, int(rest / size + 1e-9))
            reach = float("inf") if whole == most else (whole + 1) * size - rest
            end = min(stretch.end, start + reach)
            if whole == most or not pour.is_partial:
                made.append(Stretch(start, end, max(rest - whole * size, 0.0)))
            start, rest = end, rest + end - start
    return tuple(made)


def fill_all(pours: Sequence[SmallPour]) -> list[tuple[Stretch, ...]]:
    """What remains before the first pour, after it, after the second, and so on."""
    remaining: list[tuple[Stretch, ...]] = [ALL]
    for pour in pours:
        remaining.append(fill(remaining[-1], pour))
    return remaining


def expect(stretches: Iterable[Stretch], left: Normal) -> float:
    """
    Expected volume that remains.

    Parameters
    ----------
    stretches : iterable of Stretch
    left : Normal
        What is left over; below 0 it is short, and nothing remains.
    """
    return sum(
        stretch.rest * left.chance_between(stretch.start, stretch.end)
        + left.partial_mean(stretch.start, stretch.end)
        for stretch in stretches
    )


def chance_of(stretches: Iterable[Stretch], volume: float, left: Normal) -> float:
    """Chance that `volume` (above 0) or more remains."""
    return sum(
        left.chance_between(max(stretch.start, stretch.start + volume - stretch.rest), stretch.end)
        for stretch in stretches
    )
