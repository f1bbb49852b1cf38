"""The concrete once the work is done, as declared data."""

from typing import Annotated, Any, TypeAlias

from gradevol.answer.declared import Number, Volume, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding, if_known
from gradevol.answer.said.outcome import say_outcome
from gradevol.plan.fixes.outcome import Besides, Stage


@declared
class BesidesData:
    """Lines that may be done besides, and the concrete then."""

    lines: Annotated[list[Number], "Ranks of those rows."]
    volume: Annotated[Volume, "Then, over the base of all shots."]


_Lines: TypeAlias = Annotated[
    list[Number],
    "Ranks of the rows that are done; empty where all of them rest on suspect shots.",
]
_Volume: TypeAlias = Annotated[Volume, "Then, over the base of all shots, as `concrete.volume` is."]
_Change: TypeAlias = Annotated[Volume, "That less `concrete.volume`."]
_WithoutSuspects: TypeAlias = Annotated[
    Volume | None,
    "Then, if the suspect shots are wrong: over the base without them, as "
    "`survey.volume_without_suspects` is. Absent where that is.",
]
_IfRight: TypeAlias = Annotated[
    BesidesData | None,
    "If the suspect shots are right, and the rows that rest on them alone (`reshoot`) are done as "
    "well; absent where there are none.",
]


@declared
class MustDoneData:
    """Once the rows that must be done are."""

    lines: _Lines
    volume: _Volume
    change: _Change
    without_suspects: _WithoutSuspects = None
    if_right: _IfRight = None


@declared
class AllDoneData:
    """Once all rows are done."""

    lines: _Lines
    volume: _Volume
    change: _Change
    without_suspects: _WithoutSuspects = None
    if_right: _IfRight = None
    if_filled: Annotated[
        BesidesData | None,
        "If low places that no price decides about (`either`) are filled to the design base; "
        "absent where there are none.",
    ] = None


@declared
class AfterWorkData:
    """The concrete once the work is done."""

    must: Annotated[
        MustDoneData | None,
        "Once the rows that must be done are; absent where none of them moves the base. Rows "
        "that are not listed (`fix_unlisted`) are not in it.",
    ] = None
    all: Annotated[
        AllDoneData | None,
        "Once all rows are done, but those poured or left; a low place filled with cuttings alone "
        "takes what `moves_of_material` brings. Absent where none of them moves the base.",
    ] = None
    text: Annotated[str, "The same in words."]


def compose_after_work(result: Result, rounding: Rounding) -> AfterWorkData | None:
    """Compose the concrete once the work is done; None where no work moves the base."""
    must, whole = result.outcome.must, result.outcome.all
    if must is None and whole is None:
        return None
    return AfterWorkData(
        must=MustDoneData(**_compose_stage(must, result, rounding)) if must else None,
        all=AllDoneData(
            **_compose_stage(whole, result, rounding),
            if_filled=_compose_besides(whole.if_filled, rounding),
        )
        if whole
        else None,
        text=say_outcome(result),
    )


def _compose_stage(stage: Stage, result: Result, rounding: Rounding) -> dict[str, Any]:
    return {
        "lines": list(stage.lines),
        "volume": rounding.volume(stage.volume),
        "change": rounding.volume(stage.volume - result.concrete.volume),
        "without_suspects": if_known(rounding.volume, stage.without_suspects),
        "if_right": _compose_besides(stage.if_right, rounding),
    }


def _compose_besides(besides: Besides | None, rounding: Rounding) -> BesidesData | None:
    if besides is None:
        return None
    return BesidesData(lines=list(besides.lines), volume=rounding.volume(besides.volume))
