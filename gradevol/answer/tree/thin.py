"""Thin concrete as declared data: what was seen, and what the shots can't rule out."""

from typing import Annotated, TypeAlias

from gradevol.answer.declared import Kind, Number, Positive, Size, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding, if_known
from gradevol.answer.said.thin_risk import round_chance
from gradevol.answer.tree.spots import SpotData
from gradevol.uncertainty.thin_risk import Outcome

#: The least expected area that is told, in the unit of area.
_LEAST_AREA = 1e-4
#: A chance that is told to the hundredth, and neither as 0 nor as 1: neither can be known.
_Chance: TypeAlias = Annotated[float, Kind(minimum=0.01, maximum=0.99)]


@declared
class AcceptanceData:
    """A test that samples of the finished slab's thickness are held against."""

    name: Annotated[str, "What it is called."]
    average: Annotated[
        Size | None,
        "How far under the design the average of all samples may be; absent where not limited, as "
        "are the next two.",
    ] = None
    single: Annotated[Size | None, "How far under it any single sample may be."] = None
    over: Annotated[
        Size | None, "In the average no sample counts for more than this over the design."
    ] = None
    samples: Annotated[Number, "How many samples are taken, at places taken at random."]
    chance: Annotated[_Chance, "Chance that the slab fails; rounded as `core_chance` is."]
    source: Annotated[str, "Where the limits stand."]


@declared
class CouldHideData:
    """What the shots can't rule out."""

    width: Annotated[
        Size | None,
        "Diameter of the largest circle centred in the slab that holds no shot: a narrower ridge "
        "could pass between the shots unseen. Absent for clouds and surface files.",
    ] = None
    core_chance: Annotated[
        _Chance | None,
        "Chance that a core at a place taken at random is under `slab.least_thickness`, to the "
        "hundredth, never 0 or 1: `0.01` also stands for less, `0.99` for more. Absent, as are the "
        "next four, where there are too few shots to tell.",
    ] = None
    area: Annotated[
        Positive | None,
        "Area that may be expected to be thin, what was seen included; never 0.",
    ] = None
    area_low: Annotated[
        Size | None,
        "The thin area lies between this and the next with the level of `concrete.interval`.",
    ] = None
    area_high: Annotated[Size | None, "See `area_low`."] = None
    acceptance: Annotated[
        list[AcceptanceData] | None,
        "Tests that samples of the finished slab's thickness are held against: the job's, or the "
        "published ones.",
    ] = None


@declared
class ThinData:
    """Where concrete is thinner than the least thickness."""

    area: Annotated[Size, "Of all thin spots."]
    spots: Annotated[list[SpotData], "[Spots](#spots), the thinnest first."]
    unlisted: Annotated[
        Number | None,
        "How many smaller spots there are beside the 100 listed; absent where none.",
    ] = None
    doubtful: Annotated[
        Number | None,
        "How many more places are off by no more than the points of a cloud scatter: they are no "
        "spots, but are in the area; absent where none.",
    ] = None
    could_hide: Annotated[
        CouldHideData | None,
        "What the shots can't rule out: see "
        "[thin concrete between the shots](../explanation/hidden.md).",
    ] = None


def compose_thin(result: Result, rounding: Rounding, spots: list[SpotData]) -> ThinData:
    """Compose where concrete is thin, of the spots that are listed."""
    return ThinData(
        area=rounding.area(result.thin.area),
        spots=spots,
        unlisted=result.thin.unlisted or None,
        doubtful=result.thin.doubtful or None,
        could_hide=_compose_could_hide(result, rounding),
    )


def _compose_could_hide(result: Result, rounding: Rounding) -> CouldHideData | None:
    width, hidden = if_known(rounding.length, result.widest_gap), result.hidden
    if hidden is None:
        return None if width is None else CouldHideData(width=width)
    return CouldHideData(
        width=width,
        core_chance=round_chance(hidden.core_chance),
        area=max(rounding.area(hidden.area), _LEAST_AREA),
        area_low=rounding.area(hidden.area_low),
        area_high=rounding.area(hidden.area_high),
        acceptance=[_compose_test(tested, rounding) for tested in hidden.acceptance],
    )


def _compose_test(tested: Outcome, rounding: Rounding) -> AcceptanceData:
    return AcceptanceData(
        name=tested.test.name,
        average=if_known(rounding.length, tested.test.average),
        single=if_known(rounding.length, tested.test.single),
        over=if_known(rounding.length, tested.test.over),
        samples=tested.samples,
        chance=round_chance(tested.chance),
        source=tested.test.source,
    )
