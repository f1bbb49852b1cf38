"""Terms: what concrete is ordered on, and what concrete, a crew and base material cost."""

import math
from dataclasses import dataclass, fields
from pathlib import Path
from typing import NamedTuple

from gradevol.ground.units import CUBIC_YARD

#: Pounds in kilograms, exact: 24 FR 5348 (1959-07-01).
POUND = 0.45359237
#: A short ton, of 2,000 lb, and a tonne, kg.
SHORT_TON, TONNE = 2000 * POUND, 1000.0

#: Suppliers round up to a quarter of a cubic yard (colecountyconcrete.com/id19.html; another to a
#: half, llredimix.com/tech_tips/how_much.php); half a cubic metre: common practice, no source.
STEP_YARDS, STEP_METRES = 0.25 * CUBIC_YARD, 0.5
#: Accepted chance of coming up short where the job says nothing: common practice, no source.
RISK = 0.05

#: Crushed base course by weight, dry: 3,700 lb/yd³ compacted, 2,950 lb/yd³ loose in the truck.
#: WSDOT Design Manual M 22-01, chapter 620, exhibit 620-1 (November 2015).
BASE_WEIGHT = 3700 * POUND / 0.9144**3
#: Loose volume of the same material in one volume of it compacted: 1.25.
LOOSE = 3700 / 2950


class Pace(NamedTuple):
    """
    How long work on the base takes: common practice, no source; the job's own figures go before.

    The keys ``place_hours``, ``fetch_hours``, ``area_rate`` and ``volume_rate`` of order.costs, in
    h, m² and m³.
    """

    place: float = 0.2
    fetch: float = 0.5
    area: float = 140.0
    volume: float = 7.5


_PACE = Pace()


class Pump(NamedTuple):
    """What stays in a pump when the pour is done: the keys of order.pump, m and m³."""

    line: float = 0.0
    diameter: float = 0.0
    hopper: float = 0.0

    @property
    def held_in_line(self) -> float:
        """Concrete that fills the line, m³: a cylinder."""
        return math.pi / 4 * self.diameter**2 * self.line

    @property
    def held(self) -> float:
        """All that stays in it, m³."""
        return self.held_in_line + self.hopper


@dataclass(frozen=True, slots=True)
class Costs:
    """
    Prices, in one currency: the keys of order.costs, for m³, kg and h; None where left out.

    `material` is of 1 kg of base material, `weight` of 1 m³ of it compacted, kg; `currency` is
    empty where the job does not say.
    """

    concrete: float
    currency: str = ""
    returned: float | None = None
    short: float | None = None
    short_rate: float | None = None
    short_load: float | None = None
    machine: float | None = None
    labour: float | None = None
    labourers: float = 2.0
    material: float | None = None
    weight: float = BASE_WEIGHT
    loose: float = LOOSE
    pace: Pace = _PACE

    @property
    def left_over(self) -> float:
        """Cost of 1 m³ that is left over: its price, and what sending it back costs."""
        return self.concrete + (self.returned or 0.0)

    @property
    def is_of_shortage(self) -> bool:
        """Whether it says that coming up short costs anything."""
        return bool(self.short or self.short_rate)

    @property
    def crew(self) -> float | None:
        """Cost of a crew's hour; None where neither machine nor labour has a price."""
        if self.machine is None and self.labour is None:
            return None
        return (self.machine or 0.0) + self.labourers * (self.labour or 0.0)


@dataclass(frozen=True, slots=True)
class Terms:
    """
    What an order is worked out from: the keys of [order]; None where left out.

    Shares are of the volume in place, volumes in m³, times in h, `start` after midnight; `learned`
    is a file of earlier jobs' factors.
    """

    waste: float | None = None
    settlement: float | None = None
    yield_short: float | None = None
    sigma: float | None = None
    pump: Pump | None = None
    risk: float | None = None
    truck: float | None = None
    step: float | None = None
    least_load: float | None = None
    short_load: float | None = None
    notice: float | None = None
    spacing: float | None = None
    start: float | None = None
    costs: Costs | None = None
    learned: Path | None = None

    @property
    def is_order(self) -> bool:
        """Whether more is given than prices of concrete and of work."""
        if self.costs is not None and self.costs.is_of_shortage:
            return True
        return any(
            getattr(self, field.name) is not None
            for field in fields(self)
            if field.name not in {"costs", "learned"}
        )


@dataclass(frozen=True, slots=True)
class SmallPour:
    """
    A small pour elsewhere that can take what is left over.

    Attributes
    ----------
    volume : float
        Of each, m³.
    count : int
        How many there are.
    is_partial : bool
        Whether one can stop part-way; else each is filled or not begun.
    """

    name: str
    volume: float
    count: int = 1
    is_partial: bool = False
