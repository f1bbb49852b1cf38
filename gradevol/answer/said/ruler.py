"""The ruler of a pour: its rows, and the sentences beside it."""

import math
from statistics import NormalDist

from gradevol.after.ruler import Mark, Ruler
from gradevol.answer.rounding import say_outwards
from gradevol.answer.said.step_words import say_given
from gradevol.answer.statement import Statement, Topic, Weight, words
from gradevol.ground.units import Units

#: Columns of the card to fill in with a pencil.
CARD = ("load", "ticket", "volume", "sum", "front", "needed", "sum - needed", "x weight", "whole")


def tell_ruler(ruler: Ruler, units: Units, *, level: float, names: tuple[str, str]) -> Topic:
    """
    Tell the ruler.

    Parameters
    ----------
    ruler : Ruler
    units : Units
    level : float
        Of the ranges.
    names : (str, str)
        What stands at the two sides along which the tapes lie.

    Returns
    -------
    Topic
        A row a mark under its columns, then the sentences that say how it is used.
    """
    reach = NormalDist().inv_cdf((1 + level) / 2)
    unit = units.volume_symbol
    columns = (
        f"tape, side {ruler.sides[0]}",
        "to go",
        f"tape, side {ruler.sides[1]}",
        "to go",
        f"needed, {unit}",
        f"at {say_given(level)}",
        "weight",
        f"whole ±, {unit}",
    )
    rows = tuple(
        Statement(f"ruler.{number}", Weight.ACTS, cells=_cells(mark, units, reach))
        for number, mark in enumerate(ruler.marks)
    )
    return Topic("ruler", "Pour ruler", "Ruler", (*rows, *_tell_use(ruler, units, names)), columns)


def _cells(mark: Mark, units: Units, reach: float) -> tuple[str, ...]:
    low, high = (units.to_volume(mark.needed + sign * reach * mark.sigma) for sign in (-1, 1))
    return (
        units.say_tape(mark.tapes[0]),
        units.say_tape(mark.to_go[0]),
        units.say_tape(mark.tapes[1]),
        units.say_tape(mark.to_go[1]),
        f"{units.to_volume(mark.needed):.1f}",
        " to ".join(say_outwards(low, high)),
        f"{mark.weight:.2f}",
        f"{math.ceil(units.to_volume(reach * mark.whole_sigma) * 10 - 1e-6) / 10:.1f}",
    )


def _tell_use(ruler: Ruler, units: Units, names: tuple[str, str]) -> tuple[Statement, ...]:
    whole = units.say_volume(ruler.whole)
    told = [
        f"Placing begins at side {ruler.start}. Tape from there along side {ruler.sides[0]} "
        f"({names[0]}) and side {ruler.sides[1]} ({names[1]}) to where the concrete has reached, "
        "when the truck is out.",
        "Find the row of your front; between two rows take what lies between. Where the tapes "
        "differ, take the middle.",
        "Whole = expected + weight x (sum of tickets - needed). Still needed = whole - sum of "
        f"tickets. Expected is {whole}. Tickets without what was sent back or went elsewhere.",
        "If the whole moves by more than its ± from one load to the next, tape the front again and "
        "look at the ticket before you call.",
    ]
    if not ruler.is_whole:
        told.append(
            "These two sides do not reach all of the slab: beyond the last row, use gradevol pour."
        )
    return tuple(
        Statement(f"use.{number}", Weight.TELLS, short=words("{}", text))
        for number, text in enumerate(told)
    )
