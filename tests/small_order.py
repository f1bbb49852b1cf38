"""An invented order: what is needed, prices, small pours."""

import math

from gradevol.ground.units import CUBIC_YARD, Units
from gradevol.job.terms import Costs, SmallPour
from gradevol.measures.concrete import Concrete
from gradevol.plan.order import place_order
from gradevol.plan.order.need import Line, Need

FEET = Units.of_job("ft")
PAD = SmallPour("pad", 80 * 5 / 12 / 27 * CUBIC_YARD)
BASES = SmallPour("base", math.pi / 4 * 1.5**2 * 4 / 27 * CUBIC_YARD, 3)
COSTS = Costs(
    concrete=168 / CUBIC_YARD, returned=60 / CUBIC_YARD, short=1280, short_rate=95 / CUBIC_YARD
)


def need_of(mean=74.84, sd=1.27):
    """An invented need in cubic yards: so much, give or take."""
    sure = mean * CUBIC_YARD
    line = Line("slab", "slab", sure)
    return Need((line,), sure, sure, None if sd is None else sd * CUBIC_YARD, 0.0)


def order_of(terms, *pours, need=None, level=0.8):
    return place_order(need or need_of(), terms, is_metric=False, level=level, pours=pours)


def yards(volume):
    return volume / CUBIC_YARD


def concrete_of(slab, *parts):
    beams = sum(volume for _, volume in parts)
    return Concrete(slab + beams, slab, beams, 0.0, 0.0, 0.0, slab, parts)
