"""The design top: how it fits, how it falls, where it is flat and where it holds water."""

from collections.abc import Iterator

import numpy as np

from gradevol.answer.result import Result
from gradevol.answer.said.next_shots import say_area
from gradevol.answer.said.places import say_place
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, words
from gradevol.measures.drainage import Drainage, FlatPlace
from gradevol.measures.drainage.notes import say_fall
from gradevol.measures.drainage.ponding import Pond
from gradevol.site.tie_ins import say_at

_WINDS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
#: Flat places, and ponds, told one by one; the data has all.
_MOST = 6
#: Where the fall of the top as a whole is less than this share of its falls, it falls several ways.
_ONE_WAY = 0.5


def tell_top(result: Result) -> tuple[Topic, ...]:
    """
    Tell what is known of the design top.

    Returns
    -------
    tuple of Topic
        Empty where there is nothing to tell. Of flat places and of water the whole, or the worst,
        is told first.
    """
    statements = [*_tell_fit(result)]
    if (drainage := result.drainage) is not None:
        statements += [_tell_falls(drainage, result), *_tell_flat(drainage, result)]
        statements += _tell_ponds(drainage, result)
    return (Topic("top", "Design top", "Falls", tuple(statements)),) if statements else ()


def say_wind(bearing: float) -> str:
    """Say a bearing, degrees clockwise from north: ``south-west``."""
    return _WINDS[int(bearing / 45 + 0.5) % 8]


def _tell_fit(result: Result) -> Iterator[Statement]:
    residuals = result.top.residuals
    if len(residuals):
        furthest = result.units.say_level(float(np.abs(residuals).max()))
        text = f"within {furthest} of its {len(residuals)} points"
        yield Statement("top.fit", Weight.DETAILS, short=words(text))


def _tell_falls(drainage: Drainage, result: Result) -> Statement:
    falls = drainage.falls
    if falls.mean <= 0:
        return Statement("top.falls", short=words("the top is level: water has no way to run"))
    several = falls.resultant < _ONE_WAY * falls.mean or falls.bearing is None
    towards = "several ways" if several else f"to the {say_wind(falls.bearing or 0.0)}"
    mean, least = (
        Figure(say_fall(getattr(falls, key)), f"top.falls.{key}") for key in ("mean", "least")
    )
    text = words("the top falls {} on average, {}; least {}", mean, towards, least)
    where = say_place(falls.least_at, result.slab, result.units)
    return Statement("top.falls", short=text, long=text + f": {where}", place=falls.least_at)


def _tell_flat(drainage: Drainage, result: Result) -> Iterator[Statement]:
    """Tell where the top falls less than the job states; nothing where it states no fall."""
    if drainage.flat_area is None:
        return
    stated = Figure(say_fall(drainage.runoff.least_fall or 0.0), "top.falls.stated")
    if not drainage.flat:
        text = words("no place falls less than {}", stated)
        yield Statement("top.flat", Weight.DETAILS, short=text)
        return
    area = Figure(say_area(drainage.flat_area, result), "top.flat_area")
    first = drainage.flat[0]
    where = say_place(first.at, result.slab, result.units)
    text = words("under {}: {}", stated, area)
    briefly = text + f", most of it about {where}{_say_causes(first)}"
    yield Statement("top.flat", short=briefly, long=text)
    for number, place in enumerate(drainage.flat[:_MOST]):
        least = Figure(say_fall(place.least), f"top.flat.{number}.least")
        yield Statement(
            f"top.flat.{number}",
            Weight.DETAILS,
            short=words("falls {} there{}", least, _say_causes(place)),
            where=say_place(place.at, result.slab, result.units),
            place=place.at,
        )
    yield from _tell_more("flat", "flat places", len(drainage.flat) + drainage.flat_unlisted)


def _say_causes(place: FlatPlace) -> str:
    """Say which measured points make a place flat."""
    named = [cause.name for cause in place.causes]
    return f"; flat by {' and '.join(named)}" if named else ""


def _tell_ponds(drainage: Drainage, result: Result) -> Iterator[Statement]:
    if not drainage.ponds:
        yield Statement("top.ponding", Weight.DETAILS, short=words("holds no water as drawn"))
    for number, pond in enumerate(drainage.ponds[:_MOST]):
        yield Statement(
            f"top.ponding.{number}",
            Weight.DETAILS if number else Weight.TELLS,
            short=_say_pond(pond, f"top.ponding.{number}", result),
            where=say_place(pond.at, result.slab, result.units),
            place=pond.at[:2],
        )
    yield from _tell_more("ponding", "ponds", len(drainage.ponds) + drainage.ponds_unlisted)


def _tell_more(key: str, what: str, count: int) -> Iterator[Statement]:
    """Say how many places are not told one by one."""
    if count > _MOST:
        text = words(f"{count - _MOST} more {what}: result.json has the largest")
        yield Statement(f"top.{key}.more", Weight.SPARE, short=text)


def _say_pond(pond: Pond, key: str, result: Result) -> Words:
    """Say how much water stands, and the measured points that it hangs on."""
    depth = Figure(pond.told_depth.say(result.units), f"{key}.depth")
    area = Figure(say_area(pond.area, result), f"{key}.area")
    text = words("holds water {} deep over {}", depth, area)
    if not (pond.lowest_point and pond.sill_point):
        return text
    lowest, sill = map(say_at, (pond.lowest_point, pond.sill_point))
    return text + f", lowest {lowest}, spills {sill}"
