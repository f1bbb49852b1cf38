"""Thin concrete that the shots show."""

from gradevol.answer.result import Result
from gradevol.answer.said.places import say_unshot
from gradevol.answer.said.survey import points_of
from gradevol.answer.said.suspects import say_doubt
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
    if doubt := _say_doubt(result):
        details.append(doubt)
    none = words("{} under {} at the {}", figure, limit, points_of(result))
    said = Statement(
        "thin.area",
        Weight.MATTERS,
        "Thin",
        figure,
        short=_say_spots(result, figure, limit) if is_thin else none,
        details=tuple(details),
        is_alert=is_thin,
    )
    return (Topic("thin", "Thin", "Thin", (said,)),)


def _say_doubt(result: Result) -> Words:
    """Say that the thin area rests on suspect shots, and what it is without; or nothing."""
    without = result.without_suspects
    if without is None or not result.thin.area:
        return Words()
    is_any = without.found.thin.area > 0
    then = result.units.say_some_area(without.found.thin.area) if is_any else "none"
    if then == result.units.say_some_area(result.thin.area):
        return Words()
    return say_doubt(result, Figure(then, "survey.thin_area_without_suspects"))


def _say_spots(result: Result, area: Figure, limit: Figure) -> Words:
    units, thin = result.units, result.thin
    if not thin.count and thin.doubtful:
        return words("{} under {}, but within the scan's scatter", area, limit)
    is_told_alike = units.say_area(thin.unshot) == units.say_area(thin.area)
    if is_told_alike and 2 * thin.unshot > thin.area:  # two small areas are alike, too
        return words(
            "{} under {} in {}, where nobody shot: shoot there first",
            area,
            limit,
            count_of(thin.count, "spot"),
        )
    cut = units.say_some_volume(sum(spot.volume for spot in thin.listed))
    doubt = _say_doubt(result)
    return words(
        "{} under {} in {}{}; {} to cut{}",
        area,
        limit,
        count_of(thin.count, "spot"),
        say_unshot(thin, units) + (f" ({doubt})" if doubt else ""),
        Figure(cut),
        " in the largest" if thin.unlisted else "",
    )
