"""What the live plan is drawn from: the field, the slab and what is marked on it."""

from typing import Any

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.answer.setting_out import find_stakes
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES
from gradevol.out.pages.packing import LEVEL, PLAN, encode, pack_field, round_places
from gradevol.out.pages.palette import choose_moves, hex_colours
from gradevol.out.pictures.bands import Bands, choose_bands, say_level
from gradevol.out.pictures.shots import find_next
from gradevol.site.thickening import outline_at

#: Shots that are drawn, at most: more can't be told apart.
MOST_SHOTS = 5000
#: Corners of all outlines together, at most; more are drawn with fewer corners.
MOST_CORNERS = 20_000
#: A keyed step over the plan: as a tape is read, m.
_STEP = {True: 0.1, False: 4 * METRES["in"]}


def compose_plan(view: dict[str, Any], result: Result) -> dict[str, Any]:
    """
    Put together what the live plan needs.

    Parameters
    ----------
    view : dict
        From `present`.
    result : Result
        The same result.

    Returns
    -------
    dict
        Lengths are metres about the survey's origin; `metres` makes them the job's.
    """
    slab, units, bands = result.slab, result.units, choose_bands(result)
    return {
        "unit": units.length,
        "metres": METRES[units.length],
        "metric": units.is_metric,
        "step": _STEP[units.is_metric],
        "packed": {"plan": PLAN, "level": LEVEL},
        "origin": [float(x) for x in result.survey.origin],
        "design": slab.thickness,
        "least": slab.least_thickness,
        "some_thin": result.thin.area > 0,
        "high": slab.base_high,
        "low": slab.base_low,
        "edge": round_places(slab.edge),
        "names": list(slab.side_names),
        "outline": _rings(slab.outline),
        "thickenings": [
            {
                "name": part.name,
                "depth": part.depth,
                "surveyed": part.surveyed,
                "rings": _rings(outline_at(part, slab, out=part.side_slope * part.depth)),
            }
            for part in slab.thickenings
        ],
        "lines": [
            {"name": void.name, "places": round_places(void.line[:, :2])}
            for void in slab.voids
            if void.line is not None
        ],
        "cover": [
            {"name": cover.name, "at": list(cover.at)} for cover in result.cover if cover.short > 0
        ],
        "start": list(result.thickness.min_at),
        **_outlines(result),
        "shots": _shots(result),
        "next": _next(view, result),
        "thickness": _bands(bands, result),
        "moves": choose_moves(bands, result),
        "field": pack_field(result.field),
    }


def _bands(bands: Bands, result: Result) -> dict[str, Any]:
    return {
        "levels": bands.levels.tolist(),
        "colours": hex_colours(bands.colours),
        "labels": [say_level(level, result.units) for level in bands.levels],
        "open": [bands.is_open_below, bands.is_open_above],
    }


def _rings(shape: shapely.Geometry) -> list[list[list[float]]]:
    polygons = [part for part in shapely.get_parts(shape) if part.area > 0]
    rings = [ring for part in polygons for ring in shapely.get_rings(part)]
    return [round_places(shapely.get_coordinates(ring)[:-1]) for ring in rings]


def _outlines(result: Result) -> dict[str, list[Any]]:
    """Outlines of the lines of work, with their worst places, and those of what is thin."""
    fixes, thin = result.work.fixes, result.thin.listed
    given = [[*fix.rings] for fix in fixes] + [[*spot.rings] for spot in thin]
    outlines = _bound(given, float(np.sqrt(result.slab.area)))
    return {
        "spots": [
            {
                "rank": fix.rank,
                "kind": fix.kind,
                "must": fix.is_must,
                "at": round_places(np.array([fix.at[:2]]))[0],
                "rings": rings,
            }
            for fix, rings in zip(fixes, outlines, strict=False)
        ],
        "thin": outlines[len(fixes) :],
    }


def _bound(outlines: list[list[FloatArray]], size: float) -> list[list[list[list[float]]]]:
    """
    Outlines with no more than `MOST_CORNERS` corners together, none moved far.

    Parameters
    ----------
    outlines : list of list of (n, 2) arrays
        Rings of each place, m.
    size : float
        Of the slab, m: a five-hundredth of it is below what is seen on a phone.

    Returns
    -------
    list of list of list of (easting, northing)
        As given where they are few. Else the tolerance begins there and grows until they are: rings
        within it are left out, but for the largest of each place.
    """
    tolerance = 0.0
    while sum(len(ring) for rings in outlines for ring in rings) > MOST_CORNERS:
        tolerance = 2 * tolerance or size / 500
        if tolerance > size:
            break  # so many places that a corner of each is too much: there are not so many
        outlines = [_thin_out(rings, tolerance) for rings in outlines]
    digits = 3 if tolerance else None
    return [[round_places(ring, digits=digits) for ring in rings] for rings in outlines]


def _thin_out(rings: list[FloatArray], tolerance: float) -> list[FloatArray]:
    """Rings with fewer corners, none moved further than `tolerance`, m; small ones left out."""
    sizes = [float(np.ptp(ring, axis=0).max()) for ring in rings]
    kept = [
        ring
        for ring, size in zip(rings, sizes, strict=True)
        if size > tolerance or size == max(sizes)
    ]
    return [_straighten(ring, tolerance) if len(ring) >= 8 else ring for ring in kept]


def _straighten(ring: FloatArray, tolerance: float) -> FloatArray:
    closed = shapely.simplify(shapely.LinearRing(ring), tolerance)
    return np.asarray(shapely.get_coordinates(closed)[:-1])


def _next(view: dict[str, Any], result: Result) -> list[dict[str, Any]]:
    """Where to shoot next, each by the name it has in the lists."""
    planned = view.get("next_shots", {"thin": (), "volume": ()})
    names = [shot["name"] for shot in (*planned["thin"], *planned["volume"])]
    places = round_places(find_next(result))
    return [{"name": name, "at": at} for name, at in zip(names, places, strict=True)]


def _shots(result: Result) -> dict[str, Any] | None:
    """Shots on the slab, each with what its base lacks; None where they are not drawn."""
    if not 0 < len(result.survey.ids) <= MOST_SHOTS:
        return None
    stakes = find_stakes(result)
    return {
        "names": list(stakes.names),
        "places": encode(np.round(stakes.places / PLAN).astype("<i4")),
        "moves": encode(np.round((stakes.base - stakes.design) / LEVEL).astype("<i4")),
        "suspects": stakes.is_suspect.tolist(),
    }
