"""What the live plan is drawn from: the field, the slab and what is marked on it."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from gradevol.answer.compose import Answer
from gradevol.answer.drawing import Drawing
from gradevol.answer.drawing.badges import place_badges
from gradevol.answer.drawing.bands import Bands, Moves
from gradevol.answer.drawing.room import Room
from gradevol.answer.drawing.shots import Shots
from gradevol.answer.drawing.slab import TAPING
from gradevol.answer.notations import Written
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES
from gradevol.out.pages.packing import LEVEL, PLAN, choose_unit, encode, pack_field, round_places
from gradevol.out.pages.palette import blend, hex_colours
from gradevol.out.pictures.colours import shades
from gradevol.out.pictures.styles import AREAS, LINES, Stroke

#: Shots that are drawn, at most: more can't be told apart.
MOST_SHOTS = 5000
#: Dots of a screen to an inch and to a point: CSS px, CSS Values and Units 4, section 6.2 (from
#: memory).
_DOTS_AN_INCH = 96
_DOTS = _DOTS_AN_INCH / 72
#: Room for the slab on the narrowest screen, 320 dots wide, dots; the plan's numbers are placed for
#: it, and for plans so many times as large: a line that leads to one is stretched by no more than
#: from one of them to the next.
_NARROWEST, _LARGER = (232, 172), tuple(2 ** (step / 2) for step in range(9))
#: Room about the slab where a number may stand, in.
_RIM = 0.3
#: Room that is kept about a place that can be touched, a next shot and a suspect one, in.
_CURSOR, _MARK, _RING = 0.28, 0.15, 0.2
#: A keyed step over the plan: as a tape is read, m.
_STEP = {True: 0.1, False: 4 * METRES["in"]}


def compose_plan(answer: Answer) -> dict[str, Any]:
    """
    Put together what the live plan needs.

    Returns
    -------
    dict
        Lengths are metres about the survey's origin; `metres` makes them the job's.
    """
    drawing = answer.drawing
    slab, units, spots, cast_in = drawing.slab, drawing.units, drawing.spots, drawing.cast_in
    field, shots = drawing.field, drawing.shots
    least = float((_NARROWEST / slab.size).min())
    scales = [times * least for times in _LARGER]
    is_on_slab = shots.is_on_slab
    plan = choose_unit(PLAN, field.places, shots.places[is_on_slab])
    heights = (shots.level[is_on_slab], shots.departure[is_on_slab])
    level = choose_unit(LEVEL, field.thickness_at, field.base_at, *heights)
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
        "written": {notation: _words(said) for notation, said in answer.written.items()},
        "edge": round_places(slab.edge),
        "counts": [len(path) - 1 for path in slab.paths],
        "names": list(slab.names),
        "told": list(slab.told),
        "taping": TAPING,
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
                "left": work.is_left,
                "at": _place(work.at),
                "badges": badges,
                "rings": _rings(work.rings),
            }
            for work, *badges in zip(
                spots.works, *(_place_badges(drawing, scale) for scale in scales), strict=True
            )
        ],
        "scales": scales,
        **{
            kind: [_rings(place.rings) for place in places]
            for kind, places in (("thin", spots.thin), ("high", spots.high), ("low", spots.low))
        },
        "shots": _shots(shots, plan, level),
        "next": [{"name": shot.name, "at": _place(shot.at)} for shot in drawing.shots.next],
        "reading": drawing.shots.reading,
        "foot": drawing.shots.foot_high,
        "title": drawing.title,
        "colours": {
            "thickness": hex_colours(shades(drawing.bands.steps)),
            "moves": hex_colours(blend(drawing.moves.steps)),
        },
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


def _words(said: Written) -> dict[str, Any]:
    """What the plan's keys say in one notation of lengths, and where the bands are parted."""
    captions = said.captions
    return {
        "meaning": {entry.mark: entry.short for entry in captions.key},
        "sense": list(captions.sense),
        "thickness": _scale(captions.scale, said.bands),
        "moves": _scale(captions.moves, said.moves),
    }


def _scale(heading: str, bands: Bands | Moves) -> dict[str, Any]:
    return {"heading": heading, "levels": bands.levels.tolist(), "labels": list(bands.labels)}


def _place_badges(drawing: Drawing, scale: float) -> list[list[float] | None]:
    """Places of the works' numbers on a plan at so many dots to a metre; None without room."""
    slab, spots, shots = drawing.slab, drawing.spots, drawing.shots
    inches = scale / _DOTS_AN_INCH
    corner = slab.edge.min(axis=0) - _RIM / inches

    def on_paper(rings: Sequence[FloatArray]) -> list[FloatArray]:
        return [(ring - corner) * inches for ring in rings]

    room = Room.over(*(slab.size * inches + 2 * _RIM))
    marked = np.array([work.at for work in spots.works]).reshape(-1, 2)
    suspects = shots.places[shots.suspects]
    kept = ((marked, _CURSOR), (shots.next_places, _MARK), (suspects, _RING))
    for places, wide in kept:
        for x, y in (places - corner) * inches:
            room.take(x, y, wide, wide)
    middles = place_badges(
        (marked - corner) * inches,
        [on_paper(work.rings) for work in spots.works],
        [on_paper(rings) for rings in spots.outlines],
        on_paper(slab.rings),
        room,
    )
    return [None if at is None else _place(at / inches + corner) for at in middles]


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
        "names": [shots.names[index] for index in held.tolist()],
        "places": encode(np.round(shots.places[held] / plan).astype("<i4")),
        "levels": encode(np.round(shots.level[held] / level).astype("<i4")),
        "moves": encode(np.round(shots.departure[held] / level).astype("<i4")),
        "suspects": np.isin(held, shots.suspects).tolist(),
    }
