"""Next shots as declared data: where they are, and what each is expected to gain."""

from typing import Annotated, Any, TypeAlias

import numpy as np

from gradevol.answer.declared import Code, Kind, Point, Share, Size, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding, if_known
from gradevol.answer.said.next_shots import list_advice, name_next, round_chance_up
from gradevol.answer.said.places import say_place
from gradevol.answer.setting_out import level_of_design
from gradevol.uncertainty.next_shots import MOST, NextShot

_Name: TypeAlias = Annotated[
    str,
    Kind(pattern="^NEXT[1-9][0-9]*$"),
    "What it is called, in `fix_points.csv` too: `NEXT` and a number; those for thin concrete are "
    "numbered first. A place that serves both bears one name in both lists.",
]
_At: TypeAlias = Annotated[Point, "Easting, northing, and elevation of the design base."]
_Where: TypeAlias = Annotated[str, "The same by tape."]


@declared
class VolumeShotData:
    """A shot that narrows the volume."""

    name: _Name
    at: _At
    where: _Where
    gain: Annotated[
        float,
        "By how much it is expected to shrink half of the interval's width, beyond what those "
        "before it do.",
    ]
    half_width: Annotated[
        Size,
        "Half of the interval's width to be expected after it and those before it.",
    ]


@declared
class ThinShotData:
    """A shot that settles whether concrete is thin."""

    name: _Name
    at: _At
    where: _Where
    gain: Annotated[
        float,
        "By how much it is expected to shrink `open_area`, beyond what those before it do.",
    ]
    chance: Annotated[
        Share,
        "That concrete is thin there, as far as the shots tell, suspect ones left out; rounded up "
        "to the hundredth, `0.01` also stands for less.",
    ]


@declared
class AdviceData:
    """Why a list is empty."""

    code: Annotated[Code, "Stable, one of [these](#notes)."]
    text: Annotated[str, "A sentence."]


@declared
class NextShotsData:
    """Where to shoot next."""

    half_width: Annotated[Size, "Half of the width of `concrete.interval`, as it is."]
    volume: Annotated[
        list[VolumeShotData],
        Kind(max_items=MOST),
        "Where more shots would narrow the volume most, the most telling first, five at most.",
    ]
    thin: Annotated[
        list[ThinShotData],
        Kind(max_items=MOST),
        "Where more shots would best rule thin concrete out, the most telling first, five at most.",
    ]
    advice: Annotated[list[AdviceData], "Why a list is empty, and what would help instead."]
    open_area: Annotated[
        Size | None,
        "Area on which thin concrete can neither be ruled out nor counted on: its chance is "
        "between 1 and 99 %. Absent where it was not studied.",
    ] = None


def compose_next_shots(result: Result, rounding: Rounding) -> NextShotsData | None:
    """Compose where to shoot next; None where none were planned."""
    planned = result.next_shots
    if planned is None:
        return None
    names = name_next(planned)
    thin = [
        ThinShotData(
            **_compose_shot(shot, names, result, rounding),
            gain=rounding.area(shot.gain),
            chance=round_chance_up(shot.chance or 0.0),
        )
        for shot in planned.thin
    ]
    volume, half_width = [], planned.half_width
    for shot in planned.volume:
        half_width -= shot.gain
        volume.append(
            VolumeShotData(
                **_compose_shot(shot, names, result, rounding),
                gain=rounding.volume(shot.gain),
                half_width=rounding.volume(half_width),
            )
        )
    return NextShotsData(
        half_width=rounding.volume(planned.half_width),
        volume=volume,
        thin=thin,
        advice=[
            AdviceData(code=note.code, text=note.say(result.units)) for note in list_advice(result)
        ],
        open_area=if_known(rounding.area, planned.open_area),
    )


def _compose_shot(
    shot: NextShot, names: dict[tuple[float, float], str], result: Result, rounding: Rounding
) -> dict[str, Any]:
    level = float(level_of_design(result, np.array([shot.at]))[0])
    return {
        "name": names[shot.at],
        "at": rounding.place((*shot.at, level)),
        "where": say_place(shot.at, result.slab, result.units),
    }
