"""What the live plan is drawn from: the field, the slab and what is marked on it."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from gradevol.answer.drawing import Drawing
from gradevol.answer.drawing.shots import Shots
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES
from gradevol.out.pages.packing import LEVEL, PLAN, choose_unit, encode, pack_field, round_places
from gradevol.out.pages.palette import blend, hex_colours
from gradevol.out.pictures.colours import shades
from gradevol.out.pictures.styles import AREAS, LINES, Stroke

#: Shots that are drawn, at most: more can't be told apart.
MOST_SHOTS = 5000
#: Dots of a screen to a point: CSS px to pt, CSS Values and Units 4, section 6.2 (from memory).
_DOTS = 96 / 72
#: A keyed step over the plan: as a tape is read, m.
_STEP = {True: 0.1, False: 4 * METRES["in"]}


def compose_plan(drawing: Drawing) -> dict[str, Any]:
    """
    Put together what the live plan needs.

    Parameters
    ----------
    drawing : Drawing

    Returns
    -------
    dict
        Lengths are metres about the survey's origin; `metres` makes them the job's.
    """
    slab, units, spots, cast_in = drawing.slab, drawing.units, drawing.spots, drawing.cast_in
    field, shots = drawing.field, drawing.shots
    is_on_slab = shots.is_on_slab
    plan = choose_unit(PLAN, field.corners, shots.places[is_on_slab])
    heights = (shots.level[is_on_slab], shots.departure[is_on_slab])
    level = choose_unit(LEVEL, field.thickness, field.base, *heights)
    return {
        "unit": units.length,
        "metres": METRES[units.length],
        "metric": units.is_metric,
        "step": _STEP[units.is_metric],
        "packed": {"plan": plan, "level": level},
        "origin": drawing.origin.tolist(),
        "design": slab.design,
        "least": slab.least,
        "some_thin": spots.is_thin,
        "grade": {
            "high": drawing.grade.high,
            "low": drawing.grade.low,
            "inches": drawing.grade.in_inches,
        },
        "styles": _styles(),
        "meaning": {entry.mark: entry.short for entry in drawing.captions.key},
        "sense": list(drawing.captions.sense),
        "edge": round_places(slab.edge),
        "counts": [len(path) - 1 for path in slab.paths],
        "names": list(slab.names),
        "outline": _rings(slab.rings),
        "thickenings": [
            {
                "name": part.name,
                "depth": part.depth,
                "surveyed": part.surveyed,
                "rings": _rings(part.rings),
            }
            for part in cast_in.thickenings
        ],
        "lines": [{"name": line.name, "places": round_places(line.path)} for line in cast_in.lines],
        "cover": [{"name": cover.name, "at": cover.at.tolist()} for cover in cast_in.covers],
        "start": list(drawing.field.least_at),
        "spots": [
            {
                "rank": work.rank,
                "kind": work.kind,
                "must": work.is_must,
                "at": _place(work.at),
                "rings": _rings(work.rings),
            }
            for work in spots.works
        ],
        "thin": [_rings(place.rings) for place in spots.thin],
        "shots": _shots(shots, plan, level),
        "next": [{"name": shot.name, "at": _place(shot.at)} for shot in drawing.shots.next],
        "reading": drawing.shots.reading,
        "foot": drawing.shots.foot_high,
        "title": drawing.title,
        **_bands(drawing),
        "field": pack_field(field, plan=plan, level=level),
    }


def _styles() -> dict[str, Any]:
    """Dashes and hatches of the pictures' marks, in dots of a screen."""
    return {
        "dashes": {
            mark: [round(part * _DOTS, 1) for part in style.dashes]
            for mark, style in LINES.items()
            if style.dashes
        },
        "angles": {
            mark: style.angle for mark, style in AREAS.items() if isinstance(style.texture, Stroke)
        },
    }


def _bands(drawing: Drawing) -> dict[str, Any]:
    """Bands of thickness, and those of cut and fill, with their colours."""
    bands, moves = drawing.bands, drawing.moves
    return {
        "thickness": {
            "levels": bands.levels.tolist(),
            "colours": hex_colours(shades(bands.steps)),
            "labels": list(bands.labels),
        },
        "moves": {
            "levels": moves.levels.tolist(),
            "colours": hex_colours(blend(moves.steps)),
            "labels": list(moves.labels),
        },
    }


def _rings(rings: Sequence[FloatArray]) -> list[list[list[float]]]:
    return [round_places(ring) for ring in rings]


def _place(at: FloatArray) -> list[float]:
    return round_places(at[None])[0]


def _shots(shots: Shots, plan: float, level: float) -> dict[str, Any] | None:
    """Shots on the slab, each with what its base lacks; None where they are not drawn."""
    if not 0 < len(shots.names) <= MOST_SHOTS:
        return None
    held = np.flatnonzero(shots.is_on_slab)
    return {
        "names": [shots.names[index] for index in held],
        "places": encode(np.round(shots.places[held] / plan).astype("<i4")),
        "levels": encode(np.round(shots.level[held] / level).astype("<i4")),
        "moves": encode(np.round(shots.departure[held] / level).astype("<i4")),
        "suspects": np.isin(held, shots.suspects).tolist(),
    }
