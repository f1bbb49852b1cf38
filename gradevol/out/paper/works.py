"""Works: the lines of the fix list, in words short enough for the sheet."""

from dataclasses import dataclass
from typing import Any

from gradevol.answer.data.words import say_where
from gradevol.answer.result import Result
from gradevol.answer.said.painted import say_move
from gradevol.plan.fixes.fix import Fix
from gradevol.site.locating import Taping

#: More shots than this are seen on the map as well.
_MOST_SHOTS = 4


@dataclass(frozen=True, slots=True)
class WorkLine:
    """
    One line of the fix list.

    Attributes
    ----------
    number : int
        Its rank.
    lead, text : str
        What to do; how much, where, and how large the place is.
    at : (float, float)
        Its worst place about the survey's origin, m.
    where : Taping
        The same by tape.
    is_must : bool
        Whether more concrete can't make it good.
    """

    number: int
    lead: str
    text: str
    at: tuple[float, float]
    where: Taping
    is_must: bool


def list_works(view: dict[str, Any], result: Result) -> list[WorkLine]:
    """
    List what is to be done, in its order; not what is best left.

    Parameters
    ----------
    view : dict
        From `present`: what is done and where, in words.
    result : Result

    Returns
    -------
    list of WorkLine
        How much the base moves is said as on the marks, never in inches beside them.
    """
    return [
        WorkLine(
            number=fix.rank,
            lead=f"{'Must: ' if fix.is_must else ''}{_say_mark(fix, result)}",
            text=_say(fix, shown, result),
            at=fix.at[:2],
            where=fix.where,
            is_must=fix.is_must,
        )
        for fix, shown in zip(result.work.fixes, view["fix"], strict=True)
        if fix.call != "leave"
    ]


def _say_mark(fix: Fix, result: Result) -> str:
    return f"{'F' if fix.is_fill else 'C'}{say_move(fix.worst, result.units)}"


def _say(fix: Fix, shown: dict[str, Any], result: Result) -> str:
    units = result.units
    thickness = units.say_thickness(fix.thickness, down=True)
    parts = [shown["do"]]
    if fix.kind == "cover":
        parts[0] += f", {thickness} of cover"
    elif not fix.is_fill:
        parts.append(f"{thickness} thick")
    parts += [say_where(fix.where, units), *_say_size(fix, result)]
    if fix.is_shot and len(fix.shots) <= _MOST_SHOTS:
        parts.append(f"shot{'s' if len(fix.shots) > 1 else ''} {', '.join(shown['shots'])}")
    targets = [str(haul.target) for haul in result.work.hauls if haul.source == fix.rank]
    if targets:
        parts.append(f"cuttings to {', '.join(targets)}")
    return "; ".join(parts) + "."


def _say_size(fix: Fix, result: Result) -> list[str]:
    """Size of a place, to the foot or the tenth of a metre."""
    long, wide = (result.units.to_length(value) for value in (fix.length, fix.width))
    if fix.area <= 0:
        return []
    if result.units.is_metric:
        return [f"{long:.1f} × {wide:.1f} m"]
    return [f"{max(1, round(long))} × {max(1, round(wide))} ft"]
