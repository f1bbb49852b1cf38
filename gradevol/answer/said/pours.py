"""Pours: what each part of the slab that is poured on its own takes, and what that is made of."""

from gradevol.answer.result import Result
from gradevol.answer.said.order import MANY
from gradevol.answer.said.suspects import say_doubt
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, words
from gradevol.plan.order.parts import Part

#: What a pour is made of, by the keys of the data, and as it is told; what is not there is left
#: out. A base that is high makes the slab take less.
_NAMES = {
    "nominal_volume": "as drawn",
    "over_nominal": "base low",
    "thickenings": "thickenings",
    "voids": "voids",
}


def tell_pours(result: Result) -> tuple[Topic, ...]:
    """Tell the volume of each pour and what it is made of; all pours add up to the whole slab."""
    if not (parts := result.delivery.parts):
        return ()
    weight = Weight.MATTERS if len(parts) <= MANY else Weight.DETAILS
    told = tuple(_tell(part, number, result, weight) for number, part in enumerate(parts))
    return (Topic("pours", "Each pour", "Pours", told),)


def _tell(part: Part, number: int, result: Result, weight: Weight) -> Statement:
    units, of = result.units, part.concrete
    key = f"pours.{number}"
    low, thickenings = of.over_nominal - of.shown_drawn, of.thickenings + of.shown_drawn
    volumes = dict(zip(_NAMES, (of.nominal, low, thickenings, -of.voids), strict=True))
    derived = {"over_nominal", "thickenings"} if of.shown else set()
    nothing = units.say_volume(0.0)
    said = Words()
    for name, volume in volumes.items():
        text = units.say_volume(abs(volume))
        if text == nothing:
            continue
        # less: the data has voids positive
        is_in_data = volume >= 0 and name not in derived
        figure = Figure(text.partition(" ")[0], f"{key}.{name}" if is_in_data else "")
        label = _NAMES[name]
        if volume < 0:
            label = label.replace("low", "high")
        sign = "\N{MINUS SIGN} " if volume < 0 else "+ " if said else ""
        said = (
            words("{} {}{} {}", said, sign, label, figure)
            if said
            else words("{} {}", label, figure)
        )
    total = Figure(units.say_volume(of.volume), f"{key}.volume")
    details: tuple[Words, ...] = (said,)
    if part.volume_without is not None:
        then = units.say_volume(part.volume_without)
        if then != str(total):
            details = (
                said,
                say_doubt(result, Figure(then, f"{key}.volume_without_suspects")),
            )
    return Statement(
        key,
        weight,
        part.name,
        total,
        short=words("{} = {}", total, said),
        details=details,
    )
