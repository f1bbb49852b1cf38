"""The concrete once the work is done: as plain data, and in words."""

from typing import Any, NamedTuple

from gradevol.answer.data.interval import say_like_stated
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.plan.fixes.outcome import Stage

#: What every figure of this page is told with: the interval is not worked out again.
RECHECK = "Shoot the reworked places again: the recheck gives the new volume and its margin."
#: More lines than this in a row are told as from and to.
_IN_A_ROW = 2


class Told(NamedTuple):
    """
    One figure in words.

    Attributes
    ----------
    key : str
        Where it stands in the result.
    lead : str
        When it holds: ``once 2 is shaved``.
    said : str
        The volume, with the digits of the stated one.
    """

    key: str
    lead: str
    said: str


def present_outcome(result: Result, rounding: Rounding) -> dict[str, Any]:
    """
    Put the concrete after the work into plain data.

    Parameters
    ----------
    result : Result
    rounding : Rounding

    Returns
    -------
    dict
        ``after_work``; empty where no line of work moves the base.
    """
    stages = {"must": result.outcome.must, "all": result.outcome.all}
    shown = {name: _present(stage, result, rounding) for name, stage in stages.items() if stage}
    return {"after_work": {**shown, "text": say_outcome(result)}} if shown else {}


def _present(stage: Stage, result: Result, rounding: Rounding) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "lines": list(stage.lines),
        "volume": rounding.volume(stage.volume),
        "change": rounding.volume(stage.volume - result.concrete.volume),
    }
    if stage.without_suspects is not None:
        shown["without_suspects"] = rounding.volume(stage.without_suspects)
    for name, besides in (("if_right", stage.if_right), ("if_filled", stage.if_filled)):
        if besides is not None:
            shown[name] = {
                "lines": list(besides.lines),
                "volume": rounding.volume(besides.volume),
            }
    return shown


def tell_stages(result: Result, *, is_full: bool = False, noun: str = "") -> list[Told]:
    """
    Tell the concrete once what must be done is, and once all is; nothing that is conditional.

    Parameters
    ----------
    result : Result
    is_full : bool
        Whether the lines are named again that come after those that must be done.
    noun : str
        Said before their numbers, where other things are numbered beside them: ``place``.
    """
    must, whole = result.outcome.must, result.outcome.all
    told = []
    if must is not None and must.lines:
        told.append(
            Told("after_work.must.volume", f"once {_say_done(must.lines, result, noun=noun)}",
                 _say(must.volume, result))
        )  # fmt: skip
    if whole is not None and whole.lines and (must is None or whole.lines != must.lines):
        done = f"once {_say_done(whole.lines, result, noun=noun)}"
        lead = done if is_full or not told else "all done"
        told.append(Told("after_work.all.volume", lead, _say(whole.volume, result)))
    return told


def say_outcome_briefly(result: Result) -> str:
    """Say the concrete after the work in a line; empty where no line moves the base for sure."""
    told = "; ".join(f"{one.lead}: {one.said}" for one in tell_stages(result))
    return f"{_capital(told)}; recheck then." if told else ""


def say_without_suspects(result: Result) -> str:
    """Say the same without the suspect shots; empty where there are none."""
    volumes = _without(result)
    if not volumes:
        return ""
    return f"Without {_name(result, 'them')}: {_say_all(volumes, result)}."


def say_outcome(result: Result) -> str:
    """Say the concrete after the work in full: for sure, by the suspect shots, with more filled."""
    must, whole = result.outcome.must, result.outcome.all
    said = [f"{_capital(one.lead)}: {one.said}." for one in tell_stages(result, is_full=True)]
    if volumes := _without(result):
        said.append(f"If {_name(result, 'the suspect shots')} {_be(result)} wrong: "
                    f"{_say_all(volumes, result)}.")  # fmt: skip
    said += _say_if_right(result)
    if whole is not None and whole.if_filled is not None:
        done = _say_done(whole.if_filled.lines, result, to="to the design base")
        said.append(f"If {done}: {_say(whole.if_filled.volume, result)}.")
    return " ".join([*said, RECHECK]) if must or whole else ""


def _say_if_right(result: Result) -> list[str]:
    """Say the concrete where the suspect shots are right, and what they ask for is done."""
    stages = [stage for stage in (result.outcome.must, result.outcome.all) if stage]
    by_lines: dict[tuple[int, ...], list[float]] = {}
    for stage in stages:
        if stage.if_right is not None:
            volumes = by_lines.setdefault(stage.if_right.lines, [])
            if stage.if_right.volume not in volumes:
                volumes.append(stage.if_right.volume)
    name = f"If {_name(result, 'the suspect shots')} {_be(result)} right and"
    too = " too" if any(stage.lines for stage in stages) else ""
    return [
        f"{name} {_say_done(lines, result)}{too}: {_say_all(volumes, result)}."
        for lines, volumes in by_lines.items()
    ]


def _without(result: Result) -> list[float]:
    """Volumes without the suspect shots of the stages that are told."""
    names = [one.key.split(".")[1] for one in tell_stages(result)]
    volumes = [getattr(result.outcome, name).without_suspects for name in names]
    return [volume for volume in volumes if volume is not None]


def _say_done(lines: tuple[int, ...], result: Result, *, to: str = "", noun: str = "") -> str:
    """Say what is done: ``1 and 2 are shaved and 3 filled as far as cuttings reach``."""
    groups: dict[str, list[int]] = {}
    for fix in (result.work.fixes[rank - 1] for rank in lines):
        way = "shaved"
        if fix.is_fill:
            reach = fix.rank in result.outcome.part_filled and not to
            way = "filled as far as cuttings reach" if reach else f"filled {to}".strip()
        groups.setdefault(way, []).append(fix.rank)
    said: list[str] = []
    for way, ranks in groups.items():
        verb = "" if said else "is " if len(ranks) == 1 else "are "
        name = f"{noun}{'s' * (len(ranks) > 1)} " if noun else ""
        said.append(f"{name}{_list(ranks)} {verb}{way}")
    return " and ".join(said)


def _list(ranks: list[int]) -> str:
    """List ranks: ``2``, ``1 and 3``, ``1 to 3 and 5``."""
    runs: list[list[int]] = []
    for rank in ranks:
        if runs and rank == runs[-1][-1] + 1:
            runs[-1].append(rank)
        else:
            runs.append([rank])
    told: list[str] = []
    for run in runs:
        is_row = len(run) > _IN_A_ROW
        told += [f"{run[0]} to {run[-1]}"] if is_row else [str(rank) for rank in run]
    *first, last = told
    return f"{', '.join(first)} and {last}" if first else last


def _name(result: Result, several: str) -> str:
    if len(result.suspects) == 1:
        return result.survey.name(result.suspects[0].index)
    return several


def _be(result: Result) -> str:
    return "is" if len(result.suspects) == 1 else "are"


def _say(volume: float, result: Result) -> str:
    if result.interval is None:
        return result.units.say_volume(volume)
    return say_like_stated(volume, result.interval, result.units)


def _say_all(volumes: list[float], result: Result) -> str:
    """Say volumes with one unit: ``73.4, then 73.1 yd³``."""
    *first, last = [_say(volume, result) for volume in volumes]
    return ", then ".join([*(said.partition(" ")[0] for said in first), last])


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
