"""Loads: an order in trucks, none under the least load or over what a truck holds."""

import math
from dataclasses import dataclass

from gradevol.ground.errors import InputError

#: No slab takes more loads: a dam does.
MOST_LOADS = 10_000
#: Rounding of a number that is a whole count of steps.
NEARLY = 1e-9


@dataclass(frozen=True, slots=True)
class Plant:
    """
    How a plant sells, m³.

    Attributes
    ----------
    step : float
        Orders are whole numbers of it.
    truck : float or None
        The most a truck brings; None where not known: no loads are planned.
    least_load : float or None
        The least it brings.
    short_load : float or None
        A load under it pays a fee.
    """

    step: float
    truck: float | None = None
    least_load: float | None = None
    short_load: float | None = None

    @property
    def full(self) -> float | None:
        """What a full truck brings, m³: whole steps."""
        return None if self.most is None else self.most * self.step

    @property
    def most(self) -> int | None:
        """Steps that a truck holds."""
        return None if self.truck is None else int(self.truck / self.step + NEARLY)

    @property
    def least(self) -> int:
        """Steps of the least load."""
        return 1 if self.least_load is None else self.count_up(self.least_load)

    @property
    def fair(self) -> int:
        """Steps of the least load that pays no fee."""
        return max(self.least, 0 if self.short_load is None else self.count_up(self.short_load))

    def count_up(self, volume: float) -> int:
        """Steps that hold a volume: never less than it."""
        return math.ceil(volume / self.step - NEARLY)

    def can_bring(self, steps: int, *, is_fair: bool = False) -> bool:
        """Whether trucks can bring just that many steps; if asked, without a fee."""
        least = self.fair if is_fair else self.least
        if self.most is None:
            return steps >= least
        return steps >= least * max(1, math.ceil(steps / self.most))

    def lack(self, steps: int) -> float:
        """How much the loads of an order are under what pays no fee, in all, m³."""
        if self.short_load is None:
            return 0.0
        loads = plan_loads(steps, self) or (steps,)
        return sum(max(self.short_load - load * self.step, 0.0) for load in loads)

    def round_up(self, volume: float) -> int:
        """
        Steps to order for a volume: the fewest that are not less and that trucks can bring.

        Raises
        ------
        ValueError
            If a truck does not hold the least load.
        """
        steps = self.count_up(max(volume, 0.0))
        if self.most is None:
            return max(steps, self.least)
        if self.most < self.least:
            raise ValueError(f"a truck of {self.most} steps does not hold {self.least}")
        return max(steps, self.least * max(1, math.ceil(steps / self.most)))


def plan_loads(steps: int, plant: Plant) -> tuple[int, ...]:
    """
    Split an order into loads.

    Parameters
    ----------
    steps : int
        The order in the plant's steps, which trucks can bring (`Plant.can_bring`).
    plant : Plant

    Returns
    -------
    tuple of int
        Steps of each load, empty where it is not known what a truck holds. Full trucks first;
        where the last would be under the least load, or pay a fee for being small, those before it
        give it what is missing, as far as they can.

    Raises
    ------
    ValueError
        If trucks can't bring it.
    InputError
        If there are more than any slab takes.
    """
    if plant.most is None:
        return ()
    if not plant.can_bring(steps):
        raise ValueError(f"{steps} steps can't be brought in loads of {plant.least} or more")
    full, rest = divmod(steps, plant.most)
    if full > MOST_LOADS:
        raise InputError(
            f"the order takes {full:,} loads",
            remedy="Look for a wrong digit in the elevations and in what the job assumes of their "
            "accuracy, and check order.truck",
        )
    loads = [plant.most] * full + ([rest] if rest else [])
    least = plant.fair if plant.can_bring(steps, is_fair=True) else plant.least
    wanting = least - loads[-1]
    for index in range(len(loads) - 2, -1, -1):
        if wanting <= 0:
            break
        given = min(wanting, plant.most - least)
        loads[index] -= given
        loads[-1] += given
        wanting -= given
    return tuple(loads)


@dataclass(frozen=True, slots=True)
class Staged:
    """
    A staged order: loads to release at once, and the balance to call later.

    Attributes
    ----------
    go, balance : tuple of float
        Loads, m³; the balance as it is expected now, to be sized when it is called.
    low, high : float
        What may then still be needed, m³.
    call_after : int
        The load that is to be on site; 0: call before the first.
    call_at : float or None
        When to call it at the latest, h after the first load is on site (before it where
        negative, with 0); None where the notice, or how long a load takes, is not known.
    """

    go: tuple[float, ...]
    balance: tuple[float, ...]
    low: float
    high: float
    call_after: int
    call_at: float | None


def count_sure(surely: float, steps: int, plant: Plant) -> int:
    """
    Full loads that are needed for sure, so that trucks can bring what is left, without a fee.

    Parameters
    ----------
    surely : float
        What is needed all but certainly, m³.
    steps : int
        The order.
    plant : Plant

    Returns
    -------
    int
        0 where nothing is to be staged.
    """
    if plant.most is None:
        return 0
    sure = min(int(surely / (plant.most * plant.step) + NEARLY), (steps - 1) // plant.most)
    is_fair = plant.can_bring(steps, is_fair=True)
    while sure > 0 and not plant.can_bring(steps - sure * plant.most, is_fair=is_fair):
        sure -= 1
    return max(sure, 0)


def time_load(plant: Plant, *, spacing: float | None, rate: float | None) -> float | None:
    """Find how long a full load takes, h: as trucks come (`spacing`, h) or as the crew places.

    That is `rate`, m³ an hour; of both the slower, None where neither is known.
    """
    placing = plant.full / rate if rate and plant.full is not None else None
    return max((hours for hours in (spacing, placing) if hours is not None), default=None)


def time_call(
    sure: int, *, notice: float | None, takes: float | None, spacing: float | None = None
) -> tuple[int, float | None]:
    """
    Find after which load to call the balance, and by when.

    Parameters
    ----------
    sure : int
        Loads released at once.
    notice, takes : float or None
        How long ahead a load must be called, and how long each takes (`time_load`), h.
    spacing : float or None
        From truck to truck as the plant sends them, h; None where it is as long as a load takes.

    Returns
    -------
    load : int
        The load that is on site by then; the last but one where times are not known, for the
        unfilled part is best measured again for the last two or three trucks (Chaney Enterprises,
        "Avoiding discrepancies in yield", after NRMCA CIP 8).
    hours : float or None
        After the first load is on site.
    """
    if notice is None or takes is None:
        return max(1, sure - 1), None
    hours = sure * takes - notice
    spacing = takes if spacing is None else spacing
    if hours < 0:
        return 0, hours
    on_site = sure if spacing == 0 else int(hours / spacing + NEARLY) + 1
    return min(on_site, sure), hours
