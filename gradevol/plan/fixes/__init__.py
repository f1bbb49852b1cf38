"""The plan of work: what is put right, where its material goes, and what concrete would cost."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from gradevol.doubts.suspects import Suspect
from gradevol.job.terms import LOOSE, Costs
from gradevol.measures.grading import Grading
from gradevol.plan.fixes.fix import Call, Fix, Found
from gradevol.plan.fixes.fixing import find_fixes
from gradevol.plan.fixes.hauling import Haul, Heap, pair_heaps
from gradevol.plan.fixes.listing import list_fixes
from gradevol.plan.fixes.pricing import (
    CutPrice,
    FillPrice,
    Regrade,
    Sums,
    add_up,
    price_cut,
    price_fill,
    price_regrade,
)
from gradevol.plan.fixes.scraps import sweep_scraps
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey

_Prices: TypeAlias = tuple[FillPrice | CutPrice | None, ...]


@dataclass(frozen=True, slots=True)
class Work:
    """
    The plan of work.

    Attributes
    ----------
    fixes : tuple of Fix
        By rank; the few of most consequence.
    more, more_must : int
        How many more places are worth work, and how many of those must be put right.
    left : int
        How many more are best left.
    scraps : int
        Strips along the edge that a scan's squares make: no lines of work.
    room_beside : float
        In the low places among those that are worth work and not listed, m³.
    hauls : tuple of Haul
        Cuttings that fill low spots.
    cut, fill : float
        Of the work that is done: to cut, and to fill to the design base, bank measure, m³. What
        rests on suspect shots, is left, or is not listed is in neither.
    left_over : float
        Cuttings that no low spot takes, m³.
    wanting : float
        Room in the low spots that no cuttings fill: to be bought, or paid in concrete, m³.
    loose : float
        Loose volume in one volume of bank measure.
    prices : tuple of FillPrice, CutPrice or None
        Of each line of work; empty where the job gives no costs.
    sums : Sums or None
        Of the prices; None where the job gives no costs.
    regrade : Regrade or None
        All of the slab brought to the design base; None where the job gives no costs.
    currency : str
        Stands before an amount.
    """

    fixes: tuple[Fix, ...] = ()
    more: int = 0
    more_must: int = 0
    left: int = 0
    scraps: int = 0
    room_beside: float = 0.0
    hauls: tuple[Haul, ...] = ()
    cut: float = 0.0
    fill: float = 0.0
    left_over: float = 0.0
    wanting: float = 0.0
    loose: float = LOOSE
    prices: _Prices = ()
    sums: Sums | None = None
    regrade: Regrade | None = None
    currency: str = ""


def plan_work(
    found: Found,
    sure: Found,
    *,
    grading: Grading,
    slab: Slab,
    survey: Survey,
    suspects: Sequence[Suspect] = (),
    costs: Costs | None = None,
) -> Work:
    """
    Plan the work.

    Parameters
    ----------
    found : Found
        On the surface of all shots.
    sure : Found
        On the surface without the suspect ones; the same where there are none.
    grading : Grading
        On the same surface as `sure`.
    slab : Slab
    survey : Survey
    suspects : sequence of Suspect
    costs : Costs or None

    Returns
    -------
    Work
        Cuttings of what is shaved anyway go to the nearest low spots first. Where costs are given,
        each low spot is filled or poured, whichever is cheaper; cuttings whose placing costs more
        than the concrete they save go to the next low spot, and are left over where there is none.
    """
    (found, _), (sure, scraps) = (sweep_scraps(held, slab, survey.grain) for held in (found, sure))
    fixes, rest = list_fixes(find_fixes(found, sure, slab=slab, survey=survey, suspects=suspects))
    more = [fix for fix in rest if fix.call != "leave"]
    cuts = [_heap(fix) for fix in fixes if fix.call == "fix" and fix.kind in ("thin", "high")]
    rooms = [_heap(fix) for fix in fixes if fix.call == "either"]
    prices: _Prices = ()
    if costs is None:
        hauls = pair_heaps(cuts, rooms)
    else:
        hauls, prices = _haul_where_it_pays(fixes, cuts, rooms, costs)
        fixes = tuple(map(_decide, fixes, prices))
    moved = sum(haul.volume for haul in hauls)
    cut, fill = (sum(heap.volume for heap in heaps) for heaps in (cuts, rooms))
    return Work(
        fixes=fixes,
        more=len(more),
        more_must=sum(fix.is_must for fix in more),
        left=len(rest) - len(more),
        scraps=scraps,
        room_beside=sum((fix.volume for fix in more if fix.is_fill), 0.0),
        hauls=hauls,
        cut=cut,
        fill=fill,
        left_over=max(cut - moved, 0.0),
        wanting=max(fill - moved, 0.0),
        loose=LOOSE if costs is None else costs.loose,
        prices=prices,
        sums=None if costs is None else add_up(prices, [fix.is_must for fix in fixes]),
        regrade=None if costs is None else price_regrade(grading, slab, costs),
        currency="" if costs is None else costs.currency,
    )


def _haul_where_it_pays(
    fixes: Sequence[Fix], cuts: Sequence[Heap], rooms: Sequence[Heap], costs: Costs
) -> tuple[tuple[Haul, ...], _Prices]:
    """Haul cuttings where they cost less than concrete; a place where they don't leaves its own."""
    poured: dict[int, FillPrice] = {}
    while True:
        hauls = pair_heaps(cuts, [room for room in rooms if room.rank not in poured])
        prices = tuple(poured.get(fix.rank) or _price(fix, hauls, costs) for fix in fixes)
        reached = {haul.target for haul in hauls}
        dear = {
            fix.rank: price
            for fix, price in zip(fixes, prices, strict=True)
            if fix.rank in reached
            and isinstance(price, FillPrice)
            and price.is_choice
            and price.way not in ("cuttings", "both")
        }
        if not dear:
            return hauls, prices
        poured |= dear


def _heap(fix: Fix) -> Heap:
    return Heap(fix.rank, fix.volume, fix.centre)


def _price(fix: Fix, hauls: Sequence[Haul], costs: Costs) -> FillPrice | CutPrice | None:
    if fix.kind == "cover" or fix.call in ("leave", "reshoot"):
        return None
    if not fix.is_fill:
        return price_cut(fix.area, fix.volume, costs)
    cuttings = sum(haul.volume for haul in hauls if haul.target == fix.rank)
    return price_fill(fix.area, fix.volume, min(cuttings, fix.volume), costs)


def _decide(fix: Fix, price: FillPrice | CutPrice | None) -> Fix:
    if not isinstance(price, FillPrice) or not price.is_choice:
        return fix
    call: Call = "pour" if price.way == "pour" else "fix"
    return replace(fix, call=call)
