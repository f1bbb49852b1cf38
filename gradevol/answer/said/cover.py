"""Cover over what is cast in."""

from gradevol.answer.result import Result
from gradevol.answer.said.places import say_place
from gradevol.answer.said.suspects import say_doubt
from gradevol.answer.statement import Figure, Said, Statement, Topic, Weight, join, words
from gradevol.measures.cover import Cover


def tell_cover(result: Result) -> tuple[Topic, ...]:
    """Tell the least cover over each item that has a line; those that lack some come first."""
    if not result.cover:
        return ()
    told = [_tell(cover, number, result) for number, cover in enumerate(result.cover)]
    told.sort(key=lambda said: not said.is_alert)
    columns = ("item", "least cover", "required", "short on", "where")
    return (Topic("cover", "Cover over what is cast in", "Cover", tuple(told), columns),)


def _say_without(number: int, result: Result) -> str:
    """Say on what length cover lacks without the suspect shots; nothing where on the same."""
    without, say = result.without_suspects, result.units.say_tape
    if without is None:
        return ""
    then = say(without.found.cover[number].short)
    return "" if then == say(result.cover[number].short) else f"short on {then}"


def _tell(cover: Cover, number: int, result: Result) -> Statement:
    units, key = result.units, f"cover.{number}"
    least = Figure(units.say_thickness(cover.least, down=True), f"{key}.least")
    where = say_place(cover.at, result.slab, units)
    required = short = ""
    told: list[Said] = ["no limit is stated"]
    if cover.required is not None:
        required = units.say_thickness(cover.required)
        told = [words("{} required", Figure(required, f"{key}.required"))]
    if cover.short > 0:
        short = units.say_tape(cover.short)
        told.append(words("short on {}", Figure(short, f"{key}.short")))
        if then := _say_without(number, result):
            told.append(say_doubt(result, then))
    return Statement(
        key,
        Weight.MATTERS if cover.short > 0 else Weight.TELLS,
        cover.name,
        least,
        short=join(", ", [words("least cover {}", least), *told]),
        details=(join(", ", told),),
        where=where,
        place=cover.at,
        is_alert=cover.short > 0,
        cells=(cover.name, least.text, required, short, where),
    )
