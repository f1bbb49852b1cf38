"""What the shots can't see: how much concrete is likely to be thin, seen or not.

See ``docs/explanation/hidden.md``.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from gradevol.geometry.nearest import nearest_level
from gradevol.geometry.normal import chance_below
from gradevol.geometry.prisms import area_above
from gradevol.geometry.quadrature import spread_cells
from gradevol.ground.arrays import FloatArray
from gradevol.measures.acceptance import PUBLISHED, Acceptance
from gradevol.measures.field import ThicknessField
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.thickening import drawn_depth
from gradevol.uncertainty.interpolation import Between
from gradevol.uncertainty.interval import Interval
from gradevol.uncertainty.kernel import find_bearing_of_sides
from gradevol.uncertainty.posterior import draw_combinations
from gradevol.uncertainty.process import Process
from gradevol.uncertainty.simulation import describe_each, simulate

#: Cells of the slab: twice as many change the chance of a thin core by less than a hundredth of it
#: on the sample surveys.
_CELLS = 400
#: How their rows are turned off the slab's sides, by the golden section: what shots in rows, or
#: ruts, leave of thin concrete runs along the sides, and could lie between rows that do so too.
_ASKEW = float(np.arctan((np.sqrt(5) - 1) / 2))
#: Likely combinations that are drawn, and bases simulated of each.
_DRAWN, _BASES = 16, 64
#: Places picked of a base that was seen everywhere.
_PICKED = 20_000
#: The same job gives the same number.
_SEED = 20


@dataclass(frozen=True, slots=True)
class Outcome:
    """
    What is to be expected of an acceptance test.

    Attributes
    ----------
    samples : int
        How many are taken.
    chance : float
        That it fails, 0 to 1.
    """

    test: Acceptance
    samples: int
    chance: float


@dataclass(frozen=True, slots=True)
class Hidden:
    """
    Thin concrete as the shots lead one to expect it, where they are and where they are not.

    Attributes
    ----------
    core_chance : float
        That the concrete is thinner than the least thickness at a place taken at random.
    area : float
        That may be expected to be thin, what was seen included, m².
    level : float
        Chance that the thin area lies between the next two.
    area_low, area_high : float
        m².
    """

    core_chance: float
    area: float
    level: float
    area_low: float
    area_high: float
    acceptance: tuple[Outcome, ...]


def study_hidden(
    between: Between,
    field: ThicknessField,
    slab: Slab,
    survey: Survey,
    interval: Interval,
    *,
    tests: Sequence[Acceptance] = PUBLISHED,
    over: FloatArray | None = None,
) -> Hidden | None:
    """
    Study how much concrete is likely to be thin.

    Parameters
    ----------
    between : Between
    field : ThicknessField
    slab : Slab
    survey : Survey
        With the accuracy of its shots.
    interval : Interval
        Of the volume: what all shots share, the finished top, and the level.
    tests : sequence of Acceptance
        What cores would be held against.
    over : (t, 3, 3) array of float, optional
        How far the finished top stands over the design, as triangles, m; `field` holds it already.

    Returns
    -------
    Hidden or None
        None where the shots tell too little of the base between them.

    Notes
    -----
    Shots of a base: the base is simulated given the shots, on the likely processes. Points without
    names, of a cloud or a surface file: the base was seen everywhere, and only what all its points
    share is open.
    """
    area = float(between.region.area)
    shared = float(np.hypot(interval.datum, interval.top)) / area if area > 0 else 0.0
    if not survey.ids:
        return _study_seen(field, slab, shared=shared, level=interval.level, tests=tests)
    if between.process is None:
        return None
    return _study_unseen(
        between.process,
        slab,
        uneven=spread_at_cores(between, survey),
        shared=shared,
        level=interval.level,
        tests=tests,
        over=over,
    )


def spread_at_cores(between: Between, survey: Survey) -> FloatArray:
    """Variance of single places about the process on each combination, (c,), m²."""
    assert between.process is not None
    own = (survey.sigma**2 + between.unevenness) / between.size
    uneven = np.maximum(between.process.scale * between.process.noise - own, 0.0)
    return uneven + between.unevenness


def expect_thin(
    process: Process, spare: FloatArray, places: FloatArray, *, uneven: FloatArray, shared: float
) -> FloatArray:
    """
    Chance that concrete is thin at places, on the mean of the combinations.

    Parameters
    ----------
    process : Process
    spare : (m,) array of float
        By how much the base may rise at each place before the concrete is thin (`find_spare`), m.
    places : (m, 2) array of float
        m.
    uneven : (c,) array of float
        From `spread_at_cores`, m².
    shared : float
        One standard deviation of what all of the slab is off by, m.

    Returns
    -------
    (m,) array of float
    """
    mean, variance = describe_each(process, places)
    spread = np.sqrt(variance + uneven[:, None] + shared**2)
    return process.chance @ _chance_below(mean - spare, spread)


def find_spare(slab: Slab, places: FloatArray) -> FloatArray:
    """By how much the base may rise over the drawing at places before concrete is thin, m."""
    return _draw(slab, places, None) - slab.least_thickness


def _draw(slab: Slab, places: FloatArray, over: FloatArray | None) -> FloatArray:
    """Thickness as drawn at places, m; and what the top stands `over` its design there."""
    drawn = slab.thickness + drawn_depth(slab, places, of=["yes"])
    return drawn if over is None else drawn + nearest_level(over, places)


def _study_unseen(
    process: Process,
    slab: Slab,
    *,
    uneven: FloatArray,
    shared: float,
    level: float,
    tests: Sequence[Acceptance],
    over: FloatArray | None,
) -> Hidden:
    """Simulate the base between shots; `uneven` is its variance at a core, (c,), m²."""
    sides = find_bearing_of_sides(slab.outline, process.places)
    places, areas = spread_cells(slab.outline, count=_CELLS, bearing=sides + _ASKEW)
    limit = slab.least_thickness
    drawn = _draw(slab, places, over)
    thin = expect_thin(process, drawn - limit, places, uneven=uneven, shared=shared) @ areas
    generator = np.random.default_rng(_SEED)
    combinations = np.repeat(draw_combinations(process, _DRAWN), _BASES)
    simulated = []
    for number, base in simulate(process, places, combinations, generator):
        rough = np.sqrt(uneven[number]) * generator.standard_normal(base.shape)
        offset = shared * generator.standard_normal((len(base), 1))
        simulated.append(drawn - base - rough - offset)
    thickness = np.concatenate(simulated)
    tails = [(1 - level) / 2, (1 + level) / 2]
    low, high = np.quantile((thickness < limit) @ areas, tails).tolist()

    def take(count: int) -> FloatArray:
        picked = np.random.default_rng(_SEED).random((len(thickness), count))
        upto = np.cumsum(areas / areas.sum())
        cell = np.minimum(np.searchsorted(upto, picked), len(areas) - 1)
        return np.take_along_axis(thickness, cell, axis=1)

    return Hidden(
        core_chance=float(thin) / slab.area,
        area=float(thin),
        level=level,
        area_low=min(low, float(thin)),  # the mean of a long tail may lie beyond its bounds
        area_high=max(high, float(thin)),
        acceptance=_hold(tests, slab, take),
    )


def _study_seen(
    field: ThicknessField,
    slab: Slab,
    *,
    shared: float,
    level: float,
    tests: Sequence[Acceptance],
) -> Hidden:
    """Move all of a base that was seen everywhere by what its points share."""
    generator = np.random.default_rng(_SEED)
    # evenly along the thickness: the order of the pieces is nothing to it
    thickness = field.thickness
    order = np.argsort(thickness.sum(axis=1), kind="stable")
    upto = np.cumsum(field.area[order])
    at = (np.arange(_PICKED) + 0.5) / _PICKED * upto[-1]
    shares = generator.dirichlet(np.ones(3), _PICKED)
    held = order[np.minimum(np.searchsorted(upto, at), len(upto) - 1)]
    picked = np.einsum("kc,kc->k", shares, thickness[held])

    def measure(offset: float) -> float:
        return float(area_above(field.area, slab.least_thickness + offset - thickness).sum())

    short = slab.least_thickness - picked
    # the places picked only say what the offset adds to the area, which is exact without it
    added = np.mean(_chance_below(short, np.full(_PICKED, shared)) - (short > 0))
    area = min(max(measure(0.0) + float(added) * slab.area, 0.0), slab.area)
    tail = shared * NormalDist().inv_cdf((1 + level) / 2)
    offsets = shared * generator.standard_normal((_DRAWN * _BASES, 1))

    def take(count: int) -> FloatArray:
        places = np.random.default_rng(_SEED + 1).integers(_PICKED, size=(len(offsets), count))
        return picked[places] - offsets

    return Hidden(
        core_chance=area / slab.area,
        area=area,
        level=level,
        area_low=min(measure(-tail), area),
        area_high=max(measure(tail), area),
        acceptance=_hold(tests, slab, take),
    )


def _chance_below(short: FloatArray, spread: FloatArray) -> FloatArray:
    """Chance that a thickness, short of a limit by `short` on the mean, is less than it."""
    return chance_below(short / np.maximum(spread, 1e-9))


def _hold(
    tests: Sequence[Acceptance], slab: Slab, take: Callable[[int], FloatArray]
) -> tuple[Outcome, ...]:
    """Hold samples, `take` so many of each base, against tests."""
    found = []
    for test in tests:
        count = test.count_samples(slab.area)
        failed = test.find_failed(take(count), slab.thickness)
        found.append(Outcome(test, count, float(failed.mean())))
    return tuple(found)
