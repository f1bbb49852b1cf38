"""Exceeded: limits that the job states and the base or the top does not keep."""

from collections.abc import Iterator

from gradevol.answer.result import Result
from gradevol.ground.words import count_of
from gradevol.measures.drainage.notes import say_fall


def find_exceeded(result: Result) -> tuple[str, ...]:
    """
    Find the limits that the job states and that are exceeded.

    Returns
    -------
    tuple of str
        In words, one a limit; empty where all are kept.
    """
    return (*_of_base(result), *_of_top(result))


def _of_base(result: Result) -> Iterator[str]:
    units = result.units
    if result.thin.area > 0:
        yield f"{units.say_some_area(result.thin.area)} thinner than the least thickness"
    for spots, limit in ((result.high, "base_high"), (result.low, "base_low")):
        if spots is not None and spots.area > 0:
            yield f"{units.say_some_area(spots.area)} beyond {limit}"
    for cover in result.cover:
        if cover.short > 0:
            yield f"{cover.name}: {units.say_tape(cover.short)} with less cover than stated"


def _of_top(result: Result) -> Iterator[str]:
    """Where the top drains less than the job states; nothing where it states no least fall."""
    drainage, units = result.drainage, result.units
    if drainage is None or not drainage.runoff.least_fall:
        return
    if drainage.flat and drainage.flat_area:
        stated = say_fall(drainage.runoff.least_fall)
        yield f"{units.say_some_area(drainage.flat_area)} of the top falls less than {stated}"
    if drainage.ponds:
        count = len(drainage.ponds) + drainage.ponds_unlisted
        deep = units.say_thickness(drainage.ponds[0].depth)
        yield (f"water stands on the top in {count_of(count, 'place')}, {deep} deep in the largest")
