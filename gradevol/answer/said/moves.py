"""If the top moved: what raising, tilting or crowning it would do. Nothing is chosen."""

from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.statement import (
    Figure,
    Said,
    Statement,
    Topic,
    Weight,
    Words,
    join,
    words,
)
from gradevol.ground.words import capital
from gradevol.measures.adjustments import Move
from gradevol.measures.drainage.notes import say_fall
from gradevol.site.locating import name_side


def tell_moves(result: Result) -> tuple[Topic, ...]:
    """
    Tell what moving the top would do.

    Returns
    -------
    tuple of Topic
        A table: what is moved, by how much the concrete changes, what the least thickness would be.
        Empty where nothing was tried.
    """
    if not result.moves:
        return ()
    units = result.units
    choice = words("Nothing is chosen: ask the engineer, and mind the edges that it must meet.")
    return (
        Topic(
            "moves",
            "If the top moved",
            "Moves",
            (
                *(_tell(number, move, result) for number, move in enumerate(result.moves)),
                Statement("moves.choice", Weight.SPARE, short=choice),
            ),
            ("move", f"concrete_{units.volume}", f"thin_{units.area}", "least", "least_fall"),
        ),
    )


def _tell(number: int, move: Move, result: Result) -> Statement:
    units, rounding = result.units, Rounding(result.units, result.survey.origin)
    key, text = f"moves.{number}", say_move(move, result)
    way, *leaves = text.split("; ")  # what is moved, and what it no longer meets
    least = units.say_thickness(move.least, down=True)
    thin = rounding.area(move.thin_area)
    told: list[Said] = [
        Figure(f"thin {units.say_some_area(move.thin_area)}" if thin else "none thin",
               f"{key}.thin_area"),
        words("least {}", Figure(least, f"{key}.least")),
    ]  # fmt: skip
    if move.least_fall > 0:
        fall = Figure(say_fall(rounding.share(move.least_fall)), f"{key}.least_fall")
        told.append(words("falls {} or more", fall))
    volume = rounding.volume(move.volume)
    sign = "+" if volume > 0 else "-"
    return Statement(
        key,
        Weight.SPARE,
        capital(way),
        Figure(f"{sign}{units.say_volume(abs(move.volume))}", f"{key}.volume"),
        short=join(", ", told),
        details=tuple(Words((leave,)) for leave in leaves),
        cells=(text, f"{volume:.2f}", f"{thin:.1f}", least, f"{move.least_fall:.4f}"),
    )


def say_move(move: Move, result: Result) -> str:
    """Say a way of moving the top, and which edges it would no longer meet."""
    by = result.units.say_thickness(abs(move.by))
    up = "up" if move.by > 0 else "down"
    held = name_side(move.held, result.slab.side_names) if move.held is not None else ""
    said = {
        "raise": f"the whole top {by} {up}",
        "tilt": f"held at {held}, the far side {by} {up}",
        "crown": f"held at {held} and at the far side, midway {by} {up}",
    }[move.kind]
    for sides, text in (
        (move.off_flush, "no longer flush with"),
        (move.off_measured, "no longer as measured along"),
    ):
        if sides:
            *most, last = [name_side(side, result.slab.side_names) for side in sides]
            said += f"; {text} {' and '.join([*filter(None, [', '.join(most)]), last])}"
    return said
