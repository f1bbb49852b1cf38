"""The thickness: least, mean and most, and where the base stands above the top."""

from gradevol.answer.result import Result
from gradevol.answer.said.places import say_place
from gradevol.answer.statement import Figure, Statement, Topic, Weight, words


def tell_thickness(result: Result) -> tuple[Topic, ...]:
    """Tell the least thickness and where it is, the mean, the most, and the base above the top."""
    say, moments, slab = result.units.say_thickness, result.thickness, result.slab
    design = Figure(say(slab.thickness), "slab.thickness")
    told = [
        Statement(
            "thickness.min",
            Weight.DECIDES,
            "Least",
            Figure(say(moments.min, down=True), "thickness.min"),
            details=(words("rounded down"),),
            where=say_place(moments.min_at, slab, result.units),
            place=moments.min_at,
            is_alert=result.thin.area > 0,
        ),
        Statement(
            "thickness.mean",
            label="Mean",
            figure=Figure(say(moments.mean), "thickness.mean"),
            details=(words("design {}", design),),
        ),
        Statement("thickness.max", label="Most", figure=Figure(say(moments.max), "thickness.max")),
    ]
    if moments.min < 0:
        told.append(_tell_overlap(result))
    return (Topic("thickness", "Thickness", "Thickness", tuple(told)),)


def _tell_overlap(result: Result) -> Statement:
    """Tell what is to be cut away before anything can be poured."""
    units, least = result.units, result.thickness.min
    over = Figure(units.say_some_volume(result.concrete.overlap), "concrete.overlap")
    said = units.say_level(-least)
    high = "" if said == units.say_level(0.0) else f" by up to {said}"
    return Statement(
        "concrete.overlap",
        Weight.ACTS,
        short=words("Cut {} away first: the base stands above the top", over),
        long=words(
            "Cut {} away first: the base stands above the top{}, and no concrete is counted there",
            over,
            high,
        ),
        place=result.thickness.min_at,
        is_alert=True,
    )
