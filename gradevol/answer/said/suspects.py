"""Suspect shots: what is off at each, the likely slip, and the volume without them."""

from gradevol.answer.result import Result
from gradevol.answer.said.places import say_place
from gradevol.answer.statement import Figure, Said, Statement, Topic, Weight, words
from gradevol.doubts.suspects import Suspect
from gradevol.ground.words import noun_of
from gradevol.site.survey import Survey

#: Shots that are named among what to do first.
_NAMED = 3


def tell_suspects(result: Result) -> tuple[Topic, ...]:
    """Tell which shots to take again before anything is cut, and what is off at each."""
    if not result.suspects:
        return ()
    told = (
        _tell_reshoot(result),
        *(_tell(suspect, number, result) for number, suspect in enumerate(result.suspects)),
    )
    columns = ("shot", "difference", "likely slip", "where")
    return (Topic("suspects", "Suspect shots", "Suspect", told, columns),)


def _tell_reshoot(result: Result) -> Statement:
    suspects, volume = result.suspects, result.volume_without_suspects
    said = words(
        "Reshoot {} before you cut", _name([suspect.index for suspect in suspects], result.survey)
    )
    without: Said = ""
    if volume is not None:
        figure = Figure(result.units.say_volume(volume), "survey.volume_without_suspects")
        without = words(". Without {}: {}", "it" if len(suspects) == 1 else "them", figure)
    return Statement(
        "suspects.reshoot",
        Weight.ACTS,
        short=said + without,
        long=words("{}{}. None is left out of the figures", said, without),
    )


def _name(indices: list[int], survey: Survey) -> str:
    """Name the first few: ``shot 41``, ``shots 41, 22, 7 and 3 more``."""
    names = [survey.name(index) for index in indices]
    more = f" and {len(names) - _NAMED} more" if len(names) > _NAMED else ""
    return f"{noun_of(len(names), 'shot')} {', '.join(names[:_NAMED])}{more}"


def _tell(suspect: Suspect, number: int, result: Result) -> Statement:
    name = result.survey.name(suspect.index)
    east, north = result.survey.points[suspect.index, :2].tolist()
    is_high = suspect.difference > 0
    off = result.units.say_level(abs(suspect.difference))
    key = f"survey.suspect.{number}"
    figure = Figure(off, f"{key}.difference")
    where = say_place((east, north), result.slab, result.units)
    return Statement(
        key,
        Weight.TELLS,
        f"Shot {name}",
        figure,
        short=words(
            "{} {} its neighbours{}",
            figure,
            "above" if is_high else "below",
            f"; {suspect.slip}" if suspect.slip else "",
        ),
        details=() if suspect.slip else (words("no slip fits: look at the place"),),
        where=where,
        place=(east, north),
        mark=name,
        cells=(name, f"{'' if is_high else '-'}{off}", suspect.slip, where),
    )
