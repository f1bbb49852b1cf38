"""The slab as built: its thickness, tests and cores."""

from collections.abc import Iterator

from gradevol.after.as_built import AsBuilt, Held
from gradevol.after.cores import Predicted
from gradevol.after.finished import Finished
from gradevol.answer.reconciled import Reconciled
from gradevol.answer.said.amounts import say_mean
from gradevol.answer.said.places import say_place, say_where
from gradevol.answer.said.thickness import say_design
from gradevol.answer.said.thin_risk import say_chance
from gradevol.answer.statement import Figure, Statement, Topic, Weight, words
from gradevol.ground.words import count_of
from gradevol.uncertainty.thin_risk import Outcome

#: Thin places that are told.
_MOST = 10


def tell_as_built(done: Reconciled) -> tuple[Topic, ...]:
    """Tell the thickness under the finished top; nothing where that was not shot."""
    built = done.found.as_built
    if built is None or built.finished is None or built.thickness is None:
        return ()
    expected = built.hidden.acceptance if built.hidden is not None else ()
    told = (
        *_tell_thickness(built, done),
        *_tell_thin(built, done),
        _tell_top(built.finished, done),
        *(_tell_expected(number, each, done) for number, each in enumerate(expected)),
    )
    return (Topic("as_built", "As built", "As built", told),)


def _tell_thickness(built: AsBuilt, done: Reconciled) -> Iterator[Statement]:
    moments, units = built.thickness, done.units
    if moments is None:
        return
    key = "as_built.thickness"
    mean = Figure(units.say_thickness(moments.mean), f"{key}.mean")
    details = [say_design(done.result)]
    if built.moved is not None and built.moved_sigma is not None:
        way = "more" if built.moved >= 0 else "less"
        by = Figure(say_mean(abs(built.moved), done), "")
        sigma = Figure(say_mean(built.moved_sigma, done), "as_built.by_cores.sigma")
        details.append(words("{} {} by the cores, ±{}", by, way, sigma))
    yield Statement(f"{key}.mean", Weight.TELLS, "Mean", mean, details=tuple(details))
    yield Statement(
        f"{key}.min",
        Weight.TELLS,
        "Least",
        Figure(units.say_thickness(moments.min, down=True), f"{key}.min"),
        where=say_place(moments.min_at, done.result.slab, units),
        is_alert=moments.min < done.result.slab.least_thickness,
    )


def _tell_thin(built: AsBuilt, done: Reconciled) -> Iterator[Statement]:
    thin, units, slab = built.thin, done.units, done.result.slab
    if thin is None:
        return
    limit = words("under {}", units.say_thickness(slab.least_thickness))
    is_thin = thin.area > 0
    figure = Figure(
        units.say_some_area(thin.area) if is_thin else "none seen", "as_built.thin.area"
    )
    yield Statement(
        "as_built.thin.area",
        Weight.TELLS,
        "Thin",
        figure,
        details=(limit,),
        is_alert=is_thin,
    )
    for number, spot in enumerate(thin.listed[:_MOST]):
        worst = Figure(
            units.say_thickness(spot.worst, down=True), f"as_built.thin.spots.{number}.worst"
        )
        yield Statement(
            f"as_built.thin.spots.{number}",
            Weight.DETAILS,
            f"Thin place {number + 1}",
            short=words("{} at its thinnest, {}", worst, units.say_some_area(spot.area)),
            where=say_where(spot.where, units, slab.side_names),
        )


def _tell_top(finished: Finished, done: Reconciled) -> Statement:
    way = "above" if finished.mean >= 0 else "below"
    shots = done.ground.count_on(finished.survey.points)
    return Statement(
        "as_built.top.above",
        Weight.TELLS,
        "Finished top",
        Figure(f"{say_mean(abs(finished.mean), done)} {way} the drawing", "as_built.top.above"),
        details=(words("mean over the slab, by {}", count_of(shots, "shot")),),
    )


def _tell_expected(number: int, tested: Outcome, done: Reconciled) -> Statement:
    test, units = tested.test, done.units
    limits = {"average": test.average, "each": test.single}
    limit = "; ".join(
        f"{what} no more than {units.say_thickness(value)} under"
        for what, value in limits.items()
        if value is not None
    )
    return Statement(
        f"as_built.expected.{number}",
        Weight.TELLS,
        test.name,
        Figure(f"{say_chance(tested.chance)} to fail", f"as_built.expected.{number}.chance"),
        details=(words("{} at random places; {}", count_of(tested.samples, "core"), limit),),
    )


def tell_cores(done: Reconciled) -> tuple[Topic, ...]:
    """Tell what was to be expected of each core, what was found, and whether the tests are met."""
    built = done.found.as_built
    if built is None or not built.cores:
        return ()
    told = (
        *_tell_incredible(built),
        *(_tell_core(number, each, done) for number, each in enumerate(built.cores)),
        *(_tell_held(number, each) for number, each in enumerate(built.held)),
    )
    unit = "mm" if done.units.is_metric else "in"
    columns = ("core", f"predicted_{unit}", f"low_{unit}", f"high_{unit}", f"measured_{unit}")
    return (Topic("cores", "Cores", "Cores", told, (*columns, "within", "where")),)


def _tell_incredible(built: AsBuilt) -> Iterator[Statement]:
    """Tell where cores are too far off to be believed."""
    if not built.are_cores_credible:
        yield Statement(
            "as_built.incredible",
            Weight.ACTS,
            "Not taken into account",
            short=words(
                "the cores lie so far from what the shots tell that one of the two is wrong: look "
                "at the unit and the places of the cores, and at the bench mark of the shots"
            ),
            is_alert=True,
        )


def _tell_core(number: int, each: Predicted, done: Reconciled) -> Statement:
    units, key, length = done.units, f"as_built.cores.{number}", each.core.length
    # one that is outside by less than a tape shows would read as if it were on the end
    shown, *ends = map(units.say_thickness, (length or 0.0, each.low, each.high))
    is_close = each.is_within is False and shown in ends
    say = units.say_fine if is_close else units.say_thickness
    expected, low, high = (
        Figure(say(value), f"{key}.{name}")
        for name, value in (("predicted", each.thickness), ("low", each.low), ("high", each.high))
    )
    said = words("{} expected, {} to {}", expected, low, high)
    if length is None:
        told = words("proposed")
    else:
        where = "within" if each.is_within else "outside of"
        measured = Figure(say(length), f"{key}.measured")
        told = words("{} measured, {} the interval", measured, where)
    factor = 1000.0 if units.is_metric else 1 / 0.0254
    digits = (0 if units.is_metric else 2) + is_close
    put = [
        "" if value is None else f"{value * factor:.{digits}f}"
        for value in (each.thickness, each.low, each.high, length)
    ]
    is_within = "" if each.is_within is None else "yes" if each.is_within else "no"
    where_at = say_place(each.core.place, done.result.slab, units)
    return Statement(
        key,
        Weight.TELLS,
        each.core.id,
        expected,
        short=words("{}; {}", told, said),
        details=(told,),
        where=where_at,
        is_alert=each.is_within is False,
        cells=(each.core.id, *put, is_within, where_at),
    )


def _tell_held(number: int, each: Held) -> Statement:
    few = "" if each.taken >= each.wanted else f", and it asks for {each.wanted}"
    verdict = "fails" if each.has_failed else "is kept"
    taken = Figure(count_of(each.taken, "core"), f"as_built.acceptance.{number}.taken")
    return Statement(
        f"as_built.acceptance.{number}",
        Weight.TELLS,
        each.test.name,
        short=words("{} by the {} taken{}", verdict, taken, few),
        is_alert=each.has_failed,
    )
