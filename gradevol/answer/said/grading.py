"""Cut and fill: all of the base to the design base, and what is beyond its tolerance."""

from collections.abc import Iterator

from gradevol.answer.result import Result
from gradevol.answer.said.places import say_unshot
from gradevol.answer.statement import Figure, Statement, Topic, Weight, words
from gradevol.ground.words import count_of


def tell_grading(result: Result) -> tuple[Topic, ...]:
    """Tell cut and fill, and how much is beyond each tolerance that the job states."""
    return (Topic("grading", "Cut and fill", "Cut/fill", tuple(_tell(result))),)


def _tell(result: Result) -> Iterator[Statement]:
    units, slab = result.units, result.slab
    cut, fill = (
        Figure(units.say_volume(getattr(result.grading, key)), f"grading.{key}")
        for key in ("cut", "fill")
    )
    bare = Figure(cut.text.partition(" ")[0], cut.key)
    yield Statement(
        "grading.cut",
        short=words("high spots {}, low spots {}, in place", bare, fill),
        long=words("high spots {}, low spots {}, in place, to the design base", cut, fill),
    )
    share = Figure(f"{100 * result.grading.high_share:.0f} %", "grading.high_share")
    yield Statement(
        "grading.high_share",
        Weight.SPARE,
        short=words("the base is high, and the slab thinner than drawn, on {} of it", share),
    )
    for key, spots, tolerance in (
        ("high", result.high, slab.base_high),
        ("low", result.low, slab.base_low),
    ):
        if spots is None or tolerance is None:
            continue
        limit = Figure(units.say_thickness(tolerance), f"slab.base_{key}")
        said = words("more than {} {}: ", limit, key)
        area = Figure(units.say_some_area(spots.area), f"grading.{key}_area")
        if spots.count:
            said += words(
                "{} in {}{}", area, count_of(spots.count, "spot"), say_unshot(spots, units)
            )
        elif spots.doubtful:
            said += words("{}, but within the scan's scatter", area)
        else:
            said += "none seen"
        yield Statement(f"grading.{key}", short=said)
