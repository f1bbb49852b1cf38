"""Delivery: the order of a slab, or of each of its parts, and the small pours beside it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from gradevol.job.terms import SmallPour, Terms
from gradevol.measures.concrete import Concrete
from gradevol.plan.order import Order, place_order
from gradevol.plan.order.expected import Expected
from gradevol.plan.order.need import measure_need
from gradevol.plan.order.parts import Part
from gradevol.uncertainty.interval import Interval
from gradevol.uncertainty.mixture import Mixture


@dataclass(frozen=True, slots=True)
class Delivery:
    """
    What is poured, and what is ordered for it.

    Attributes
    ----------
    order : Order or None
        For all of the slab in one pour; None where the job asks for none.
    parts : tuple of Part
        Parts of the slab that are poured on their own.
    part_orders : tuple of Order
        One a part; empty where the job asks for none.
    small_pours : tuple of SmallPour
        In order of priority.
    """

    order: Order | None = None
    parts: tuple[Part, ...] = ()
    part_orders: tuple[Order, ...] = ()
    small_pours: tuple[SmallPour, ...] = ()


def plan_delivery(
    terms: Terms | None,
    concrete: Concrete,
    interval: Interval | None,
    *,
    parts: Sequence[Part] = (),
    small_pours: Sequence[SmallPour] = (),
    is_metric: bool,
    level: float,
    learned: Expected | None = None,
    rate: float | None = None,
) -> Delivery:
    """
    Order for a slab and for each of its parts.

    Parameters
    ----------
    terms : Terms or None
    concrete : Concrete
        Of the whole slab.
    interval : Interval or None
        Of its volume; None where it is not known.
    parts : sequence of Part
    small_pours : sequence of SmallPour
        With parts, they wait for the last of them.
    is_metric : bool
    level : float
        Of the ranges that are told.
    learned : Expected, optional
        The factor that earlier jobs lead one to expect.
    rate : float, optional
        As the crew places, m³ an hour.
    """
    pours = tuple(small_pours)
    if terms is None or not terms.is_order:
        return Delivery(parts=tuple(parts), small_pours=pours)

    def place(what: Concrete, share: float, takers: tuple[SmallPour, ...]) -> Order:
        if interval is None:
            need = measure_need(what, terms, survey_sd=None, learned=learned)
        else:
            sd, off = spread_of_share(interval, share)
            survey = _scale(interval, sd, off)
            need = measure_need(what, terms, survey_sd=sd, off=off, survey=survey, learned=learned)
        return place_order(need, terms, is_metric=is_metric, level=level, pours=takers, rate=rate)

    area = sum(part.area for part in parts)
    return Delivery(
        order=place(concrete, 1.0, pours),
        parts=tuple(parts),
        part_orders=tuple(
            place(part.concrete, part.area / area, pours if part is parts[-1] else ())
            for part in parts
        ),
        small_pours=pours,
    )


def _scale(interval: Interval, sd: float, off: float) -> Mixture:
    """Give the distribution of the whole's volume another middle and standard deviation, m³."""
    volume = interval.volume
    share = sd / math.sqrt(volume.variance) if volume.variance > 0 else 0.0
    return Mixture(volume.chance, off + share * (volume.mean - volume.middle), share * volume.sd)


def spread_of_share(interval: Interval, share: float) -> tuple[float, float]:
    """
    One standard deviation of a part's volume, and how far its middle is off the stated one, m³.

    Parameters
    ----------
    interval : Interval
        Of the whole.
    share : float
        Of the area, 0 to 1.

    Returns
    -------
    sd : float
        What all of the slab shares goes by the area, what differs from place to place by its root.
    off : float
        By the area: positive where the middle of the whole's distribution lies above the stated
        volume.
    """
    off = interval.volume.middle - interval.stated
    shared = math.hypot(interval.datum, interval.top)
    own = math.hypot(interval.shots, interval.between_shots)
    return math.hypot(share * shared, math.sqrt(share) * own), share * off
