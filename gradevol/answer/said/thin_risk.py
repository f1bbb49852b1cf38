"""Thin concrete that the shots can't see, in words that never say it is nothing."""

from gradevol.answer.result import Result
from gradevol.answer.said.survey import points_of
from gradevol.answer.statement import Figure, Said, Statement, Topic, Weight, Words, words
from gradevol.ground.units import Units
from gradevol.ground.words import noun_of
from gradevol.uncertainty.thin_risk import Hidden, Outcome

#: A chance is told to the hundredth, and neither as 0 nor as 1: neither can be known.
_STEP = 0.01
#: Where the data has it.
_KEY = "thin.could_hide"


def round_chance(chance: float) -> float:
    """Round a chance to the hundredth, 0.01 at least and 0.99 at most."""
    return round(min(max(chance, _STEP), 1 - _STEP), 2)


def say_chance(chance: float) -> str:
    """Say a chance: ``9 %``; one that is next to nothing or to certain as such."""
    if chance < _STEP / 2:
        return "less than 1 %"
    if chance >= 1 - _STEP / 2:
        return "more than 99 %"
    return f"{100 * round_chance(chance):.0f} %"


def say_cores(chance: float) -> str:
    """Say how many of a hundred cores would be thin: ``2 cores in 100``."""
    said = say_chance(chance).removesuffix(" %")
    said = said.replace("less than", "under").replace("more than", "over")
    return f"{said} {noun_of(1 if said in ('1', 'under 1') else 2, 'core')} in 100"


def say_expected(hidden: Hidden, units: Units) -> str:
    """Say the thin area that may be expected: ``61 ft²``, ``less than 1 ft²``."""
    return units.say_some_area(hidden.area)


def say_less(result: Result) -> Words:
    """Say why less is expected than was seen, to follow what is; nothing where it is not less."""
    units, hidden, seen = result.units, result.hidden, result.units.say_some_area(result.thin.area)
    if hidden is None or hidden.area >= result.thin.area or say_expected(hidden, units) == seen:
        return Words()
    return words(
        ", less than the {} seen: part of that may be the {}' own error",
        Figure(seen, "thin.area"),
        points_of(result),
    )


def say_bounds(hidden: Hidden, units: Units) -> Words:
    """Say between what it lies: ``0 to 151 ft²``; nothing where all of that rounds to none."""
    low, high = (units.say_area(area) for area in (hidden.area_low, hidden.area_high))
    if high == units.say_area(0.0):
        return Words()
    return words(
        "{} to {}",
        Figure(low.partition(" ")[0], f"{_KEY}.area_low"),
        Figure(high, f"{_KEY}.area_high"),
    )


def tell_thin_risk(result: Result) -> tuple[Topic, ...]:
    """Tell how much is probably thin in all, and what that rests on; none if not known."""
    hidden, units = result.hidden, result.units
    if hidden is None:
        return ()
    area = Figure(say_expected(hidden, units), f"{_KEY}.area")
    limit = Figure(units.say_thickness(result.slab.least_thickness), "slab.least_thickness")
    chance = Figure(say_chance(hidden.core_chance), f"{_KEY}.core_chance")
    bounds = say_bounds(hidden, units)
    thin = words("{}{}{}", area, words(" ({})", bounds) if bounds else "", say_less(result))
    sure = f"{100 * hidden.level:g} % sure"
    told = (
        Statement(
            f"{_KEY}.area",
            Weight.MATTERS,
            "Probably thin, including spots nobody shot",
            area,
            short=thin,
            long=words("{}; {}", thin, say_cores(hidden.core_chance)),
            details=(words("{}: {}", sure, bounds),) if bounds else (),
        ),
        Statement(
            f"{_KEY}.core_chance",
            Weight.DETAILS,
            f"Chance that a core is under {limit}",
            chance,
        ),
        Statement(f"{_KEY}.ground", Weight.DETAILS, short=_say_ground(result)),
    )
    return (Topic("thin_risk", "Probably thin", "Thin", told),)


def _say_ground(result: Result) -> Words:
    """Say what the expectation rests on, and what is not in it."""
    said = words("Counts what all points may be off together; not what lies between or beyond them")
    if result.survey.ids:
        hump: Said = "narrow hump"
        if result.widest_gap is not None:
            width = Figure(result.units.say_span(result.widest_gap), f"{_KEY}.width")
            hump = words("hump narrower than {}", width)
        said = words(
            "Takes the base between the shots to be as uneven as the shots show; a {} that no shot "
            "caught is not counted",
            hump,
        )
    return said


def tell_tests(result: Result) -> tuple[Topic, ...]:
    """Tell with what chance cores at random places fail acceptance tests: a table."""
    if result.hidden is None or not result.hidden.acceptance:
        return ()
    told = tuple(
        _tell_test(tested, number, result.units)
        for number, tested in enumerate(result.hidden.acceptance)
    )
    columns = ("test", "samples", "chance_to_fail")
    return (Topic("tests", "Core tests", "Core tests", told, columns),)


def _tell_test(tested: Outcome, number: int, units: Units) -> Statement:
    test, key = tested.test, f"{_KEY}.acceptance.{number}"
    chance = Figure(say_chance(tested.chance), f"{key}.chance")
    samples = Figure(f"{tested.samples}", f"{key}.samples")
    limits = {"average": test.average, "each": test.single}
    return Statement(
        key,
        Weight.TELLS,
        test.name,
        chance,
        short=words("{} chance to fail with {} samples", chance, samples),
        details=tuple(
            words("{} no more than {} under", what, units.say_thickness(limit))
            for what, limit in limits.items()
            if limit is not None
        ),
        cells=(test.name, f"{tested.samples}", f"{round_chance(tested.chance)}"),
    )
