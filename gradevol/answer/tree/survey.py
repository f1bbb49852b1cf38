"""The survey as declared data: what was measured, and what of it is doubtful or was replaced."""

from dataclasses import asdict
from typing import Annotated

from gradevol.answer.declared import Count, Length, Number, Share, Size, Volume, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding, if_known
from gradevol.doubts.suspects import Suspect
from gradevol.site.rechecks import Epochs


@declared
class SuspectData:
    """A shot that disagrees with its neighbours."""

    id: Annotated[str, "The shot's id; without ids, its line."]
    e: Annotated[Length, "Easting."]
    n: Annotated[Length, "Northing."]
    z: Annotated[Length, "Elevation as booked."]
    expected: Annotated[Length, "Elevation that its neighbours lead one to expect."]
    difference: Annotated[Length, "`z` less `expected`."]
    slip: Annotated[str, "The slip that fits, in words; empty where none does."]


@declared
class CreditsData:
    """What the job says of the shots."""

    by: Annotated[str | None, "Who measured."] = None
    date: Annotated[str | None, "When."] = None
    instrument: Annotated[str | None, "With what."] = None
    benchmark: Annotated[str | None, "From where."] = None


@declared
class RetiredData:
    """A shot that later ones replace."""

    id: Annotated[str, "The shot's id."]
    e: Annotated[Length, "Easting."]
    n: Annotated[Length, "Northing."]
    z: Annotated[Length, "Elevation as booked."]


@declared
class RechecksData:
    """Both epochs of a base that was shot again."""

    first_count: Annotated[Count, "Shots of the first epoch."]
    later: Annotated[list[str], "Ids of the later shots."]
    retired: Annotated[list[RetiredData], "Shots of the first epoch that no longer count."]
    volume_before: Annotated[
        Volume | None, "`concrete.volume` over the base before it was reworked."
    ] = None


@declared
class ControlData:
    """What control shots say of a cloud's height."""

    shift: Annotated[Length, "How far control is above the cloud on average."]
    applied: Annotated[bool, "Whether that was added to the cloud."]
    volume: Annotated[
        Volume, "By how much it changes `concrete.volume`, or would if it were added."
    ]


@declared
class SurveyData:
    """What was measured."""

    count: Annotated[
        Number,
        "Points read; of a cloud, with those that were left out, taken away or gathered in "
        "squares.",
    ]
    used: Annotated[Number, "Points the surface rests on: one a place."]
    method: Annotated[
        str,
        "How the base was measured: shots, rod and level, string-line depths, point cloud, "
        "surface file.",
    ]
    coverage: Annotated[
        Share,
        "Share of the slab's area that lies inside the survey, holes of a scan left out, 0 to 1.",
    ]
    suspect: Annotated[
        list[SuspectData],
        "Shots that disagree with their neighbours, worst first. They are reported, never "
        "dropped: see [suspect shots](../explanation/suspect-shots.md).",
    ]
    credits: Annotated[
        CreditsData | None,
        "What the job's `[survey]` says of the shots, as it writes it; absent where it says "
        "nothing. It is printed, never used.",
    ] = None
    volume_without_suspects: Annotated[
        Volume | None,
        "`concrete.volume` without the suspect shots. Absent where there are none, or too few "
        "shots are left.",
    ] = None
    least_without_suspects: Annotated[
        Length | None, "`thickness.min` without the suspect shots; absent as that."
    ] = None
    thin_area_without_suspects: Annotated[
        Size | None, "`thin.area` without them; absent as that."
    ] = None
    control: Annotated[
        ControlData | None, "What control says of a cloud's height; absent without control."
    ] = None
    unchecked_volume: Annotated[
        Volume | None,
        "Of a cloud without control: what `concrete.volume` is wrong by where the cloud is off by "
        "1/8 in, or 3 mm, all over; else absent.",
    ] = None
    rechecks: Annotated[
        RechecksData | None,
        "Both epochs, where the base was reworked and shot again; else absent.",
    ] = None


def compose_survey(result: Result, rounding: Rounding) -> SurveyData:
    """Compose what was measured."""
    epochs, height = result.epochs, result.height
    told = {name: text or None for name, text in asdict(result.credits).items()}
    without = result.without_suspects
    return SurveyData(
        count=result.survey.count,
        used=result.used,
        method=result.survey.method,
        coverage=rounding.share(result.coverage),
        suspect=[_compose_suspect(suspect, result, rounding) for suspect in result.suspects],
        credits=CreditsData(**told) if any(told.values()) else None,
        volume_without_suspects=if_known(rounding.volume, result.volume_without_suspects),
        least_without_suspects=rounding.length(without.thickness.min) if without else None,
        thin_area_without_suspects=rounding.area(without.found.thin.area) if without else None,
        control=_compose_control(result, rounding),
        unchecked_volume=if_known(rounding.volume, height.unchecked if height else None),
        rechecks=_compose_rechecks(epochs, result, rounding) if epochs else None,
    )


def _compose_control(result: Result, rounding: Rounding) -> ControlData | None:
    shift, height = result.survey.shift, result.height
    if shift is None or height is None or height.shifted is None:
        return None
    return ControlData(
        shift=rounding.length(shift.by),
        applied=shift.is_applied,
        volume=rounding.volume(height.shifted),
    )


def _compose_suspect(suspect: Suspect, result: Result, rounding: Rounding) -> SuspectData:
    east, north = rounding.place(result.survey.points[suspect.index, :2])
    return SuspectData(
        id=result.survey.name(suspect.index),
        e=east,
        n=north,
        z=rounding.length(result.survey.booked(suspect.index)),
        expected=rounding.length(suspect.expected),
        difference=rounding.length(suspect.difference),
        slip=suspect.slip,
    )


def _compose_rechecks(epochs: Epochs, result: Result, rounding: Rounding) -> RechecksData:
    retired = []
    for index in epochs.retired:
        east, north = rounding.place(epochs.first.points[index, :2])
        level = rounding.length(epochs.first.booked(index))
        retired.append(RetiredData(id=epochs.first.name(index), e=east, n=north, z=level))
    return RechecksData(
        first_count=len(epochs.first.points),
        later=[epochs.survey.name(index) for index in epochs.later],
        retired=retired,
        volume_before=if_known(rounding.volume, result.volume_before_rechecks),
    )
