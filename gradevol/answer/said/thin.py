"""Thin concrete that the shots show."""

from gradevol.answer.result import Result
from gradevol.answer.said.places import say_unshot
from gradevol.answer.said.survey import points_of
from gradevol.answer.said.thin_risk import say_expected, say_less
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, words
from gradevol.ground.words import count_of


def tell_thin(result: Result) -> tuple[Topic, ...]:
    """Tell how much was seen to be thin, in how many spots, and how much is to cut there."""
    units, area = result.units, result.thin.area
    is_thin = area > 0
    limit = Figure(units.say_thickness(result.slab.least_thickness), "slab.least_thickness")
    figure = Figure(units.say_some_area(area) if is_thin else "none seen", "thin.area")
    details = [words("under {}", limit)]
    if result.hidden is not None:
        expected = Figure(say_expected(result.hidden, units), "thin.could_hide.area")
        details.append(words("probably {} in all{}", expected, say_less(result)))
    none = words("{} under {} at the {}", figure, limit, points_of(result))
    said = Statement(
        "thin.area",
        Weight.TELLS,
        "Thin",
        figure,
        short=_say_spots(result, figure, limit) if is_thin else none,
        details=tuple(details),
        is_alert=is_thin,
    )
    return (Topic("thin", "Thin", "Thin", (said,)),)


def _say_spots(result: Result, area: Figure, limit: Figure) -> Words:
    units, thin = result.units, result.thin
    if not thin.count and thin.doubtful:
        return words("{} under {}, by no more than the scan scatters", area, limit)
    if units.say_area(thin.unshot) == units.say_area(thin.area):
        return words(
            "{} under {} in {}, where nobody shot: shoot there first",
            area,
            limit,
            count_of(thin.count, "spot"),
        )
    cut = units.say_some_volume(sum(spot.volume for spot in thin.listed))
    return words(
        "{} under {} in {}{}; {} to cut{}",
        area,
        limit,
        count_of(thin.count, "spot"),
        say_unshot(thin, units),
        Figure(cut),
        " in the largest" if thin.unlisted else "",
    )
