"""The account: where the concrete on the tickets went, row by row."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, TypeAlias

import numpy as np
import shapely

from gradevol.after.likely import Likely, weigh_rows
from gradevol.after.poured import Poured, doubt_returned
from gradevol.after.yields import Yield
from gradevol.files.tickets.table import Load
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import CUBIC_YARD
from gradevol.job.terms import Terms
from gradevol.measures.concrete import Concrete
from gradevol.site.slab import Slab

#: What a row rests on; `rest` is what no row explains.
Basis: TypeAlias = Literal["measured", "stated", "assumed", "rest"]

#: Rows that make up what was ticketed, in their order.
PARTS = ("yield", "returned", "small_pours", "neat", "base", "top", "edges", "spill", "unresolved")
KEYS = ("ticketed", *PARTS)

#: One standard deviation of what was sent back where no ticket tells of any, 0.1 yd³, m³: a
#: judgement, no source.
UNTOLD = 0.1 * CUBIC_YARD
#: What forms give way outwards, on the mean over their height, and one standard deviation of it,
#: 1/8 in and 3/16 in, m: common practice, no source.
BULGE, BULGE_SIGMA = 0.0032, 0.0048
#: What lies this near to a side is on it, m.
_ON_SIDE = 1e-6
#: Share of the concrete in place that is spilt, over-dug or left in the drum, where the job does
#: not say, and how unsure a share is, of itself: common practice, no source.
WASTE, WASTE_DOUBT = 0.01, 0.5
#: Hours without a load after which a pump was washed out; common practice, no source.
_PAUSE = 4.0
#: What no row explains, one standard deviation as a share of the concrete in place, where the job
#: states no settlement: a judgement, no source.
UNEXPLAINED = 0.01


@dataclass(frozen=True, slots=True)
class Row:
    """
    One row.

    Attributes
    ----------
    key : str
        One of `KEYS`.
    volume, sigma : float
        What it took and one standard deviation of it, m³.
    """

    key: str
    volume: float
    sigma: float
    basis: Basis


@dataclass(frozen=True, slots=True)
class Account:
    """
    The account.

    Attributes
    ----------
    rows : tuple of Row
        ``ticketed`` first, which is the sum of all others.
    likely : Likely
        The rows of `PARTS` after weighing.
    settlement : float
        What the job expects the base to take up by giving way, m³: where the weighing of what is
        unresolved starts from.
    waste : float
        Share of the concrete in place taken as spilt.
    pump : float
        What stayed in a pump, each time that it was filled, m³; in the row of what is spilt.
    formed : float
        Area of the sides that stand against forms, m².
    bulge : float
        How far these are taken to stand out, m.
    """

    rows: tuple[Row, ...]
    likely: Likely
    settlement: float
    waste: float
    is_waste_stated: bool
    pump: float
    formed: float
    bulge: float = BULGE

    def row(self, key: str) -> Row:
        """Return the row of a key."""
        return next(row for row in self.rows if row.key == key)


def draw_up_account(
    loads: Sequence[Load],
    *,
    poured: Poured,
    measured: Yield,
    concrete: Concrete,
    slab: Slab,
    flush_sides: Sequence[int],
    zone: shapely.Geometry | None = None,
    terms: Terms | None,
    over: float,
    moved: FloatArray,
    covariance: FloatArray,
    is_top_shot: bool,
) -> Account:
    """
    Draw up the account.

    Parameters
    ----------
    loads : sequence of Load
        Those that count.
    poured : Poured
        What went into small pours.
    measured : Yield
    concrete : Concrete
        Under the design top, over the base as shot.
    slab : Slab
    flush_sides : sequence of int
        Sides that stand against what was there already.
    zone : shapely geometry, optional
        The part of the slab that was poured, m; the concrete is of that.
    terms : Terms or None
    over : float
        What the finished top adds to it, m³.
    moved : (2,) array of float
        What cores add to base and top, m³.
    covariance : (2, 2) array of float
        Of base and top, m⁶.
    is_top_shot : bool
    """
    ticketed = float(sum(load.volume for load in loads))
    neat = concrete.drawn
    back, back_sigma, back_basis = _add_returned(loads)
    terms = terms or Terms()
    share = WASTE if terms.waste is None else terms.waste
    pump = _count_setups(loads) * terms.pump.held if terms.pump else 0.0
    formed = _measure_formed(slab, zone, flush_sides)
    spilt = share * concrete.volume
    short = 0.0 if measured.ratio is None else (1 - measured.ratio) * ticketed
    sigmas = np.sqrt(np.maximum(np.diag(covariance), 0.0)).tolist()
    rows = [
        Row(
            "yield",
            short,
            measured.sigma * ticketed,
            "assumed" if measured.ratio is None else "measured",
        ),
        Row("returned", back, back_sigma, back_basis),
        Row("small_pours", poured.volume, poured.sigma, "stated"),
        Row("neat", neat, 0.0, "stated"),
        Row("base", concrete.volume - neat + float(moved[0]), sigmas[0], "measured"),
        Row("top", over + float(moved[1]), sigmas[1], "measured" if is_top_shot else "assumed"),
        Row("edges", formed * BULGE, formed * BULGE_SIGMA, "assumed"),
        Row("spill", spilt + pump, WASTE_DOUBT * spilt, "assumed"),
    ]
    whole = np.diag([row.sigma**2 for row in rows])
    base = [row.key for row in rows].index("base")
    whole[base : base + 2, base : base + 2] = covariance
    rest = ticketed - sum(row.volume for row in rows)
    rows.append(Row("unresolved", rest, float(np.sqrt(max(whole.sum(), 0.0))), "rest"))
    settlement = (terms.settlement or 0.0) * concrete.volume
    doubt = WASTE_DOUBT * settlement if settlement else UNEXPLAINED * concrete.volume
    return Account(
        rows=(Row("ticketed", ticketed, 0.0, "stated"), *rows),
        likely=_weigh(rows, whole, ticketed, (settlement, doubt)),
        settlement=settlement,
        waste=share,
        is_waste_stated=terms.waste is not None,
        pump=pump,
        formed=formed,
    )


def _weigh(
    rows: Sequence[Row], covariance: FloatArray, ticketed: float, rest: tuple[float, float]
) -> Likely:
    """Weigh the rows: of the last nothing was found but what is usual, (volume, sigma)."""
    volume = np.array([row.volume for row in rows])
    volume[-1] = rest[0]
    whole = np.zeros((len(rows), len(rows)))
    whole[:-1, :-1], whole[-1, -1] = covariance, rest[1] ** 2
    return weigh_rows(volume, whole, ticketed)


def _add_returned(loads: Sequence[Load]) -> tuple[float, float, Basis]:
    """What was sent back, one standard deviation, and on what that rests."""
    amounts = [load.returned for load in loads if load.returned is not None]
    if not amounts:
        return 0.0, UNTOLD, "assumed"
    is_measured = not any(part.is_estimate for part in amounts)
    return (
        float(sum(part.value for part in amounts)),
        float(np.linalg.norm([doubt_returned(load) for load in loads])),
        "measured" if is_measured else "stated",
    )


def _count_setups(loads: Sequence[Load]) -> int:
    """How often a pump was filled: on each day, but for a pour that went on past midnight."""
    count = int(bool(loads))
    for last, load in pairwise(loads):
        before, after = last.times, load.times
        goes_on = bool(before and after) and min(after) - max(before) < _PAUSE
        count += load.day != last.day and not goes_on
    return count


def _measure_formed(slab: Slab, zone: shapely.Geometry | None, flush_sides: Sequence[int]) -> float:
    """Area of what stands against forms, openings too, and what parts it from other pours, m²."""
    edge = (slab.outline if zone is None else zone).boundary
    flush = [shapely.LineString(slab.paths[side - 1]) for side in flush_sides]
    if flush:
        edge = shapely.difference(edge, shapely.union_all(shapely.buffer(flush, _ON_SIDE)))
    return float(edge.length) * slab.thickness
