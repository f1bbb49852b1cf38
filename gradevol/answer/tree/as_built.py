"""The slab as built as declared data."""

from typing import Annotated

from gradevol.after.as_built import AsBuilt
from gradevol.answer.declared import Count, Kind, Length, Number, Place, Share, Size, declared
from gradevol.answer.reconciled import Reconciled
from gradevol.answer.rounding import Rounding
from gradevol.answer.said.places import say_place, say_where
from gradevol.answer.said.thin_risk import round_chance


@declared
class BuiltThicknessData:
    """Finished top less base over the plan area."""

    mean: Annotated[Length, "Area-weighted."]
    min: Annotated[Length, "The least; negative where the base stands above the top."]
    max: Annotated[Length, "The greatest."]
    sd: Annotated[Size, "Standard deviation over the area, not how sure the mean is."]
    min_at: Annotated[Place, "Easting, northing of the least."]
    min_where: Annotated[str, "The same by tape."]


@declared
class ThinPlaceData:
    """A place where the slab as built is thin."""

    area: Annotated[Size, "Plan area."]
    worst: Annotated[Length, "The least thickness."]
    at: Annotated[Place, "Where that is: easting, northing."]
    where: Annotated[str, "The same by tape."]


@declared
class BuiltThinData:
    """Where the slab as built is thinner than `least_thickness`."""

    area: Annotated[Size, "All of it, exact for the surfaces."]
    spots: Annotated[list[ThinPlaceData], "The places, the largest first."]


@declared
class FinishedTopData:
    """The finished top against its design."""

    shots: Annotated[Count, "Shots on it."]
    above: Annotated[Length, "How far it stands above the drawing on average, cores left aside."]
    coverage: Annotated[
        Share,
        "Share of the slab that lies between the shots; beyond them it stands as far off the "
        "drawing as at the nearest place between them.",
    ]


@declared
class ExpectedTestData:
    """An acceptance test, and what cores at random places would find."""

    name: Annotated[str, "What it is called."]
    samples: Annotated[Number, "Cores that it takes."]
    chance: Annotated[
        float, Kind(minimum=0.01, maximum=0.99), "Chance that the slab fails, to the hundredth."
    ]


@declared
class HeldTestData:
    """An acceptance test, and what the cores taken say of it."""

    name: Annotated[str, "What it is called."]
    samples: Annotated[Number, "Cores that it takes."]
    taken: Annotated[Number, "Cores that were taken, be they fewer."]
    is_kept: Annotated[bool, "Whether these keep it."]


@declared
class CoreData:
    """A core: what was to be expected of it, and what was found."""

    id: Annotated[str, "As the file has it."]
    at: Annotated[Place, "Easting, northing."]
    where: Annotated[str, "The same by tape."]
    predicted: Annotated[Length, "Thickness as predicted, no core taken into account."]
    sigma: Annotated[Size, "One standard deviation of a measured length about it."]
    low: Annotated[Length, "Lower end of its interval, at the level of `interval`."]
    high: Annotated[Length, "Upper end."]
    measured: Annotated[Length | None, "As measured; absent of a core that is proposed."] = None
    is_within: Annotated[bool | None, "Whether that lies in the interval; absent likewise."] = None


@declared
class ByCoresData:
    """What measured cores add to the mean thickness."""

    moved: Annotated[Length, "Added to the mean thickness; rows of base and top hold it."]
    sigma: Annotated[Size, "One standard deviation of the mean thickness after it."]


@declared
class AsBuiltData:
    """The slab as built."""

    thickness: Annotated[
        BuiltThicknessData | None, "Absent, as the next three, where the top was not shot."
    ] = None
    thin: Annotated[BuiltThinData | None, "Where it is thinner than `least_thickness`."] = None
    top: Annotated[FinishedTopData | None, "The finished top against its design."] = None
    expected: Annotated[
        list[ExpectedTestData] | None,
        "Acceptance tests, and with what chance cores at random places fail them.",
    ] = None
    acceptance: Annotated[
        list[HeldTestData] | None, "The tests held against the cores taken; absent without any."
    ] = None
    cores: Annotated[list[CoreData], "Cores, taken or proposed."]
    by_cores: Annotated[
        ByCoresData | None,
        "What measured cores add; absent without any, and where they lie too far from what the "
        "shots tell to be believed.",
    ] = None


def compose_as_built(done: Reconciled, rounding: Rounding) -> AsBuiltData | None:
    """Compose the slab as built; None where neither its top nor a core is known."""
    built = done.found.as_built
    if built is None:
        return None
    by_cores = None
    if built.moved is not None and built.moved_sigma is not None:
        by_cores = ByCoresData(
            moved=rounding.length(built.moved), sigma=rounding.length(built.moved_sigma)
        )
    return AsBuiltData(
        thickness=_compose_thickness(built, done, rounding),
        thin=_compose_thin(built, done, rounding),
        top=_compose_top(built, done, rounding),
        expected=[
            ExpectedTestData(
                name=each.test.name, samples=each.samples, chance=round_chance(each.chance)
            )
            for each in built.hidden.acceptance
        ]
        if built.hidden is not None
        else None,
        acceptance=[
            HeldTestData(
                name=each.test.name,
                samples=each.wanted,
                taken=each.taken,
                is_kept=not each.has_failed,
            )
            for each in built.held
        ]
        or None,
        cores=[
            CoreData(
                id=each.core.id,
                at=rounding.place(each.core.place),
                where=say_place(each.core.place, done.result.slab, done.units),
                predicted=rounding.length(each.thickness),
                sigma=rounding.length(each.sigma),
                low=rounding.length(each.low),
                high=rounding.length(each.high),
                measured=None if each.core.length is None else rounding.length(each.core.length),
                is_within=each.is_within,
            )
            for each in built.cores
        ],
        by_cores=by_cores,
    )


def _compose_thickness(
    built: AsBuilt, done: Reconciled, rounding: Rounding
) -> BuiltThicknessData | None:
    moments = built.thickness
    if moments is None:
        return None
    return BuiltThicknessData(
        mean=rounding.length(moments.mean),
        min=rounding.length(moments.min),
        max=rounding.length(moments.max),
        sd=rounding.length(moments.sd),
        min_at=rounding.place(moments.min_at),
        min_where=say_place(moments.min_at, done.result.slab, done.units),
    )


def _compose_thin(built: AsBuilt, done: Reconciled, rounding: Rounding) -> BuiltThinData | None:
    if built.thin is None:
        return None
    return BuiltThinData(
        area=rounding.area(built.thin.area),
        spots=[
            ThinPlaceData(
                area=rounding.area(spot.area),
                worst=rounding.length(spot.worst),
                at=rounding.place(spot.at[:2]),
                where=say_where(spot.where, done.units, done.result.slab.side_names),
            )
            for spot in built.thin.listed
        ],
    )


def _compose_top(built: AsBuilt, done: Reconciled, rounding: Rounding) -> FinishedTopData | None:
    if built.finished is None:
        return None
    return FinishedTopData(
        shots=done.ground.count_on(built.finished.survey.points),
        above=rounding.length(built.finished.mean),
        coverage=rounding.share(built.finished.coverage),
    )
