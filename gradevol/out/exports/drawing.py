"""The drawing: what lies on which layer of the DXF."""

from collections.abc import Iterator
from typing import Any

import numpy as np

from gradevol.answer.compose import Answer
from gradevol.answer.surfaces import Surfaces
from gradevol.out.exports.dxf import Dot, Faces, Item, Label, Line

#: Layers and their colours by number; outlines and lines of thickness lie at elevation 0.
LAYERS = {
    "BASE": 8,
    "TOP": 9,
    "EDGE": 7,
    "THIN": 1,
    "HIGH": 30,
    "LOW": 5,
    "CONTOUR": 36,
    "THICKNESS": 3,
    "SHOTS": 2,
}


def list_items(answer: Answer, surfaces: Surfaces) -> list[Item]:
    """List what the drawing shows, in the job's coordinates and unit."""
    height = float(np.ptp(surfaces.edge, axis=0).max()) / 150
    items: list[Item] = [Faces("BASE", surfaces.base), Faces("TOP", surfaces.top)]
    items += [Line("EDGE", ring, is_closed=True) for outer in surfaces.outline for ring in outer]
    items += _spots(answer.plain(), height)
    for contour in surfaces.contours:
        items += [Line("CONTOUR", line, elevation=contour.level) for line in contour.lines]
    items += _thickness_lines(surfaces, height)
    return [*items, *_shots(surfaces, height)]


def _spots(view: dict[str, Any], height: float) -> Iterator[Item]:
    """Outlines of the spots; the worst place of each line of work, and its name in the fix list."""
    for layer, spots in (
        ("THIN", view["thin"]["spots"]),
        ("HIGH", view["grading"].get("high_spots", [])),
        ("LOW", view["grading"].get("low_spots", [])),
    ):
        for spot in spots:
            for ring in spot["outline"]:
                yield Line(layer, np.array(ring), is_closed=True)
    for fix in view["fix"]:
        if fix["kind"] != "cover":  # what is cast in is lowered, not the base
            layer = fix["kind"].upper()
            yield Dot(layer, fix["at"])
            yield Label(layer, fix["at"], f"FIX{fix['rank']}", height)


def _thickness_lines(surfaces: Surfaces, height: float) -> Iterator[Item]:
    """Lines of equal thickness, each level named once."""
    for level in surfaces.thickness_lines:
        for number, line in enumerate(level.lines):
            yield Line("THICKNESS", line)
            if number == 0:  # the longest
                middle = (*line[len(line) // 2].tolist(), 0.0)
                yield Label("THICKNESS", middle, level.words, height)


def _shots(surfaces: Surfaces, height: float) -> Iterator[Item]:
    """Shots as measured, with their names; points of a cloud have none and are left out."""
    for name, place in zip(surfaces.names, surfaces.shots.tolist(), strict=False):
        yield Dot("SHOTS", place)
        yield Label("SHOTS", place, name, height)
