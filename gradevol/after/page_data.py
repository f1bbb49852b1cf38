"""What a page needs to follow a pour by itself, with the arithmetic of this package: plain data."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from statistics import NormalDist
from typing import Any

import shapely

from gradevol.after.call import NOTHING, find_trucks
from gradevol.after.forecast import CLEAR, LIMIT, OFF_SLAB
from gradevol.after.fronts import AT_CORNER, Edge
from gradevol.after.joint import EVENLY
from gradevol.after.load_times import FIRST_OFF, NEXT_AHEAD, NEXT_TAKES
from gradevol.after.model import PourModel
from gradevol.after.pieces import list_pieces
from gradevol.after.poured import ALL, FORMED, FULL, GUESSED, LEAST, MEASURED, PARTLY
from gradevol.after.progress import ALIKE, DONE, EVEN, set_noise, set_prior
from gradevol.after.rooms import measure_rooms
from gradevol.files.tables.table import Table
from gradevol.files.tickets.columns import TicketLayout, find_ticket_columns
from gradevol.files.tickets.fronts import find_slack
from gradevol.files.tickets.rows import CLOSE
from gradevol.files.tickets.units import BARE, UNITS
from gradevol.ground.arrays import number_rows
from gradevol.ground.units import CUBIC_YARD, METRES
from gradevol.job.placing import Placing
from gradevol.job.terms import RISK, SmallPour, Terms
from gradevol.plan.order import bound_order, choose_plant, choose_way
from gradevol.plan.order.cost import MOST_WEIGHED
from gradevol.plan.order.expected import Expected
from gradevol.plan.order.loads import NEARLY
from gradevol.plan.order.need import Need

#: Columns of the tickets file that a page gives out, before and behind those of the fronts.
_BEFORE, _BEHIND = (
    ("load", "ticket", "volume", "finished"),
    ("done", "went_to", "returned", "called"),
)

#: Of the modules named above: the page judges by the very numbers of this package.
_CONSTANTS = {
    "ALIKE": ALIKE,
    "AT_CORNER": AT_CORNER,
    "CLEAR": CLEAR,
    "CUBIC_YARD": CUBIC_YARD,
    "DONE": DONE,
    "EVEN": EVEN,
    "EVENLY": EVENLY,
    "FORMED": FORMED,
    "LIMIT": LIMIT,
    "MOST_WEIGHED": MOST_WEIGHED,
    "NEARLY": NEARLY,
    "NOTHING": NOTHING,
    "OFF_SLAB": OFF_SLAB,
    "PARTLY": float(PARTLY),
}


def list_page_data(
    model: PourModel,
    expected: Expected,
    *,
    start: int | None,
    zones: Mapping[str, shapely.Geometry],
    terms: Terms,
    placing: Placing,
    small: Sequence[SmallPour],
    released: float,
    need: Need | None = None,
    is_metric: bool,
    level: float,
) -> dict[str, Any]:
    """
    List what a page needs to follow a pour, in metres; parameters as of `progress.follow`.

    Returns
    -------
    dict
        Plain data, but for the arrays of ``pieces``. `progress.follow` and what it calls show the
        arithmetic.
    """
    prior, noise = (
        set_prior(model, expected, terms),
        set_noise(placing, terms, thickness=model.slab.thickness),
    )
    slab, pieces = model.slab, list_pieces(model)
    nodes, faces = number_rows(pieces.corners.reshape(-1, 3))
    rooms = measure_rooms(zones, model)
    edge = None if start is None else Edge(slab, start)
    spans = [
        edge.find_span(side, model.zone) if edge is not None and side != start else None
        for side in range(1, len(slab.paths) + 1)
    ]
    return {
        "start": start,
        "is_exact": pieces.is_exact,
        "sides": [
            {
                "path": path.tolist(),
                "span": span,
                "slack": find_slack(length),
            }
            for path, length, span in zip(slab.paths, slab.lengths.tolist(), spans, strict=True)
        ],
        "rings": _rings(slab.outline),
        "zones": {
            name: _rings(zone)
            for name, zone in zones.items()
            if shapely.intersection(zone, model.zone).area > 0
        },
        "rooms": {"volumes": dict(rooms.volumes), "unnamed": rooms.unnamed},
        "pieces": {"nodes": nodes, "faces": faces.ravel(), "own": pieces.own},
        "voids": [{"line": run.tolist(), "density": density} for run, density in pieces.lines],
        "flat": pieces.flat,
        "volume": model.volume,
        "area": float(model.zone.area),
        "prior": {name: getattr(prior, name) for name in prior.__slots__},
        "noise": {name: getattr(noise, name) for name in noise.__slots__},
        "constants": _CONSTANTS,
        "returned": {"measured": [MEASURED, 0.0], "guessed": [GUESSED, LEAST], "all": ALL},
        "full": [FULL, CLOSE],
        "pours": [
            {"name": each.name, "volume": each.volume, "count": each.count}
            | {"partial": each.is_partial}
            for each in small
        ],
        "released": released,
        "need": _list_need(need, terms),
        "carries": placing.carries,
        "rate": placing.rate,
        "trucks": find_trucks(terms, is_metric=is_metric),
        "notice": terms.notice,
        "begins": terms.start,
        "times": {"first": FIRST_OFF, "ahead": NEXT_AHEAD, "after": NEXT_TAKES},
        "reach": NormalDist().inv_cdf((1 + level) / 2),
        **_list_terms(terms, is_metric=is_metric),
    }


def _list_terms(terms: Terms, *, is_metric: bool) -> dict[str, Any]:
    """How the balance is chosen: as `call.size_call` and `order.place_order` do."""
    plant = choose_plant(terms, is_metric=is_metric)
    costs, bound = choose_way(terms)
    risk = terms.risk if terms.risk is not None else RISK
    return {
        "risk": {"given": risk, "reach": NormalDist().inv_cdf(1 - risk)},
        "plant": {
            "step": plant.step,
            "most": plant.most,
            "least": plant.least,
            "fair": plant.fair,
            "short_load": plant.short_load,
            "bound": bound and {"risk": bound, "reach": NormalDist().inv_cdf(1 - bound)},
            "costs": costs
            and {
                "left_over": costs.left_over,
                "short": costs.short or 0.0,
                "short_rate": costs.short_rate or 0.0,
                "short_load": costs.short_load or 0.0,
            },
        },
    }


def _list_need(need: Need | None, terms: Terms) -> dict[str, Any] | None:
    """What the order is made for; `least` is how far beyond it that reaches at the given risk."""
    if need is None or (spread := need.spread) is None:
        return None
    bound = choose_way(terms)[1]
    least = 0.0 if bound is None else bound_order(need, spread, bound) - need.mean
    return {"mean": need.mean, "off": need.off, "sd": spread.sd, "least": least}


def _rings(zone: shapely.Geometry) -> list[list[list[float]]]:
    """Rings of a polygon or several, each without its last place, which is its first."""
    parts = [part for part in shapely.get_parts(zone) if isinstance(part, shapely.Polygon)]
    rings = [ring for part in parts for ring in (part.exterior, *part.interiors)]
    return [shapely.get_coordinates(ring)[:-1].tolist() for ring in rings]


def list_file_columns(
    layout: TicketLayout, sides: Sequence[int], *, unit: str, is_metric: bool
) -> list[dict[str, Any]]:
    """
    List the columns of the tickets file that a page gives out, headed as the job has them.

    Parameters
    ----------
    layout : TicketLayout
        What the job says of its tickets' headings: it finds each of them.
    sides : sequence of int
        Along which fronts are taped, beside those of the layout.
    unit : str
        The job's, a key of `METRES`.
    is_metric : bool

    Returns
    -------
    list of dict
        ``kind``, ``text``, ``factor`` (what 1 is in SI) and, of fronts, ``side`` and ``far``.
    """
    volume = BARE["volume"][is_metric]
    length = unit if unit in METRES else "ft"
    own = {kind: f"{kind}_{volume}" for kind in ("volume", "returned", "called")}
    kinds = (*_BEFORE, *_BEHIND, *(kind for kind in layout.headings if kind not in own))
    names = {kind: layout.headings.get(kind, own.get(kind, kind)) for kind in dict.fromkeys(kinds)}
    mapped = {front.side: front.heading for front in layout.fronts}
    if len(mapped) < 2:  # two make a line across
        mapped |= {side: f"front_{side}_{length}" for side in sides if side not in mapped}
    header = (*names.values(), *mapped.values())
    columns, found, _ = find_ticket_columns(
        Table(Path(), header, (), (), ",", "utf-8", "."), layout
    )
    bare = UNITS["volume"][volume]
    told = {
        kind: {"kind": kind, "text": column.text, "factor": column.factor or bare}
        for kind, column in columns.items()
    }
    taped = [
        {"kind": "front", "text": column.text, "side": column.side, "far": column.is_from_far}
        | {"factor": column.factor or METRES[unit]}
        for column in found
    ]
    more = [told[kind] for kind in told if kind not in {*_BEFORE, *_BEHIND}]
    return [
        *(told[kind] for kind in _BEFORE),
        *taped,
        *(told[kind] for kind in _BEHIND),
        *more,
    ]
