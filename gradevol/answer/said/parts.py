"""The parts of the volume: as drawn, what the base makes of it, what is cast with it or in it."""

from collections.abc import Iterator

from gradevol.answer.result import Result
from gradevol.answer.said.volume import say_total
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, words

#: Thickenings and voids that are named where there is little room; more are told by their sums.
_NAMED = 3


def tell_parts(result: Result) -> tuple[Topic, ...]:
    """Tell the parts of the volume: a table that adds up, and the sums of many parts."""
    columns = ("part", f"volume_{result.units.volume}")
    said = tuple(_tell(result))
    return (Topic("parts", "Parts of the volume", "Made up of", said, columns),)


def _tell(result: Result) -> Iterator[Statement]:
    units, concrete, slab = result.units, result.concrete, result.slab
    area = Figure(units.say_area(slab.area), "slab.area")
    thickness = Figure(units.say_thickness(slab.thickness), "slab.thickness")
    yield _row(
        result,
        "slab.nominal_volume",
        "Slab as drawn",
        concrete.nominal,
        details=(words("{} x {}", area, thickness),),
    )
    yield _tell_base(result)
    is_many = len(concrete.parts) > _NAMED
    shown = dict(concrete.shown)
    for number, (name, volume) in enumerate(concrete.parts):
        is_shown = name in shown and not volume  # and no void of that name
        yield _row(
            result,
            f"concrete.parts.{number}.volume",
            name,
            shown[name] if is_shown else volume,
            weight=Weight.DETAILS if is_many else Weight.TELLS,
            is_in_data=not is_shown,
        )
    total = Figure(say_total(result), "concrete.volume")
    cells = ("Concrete in place", f"{units.to_volume(concrete.volume):z.3f}")
    yield Statement("concrete.volume", Weight.DETAILS, "Concrete in place", total, cells=cells)
    if is_many:
        drawn = units.say_volume(concrete.thickenings + concrete.shown_drawn)
        sums = Figure(drawn, "" if shown else "concrete.thickenings")
        yield Statement("concrete.thickenings", label="Thickenings", figure=sums)
        # less: the data has it positive
        yield Statement(
            "concrete.voids", label="Voids", figure=Figure(units.say_volume(-concrete.voids))
        )
    if shown:
        yield Statement(
            "parts.shot",
            short=words(
                "Thickenings that were shot are told as drawn: what they were dug more or less is "
                "in the base"
            ),
        )
    yield Statement("parts.rounded", Weight.DETAILS, short=words("Parts are rounded one by one"))


def _tell_base(result: Result) -> Statement:
    """Tell what the slab takes more, or less, over the base as it was graded."""
    units, concrete = result.units, result.concrete
    over = concrete.over_nominal - concrete.shown_drawn
    way = "below" if over > 0 else "above"
    if units.say_volume(abs(over)) == units.say_volume(0.0):
        way = "as on"
    slab = Figure(units.say_volume(concrete.slab), "concrete.slab")
    return _row(
        result,
        "concrete.over_nominal",
        f"Base {way} the drawing",
        over,
        details=(words("net; over the base as graded the slab takes {}", slab),),
        is_in_data=not concrete.shown,
    )


def _row(
    result: Result,
    key: str,
    label: str,
    volume: float,
    *,
    weight: Weight = Weight.TELLS,
    details: tuple[Words, ...] = (),
    is_in_data: bool = True,
) -> Statement:
    """Return a row of the table: rounded for who reads it, finer for who copies it."""
    units = result.units
    figure = Figure(units.say_volume(volume), key if is_in_data else "")
    cells = (label, f"{units.to_volume(volume):z.3f}")
    return Statement(key, weight, label, figure, details=details, cells=cells)
