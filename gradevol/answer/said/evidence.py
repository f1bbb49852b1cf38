"""What each row of an account rests on, in words."""

from collections.abc import Callable

from gradevol.after.account import Row
from gradevol.after.yields import STANDARD_TESTS
from gradevol.answer.reconciled import Reconciled
from gradevol.answer.said.amounts import say_amount, say_mean
from gradevol.answer.statement import Words, words
from gradevol.ground.units import CUBIC_YARD
from gradevol.ground.words import count_of, with_minus
from gradevol.job.terms import POUND


def say_evidence(row: Row, done: Reconciled) -> Words:
    """Say what a row rests on."""
    return _EVIDENCE[row.key](done)


def _of_tickets(done: Reconciled) -> Words:
    return words("{} on the tickets", count_of(done.found.loads, "load"))


def _of_yield(done: Reconciled) -> Words:
    measured, units = done.found.measured, done.units
    if measured.ratio is None or measured.unit_weight is None or measured.by_weight is None:
        why = "no unit weight was tested" if not measured.tests else "no ticket has a batch weight"
        return words("{}: loads are taken to hold what their tickets say", why)
    said = words(
        "by weight {}: {} over {}, the mean of {}",
        units.say_volume(measured.by_weight),
        _say_weight(measured.weight, done),
        _say_density(measured.unit_weight, done),
        count_of(measured.tests, "test"),
    )
    if measured.tests >= STANDARD_TESTS:
        said += ", each from another load"
    if measured.weighed < measured.loads:
        said += f"; {measured.weighed} of {count_of(measured.loads, 'load')} have a batch weight"
    if not measured.is_standard:
        said += (
            f"; no yield in the sense of ASTM C94, which takes {STANDARD_TESTS} tests, each from "
            "another load, and the weight of every batch"
        )
    if measured.water > 0:
        said += (
            f"; {_say_water(measured.water, done)} of water added on site are in no batch weight"
        )
    return said


def _of_returned(done: Reconciled) -> Words:
    row = done.found.account.row("returned")
    if row.basis == "assumed":
        return words("no ticket says that any went back")
    said = words("on the tickets" if row.basis == "measured" else "estimated on the tickets")
    if done.costs is not None and done.costs.returned:
        fee = say_amount(done.costs.returned * row.volume, done)
        said += f"; sending it back is {fee} on top"
    return said


def _of_small_pours(done: Reconciled) -> Words:
    poured = done.found.poured
    if not poured.filled:
        return words("no ticket says that any went elsewhere")
    told = ", ".join(
        f"{f'{count} ' if count > 1 else ''}{name} {done.units.say_volume(volume)}"
        for name, count, volume in poured.filled
    )
    said = words("as drawn: {}; the tickets say that loads went there", told)
    if poured.partly:
        said += f"; how far {' and '.join(poured.partly)} was filled is not told: half is taken"
    return said


def _of_neat(done: Reconciled) -> Words:
    units, ground, concrete = done.units, done.ground, done.ground.concrete
    said = words("{} x {}", units.say_area(ground.area), units.say_thickness(ground.slab.thickness))
    cast = done.found.account.row("neat").volume - concrete.nominal + concrete.voids
    if cast:
        said += f", thickenings {units.say_volume(cast)}"
    if concrete.voids:
        said += f", voids {with_minus(units.say_volume(-concrete.voids))}"
    return said


def _of_base(done: Reconciled) -> Words:
    result, row = done.result, done.found.account.row("base")
    survey = result.survey
    way = "below" if row.volume >= 0 else "above"
    said = words(
        "{} on the base before the pour: {} {} the drawing on average",
        count_of(done.ground.count_on(survey.points), "shot")
        if survey.ids
        else count_of(survey.count, "point"),
        say_mean(abs(row.volume) / done.ground.area, done),
        way,
    )
    return said + _add_cores(done)


def _of_top(done: Reconciled) -> Words:
    built, row = done.found.as_built, done.found.account.row("top")
    if built is None or built.finished is None:
        assumed = done.ground.interval
        sigma = say_mean(assumed.top_sigma, done) if assumed else ""
        return words("nobody shot the finished top: taken as drawn, ±{}", sigma) + _add_cores(done)
    finished = built.finished
    way = "above" if row.volume >= 0 else "below"
    said = words(
        "{} on the finished top: {} {} the drawing on average",
        count_of(done.ground.count_on(finished.survey.points), "shot"),
        say_mean(abs(row.volume) / done.ground.area, done),
        way,
    )
    if finished.coverage < 0.995:
        said += f"; {100 * finished.coverage:.0f} % of the slab lies between them"
    return said + _add_cores(done)


def _add_cores(done: Reconciled) -> str:
    built = done.found.as_built
    if built is None or not built.are_cores_credible:
        return ""
    taken = [each for each in built.cores if each.core.length is not None]
    return f"; {count_of(len(taken), 'core')} taken into account" if taken else ""


def _of_edges(done: Reconciled) -> Words:
    account = done.found.account
    if not account.formed:
        return words("no side stands against a form")
    length = done.units.to_length(account.formed / done.result.slab.thickness)
    side = f"{length:,.0f} {'m' if done.units.is_metric else 'ft'}"
    given = done.units.say_thickness(done.found.account.bulge)
    return words("not measured: {} of formed sides taken to stand {} out", side, given)


def _of_spill(done: Reconciled) -> Words:
    account = done.found.account
    share = f"{100 * account.waste:.3g} %"
    said = words(
        "{}, {} of the concrete in place",
        "the job's waste" if account.is_waste_stated else "not measured: what is usual",
        share,
    )
    if account.pump:
        said += f", and {done.units.say_volume(account.pump)} that stayed in the pump"
    return said


def _of_rest(done: Reconciled) -> Words:
    said = words("ticketed less all other rows: no evidence assigns it")
    if (expected := done.found.account.settlement) > 0:
        said += (
            f"; the job expects {done.units.say_volume(expected)} to go into the base as it gives"
        )
    return said


_EVIDENCE: dict[str, Callable[[Reconciled], Words]] = {
    "ticketed": _of_tickets,
    "yield": _of_yield,
    "returned": _of_returned,
    "small_pours": _of_small_pours,
    "neat": _of_neat,
    "base": _of_base,
    "top": _of_top,
    "edges": _of_edges,
    "spill": _of_spill,
    "unresolved": _of_rest,
}


def _say_weight(kilograms: float, done: Reconciled) -> str:
    """Say a weight: ``305,870 lb``, ``138,740 kg``."""
    if done.units.is_metric:
        return f"{kilograms:,.0f} kg"
    return f"{kilograms / POUND:,.0f} lb"


def _say_density(density: float, done: Reconciled) -> str:
    """Say a unit weight to the digit in which it is reported: ``145.6 lb/ft³``."""
    if done.units.is_metric:
        return f"{density:,.0f} kg/m³"
    return f"{density * CUBIC_YARD / 27 / POUND:.1f} lb/ft³"


def _say_water(volume: float, done: Reconciled) -> str:
    if done.units.is_metric:
        return f"{volume * 1000:.0f} l"
    return f"{volume / (231 * 0.0254**3):.0f} gal"
