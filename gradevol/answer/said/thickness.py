"""The thickness: least, mean and most, and where the base stands above the top."""

from gradevol.answer.result import Result
from gradevol.answer.said.places import say_place
from gradevol.answer.said.suspects import name_suspects, say_again, say_doubt
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, join, words
from gradevol.ground.words import capital, list_of, verb_of


def tell_thickness(result: Result) -> tuple[Topic, ...]:
    """Tell the least thickness and where it is, the mean, the most, and the base above the top."""
    say, moments, slab = result.units.say_thickness, result.thickness, result.slab
    doubt = _list_doubt(result)
    told = [
        Statement(
            "thickness.min",
            Weight.DECIDES,
            "Least",
            Figure(say(moments.min, down=True), "thickness.min"),
            details=(*doubt, words("rounded down")),
            doubt=str(join("", doubt)),
            where=say_place(moments.min_at, slab, result.units),
            place=moments.min_at,
            is_alert=result.thin.area > 0,
        ),
        Statement(
            "thickness.mean",
            label="Mean",
            figure=Figure(say(moments.mean), "thickness.mean"),
            details=(say_design(result, "slab.thickness"),),
        ),
        Statement("thickness.max", label="Most", figure=Figure(say(moments.max), "thickness.max")),
    ]
    if moments.min < 0:
        told.append(_tell_overlap(result))
    return (Topic("thickness", "Thickness", "Thickness", tuple(told)),)


def say_design(result: Result, key: str = "") -> Words:
    """Say the design thickness beside a mean, which holds what was dug and shot too."""
    design = Figure(result.units.say_thickness(result.slab.thickness), key)
    concrete = result.concrete
    shown = list_of([concrete.parts[place][0] for place, _ in concrete.shown], 2)
    return words("design {}, more in {}", design, shown) if shown else words("design {}", design)


def _list_doubt(result: Result) -> tuple[Words, ...]:
    """Say what the least is without the suspect shots, where it rests on them."""
    without = result.without_suspects
    if without is None:
        return ()
    least, then = (
        result.units.say_thickness(moments.min, down=True)
        for moments in (result.thickness, without.thickness)
    )
    if least == then:
        return ()
    return (say_doubt(result, Figure(then, "survey.least_without_suspects")),)


def _tell_overlap(result: Result) -> Statement:
    """Tell what is to be cut away before anything can be poured."""
    units, least = result.units, result.thickness.min
    over = Figure(units.say_some_volume(result.concrete.overlap), "concrete.overlap")
    said = units.say_level(-least)
    high = "" if said == units.say_level(0.0) else f" by up to {said}"
    cut, first = "Cut", "first"
    if (without := result.without_suspects) and without.thickness.min >= 0:
        right = f"{name_suspects(result)} {verb_of(len(result.suspects), 'are')} right"
        has_marks = any(one.is_mark for one in result.suspects)
        again = capital(say_again(result)) if has_marks else "Reshoot"
        cut = f"{again}: only if {right}, cut"
    if result.survey.grain is not None:  # a machine, a stockpile: nothing tells them from base
        first += ", or scan again without what stood there"
    there = "the base is above the top of slab there"
    return Statement(
        "concrete.overlap",
        Weight.ACTS,
        short=words("{} {} {}: {}", cut, over, first, there),
        long=words("{} {} {}: {}{}, and no concrete is counted", cut, over, first, there, high),
        place=result.thickness.min_at,
        is_alert=True,
    )
