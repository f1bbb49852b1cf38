"""Yield by weight: what the loads held, by batch weight over unit weight."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from statistics import fmean, stdev

from gradevol.files.tickets.table import Amount, Load
from gradevol.job.terms import POUND

#: Tests of unit weight that a yield rests on, each of another load: ASTM C94, as slides of the
#: Michigan Concrete Association tell it, scribd.com/document/554759844, and NRMCA CIP 8,
#: concreteanswers.org/CIPs/CIP8.htm; the standard itself was not read.
STANDARD_TESTS = 3
#: One standard deviation of a single test of unit weight, 0.65 lb/ft³, kg/m³: single operator,
#: ASTM C138, from memory, not verified.
TEST_SIGMA = 0.65 * POUND / 0.3048**3
#: Of the plant's scales, a share that all batch weights have in common. A judgement, no source.
SCALE_SIGMA = 0.0015
#: Of the yield of loads that were not weighed beside others that were: a judgement, no source.
UNWEIGHED_SIGMA = 0.005
#: Of the yield where nothing was weighed or tested: a judgement, no source.
UNTESTED_SIGMA = 0.01


@dataclass(frozen=True, slots=True)
class Yield:
    """
    What loads held by weight.

    Attributes
    ----------
    ratio : float or None
        Volume by weight over volume as ticketed, of the loads that were weighed; None where no
        unit weight was measured, or no batch weight.
    sigma : float
        One standard deviation of it, over all loads, as a share of what was ticketed.
    weight : float
        Of the loads that were weighed, kg.
    unit_weight : float or None
        Mean of the tests, kg/m³.
    tests : int
        Loads whose unit weight was measured.
    weighed, loads : int
        Loads with a batch weight, and all.
    water : float
        Added on site, m³; it is in no batch weight.
    """

    ratio: float | None
    sigma: float
    weight: float = 0.0
    unit_weight: float | None = None
    tests: int = 0
    weighed: int = 0
    loads: int = 0
    water: float = 0.0

    @property
    def is_standard(self) -> bool:
        """Whether the published number of tests was met, and every load weighed."""
        return self.tests >= STANDARD_TESTS and self.weighed == self.loads > 0

    @property
    def by_weight(self) -> float | None:
        """Volume of the loads that were weighed, m³."""
        return None if self.unit_weight is None else self.weight / self.unit_weight


def measure_yield(loads: Sequence[Load]) -> Yield:
    """
    Measure what loads held.

    Parameters
    ----------
    loads : sequence of Load
        Those that count.

    Returns
    -------
    Yield
        Estimated weights are left out: they are no tests.

    Notes
    -----
    ASTM C138: the mass of all that was batched over the density of the fresh concrete. Its examples
    are held to their printed digits in ``tests/published/test_yield.py``.
    """
    densities = _list_measured(load.unit_weight for load in loads)
    weighed = [load for load in loads if _list_measured([load.batch_weight])]
    weight = sum(_list_measured(load.batch_weight for load in loads))
    spread = stdev(densities) if len(densities) > 1 else None
    nothing = Yield(
        ratio=None,
        sigma=UNTESTED_SIGMA,
        tests=len(densities),
        weighed=len(weighed),
        loads=len(loads),
        water=sum(load.water_added.value for load in loads if load.water_added is not None),
    )
    if not densities or not weighed:
        return nothing
    ticketed = sum(load.volume for load in weighed)
    density = fmean(densities)
    ratio = weight / density / ticketed
    scatter = max(TEST_SIGMA, spread or 0.0) / density / math.sqrt(len(densities))
    unweighed = UNWEIGHED_SIGMA * (1 - ticketed / sum(load.volume for load in loads))
    sigma = ratio * math.hypot(scatter, SCALE_SIGMA, unweighed)
    return replace(nothing, ratio=ratio, sigma=sigma, weight=weight, unit_weight=density)


def _list_measured(amounts: Iterable[Amount | None]) -> list[float]:
    """List what is there, and no estimate."""
    return [each.value for each in amounts if each is not None and not each.is_estimate]
