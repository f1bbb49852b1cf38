"""Suspect shots: what is off at each, the likely slip, and the volume without them."""

from collections.abc import Collection

from gradevol.answer.result import Result
from gradevol.answer.said.margin import say_like_stated
from gradevol.answer.said.notes import list_calls
from gradevol.answer.said.outcome import say_before_order
from gradevol.answer.said.places import say_place
from gradevol.answer.statement import Figure, Said, Statement, Topic, Weight, Words, words
from gradevol.doubts.suspects import Suspect
from gradevol.ground.words import capital, first_of
from gradevol.plan.order.parts import Part

#: Shots that are named among what to do first.
_NAMED = 3


def tell_suspects(result: Result) -> tuple[Topic, ...]:
    """Tell which shots to take again before anything is cut or ordered, and what is off at each."""
    if not result.suspects:
        return ()
    told = (
        Statement("suspects.reshoot", Weight.DECIDES, short=_say_reshoot(result)),
        *(_tell(suspect, number, result) for number, suspect in enumerate(result.suspects)),
    )
    columns = ("shot", "difference", "slip", "where")
    return (Topic("suspects", "Suspect shots", "Suspect", told, columns),)


def name_suspects(result: Result) -> str:
    """Name the suspect shots: ``41``, ``41, 22, 7 and 3 more``; empty where there are none."""
    return first_of([result.survey.name(one.index) for one in result.suspects], _NAMED)


def say_again(result: Result, indices: Collection[int] | None = None) -> str:
    """
    Say what is done first with suspect shots: ``reshoot 41``; ``reshoot 41 and leave out BM``.

    Of all, or of those of some indices.
    """
    told = []
    for is_mark, what in ((False, "reshoot"), (True, "leave out")):
        names = [
            result.survey.name(one.index)
            for one in result.suspects
            if one.is_mark == is_mark and (indices is None or one.index in indices)
        ]
        if names:
            most = _NAMED if indices is None else len(names)
            told.append(f"{what} {first_of(names, most)}")
    return " and ".join(told)


def say_doubt(result: Result, then: Said) -> Words:
    """Say that a figure rests on suspect shots, and what it is without: ``suspect: none ...``."""
    return words("suspect: {} without {}", then, name_suspects(result))


def say_first(result: Result, part: Part | None = None) -> str:
    """Say what is done before an order is believed: ``reshoot 41 first``; empty if nothing is."""
    made = filter(None, [_say_height(result, part), say_before_order(result, part)])
    return "; ".join([*list_calls(result), *made, *_list_reshot(result, part)])


def _say_height(result: Result, part: Part | None) -> str:
    """Say that control was not applied, where that moves the order by a step of the plant's."""
    shift, height, order = result.survey.shift, result.height, result.delivery.order
    if shift is None or shift.is_applied or height is None or order is None:
        return ""
    if height.shifted is None or abs(height.shifted) < order.plant.step:
        return ""
    way, volume = "less" if height.shifted < 0 else "more", abs(height.shifted)
    told = f" (by control {result.units.say_volume(volume)} {way})" if part is None else ""
    return f"settle the scan's height first{told}"


def _list_reshot(result: Result, part: Part | None) -> list[str]:
    if not result.suspects:
        return []
    if part is not None and part.volume_without is not None:
        say = result.units.say_volume
        if say(part.volume_without) == say(part.concrete.volume):
            return []
    return [f"{say_again(result)} first"]


def _say_reshoot(result: Result) -> Words:
    said = words("{} first, before you cut or order", capital(say_again(result)))
    if (volume := result.volume_without_suspects) is None:
        return said
    text = say_like_stated(volume, result.interval, result.units)
    figure = Figure(text, "survey.volume_without_suspects")
    return said + words(". Without {}: {}", "it" if len(result.suspects) == 1 else "them", figure)


def _tell(suspect: Suspect, number: int, result: Result) -> Statement:
    name = result.survey.name(suspect.index)
    east, north = result.survey.points[suspect.index, :2].tolist()
    is_high = suspect.difference > 0
    is_in_list = any(suspect.index in fix.suspects for fix in result.work.fixes)
    off = result.units.say_level(abs(suspect.difference))
    key = f"survey.suspect.{number}"
    figure = Figure(off, f"{key}.difference")
    where = say_place((east, north), result.slab, result.units)
    return Statement(
        key,
        Weight.TELLS if is_in_list else Weight.MATTERS,
        f"Shot {name}",
        figure,
        short=words(
            "{} {} the shots around it{}",
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
