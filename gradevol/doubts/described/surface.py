"""What a surface file holds: points, faces, and whether it can hold a millimetre."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np

from gradevol.doubts.described.facts import Fact, Inventory, clean, describe_extents, say_error
from gradevol.doubts.finding import Finding
from gradevol.files.drawings.polygons import Polygons, check_polygons, fan_polygons
from gradevol.geometry.covering import cover, find_overlap
from gradevol.geometry.prisms import plan_area
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of, verb_of

#: Steps between coordinates past this lose what is levelled, m; ours, as the reader has it.
_COARSEST = 0.001
#: Of the plan area, the share of faces turned the other way that is more than a slip.
_MIXED = 0.001
#: Of the plan area, the share that faces share which is more than rounding, as a check has it.
_OVER = 1e-6
#: Of more faces it would take long to tell whether they overlap.
_MOST_COVERED = 100_000
#: What is told already of faces that overlap.
_FOLDED = frozenset({"hollow-face", "no-plan-area", "faces-both-ways"})


def describe_surface(
    path: Path, mesh: Polygons, words: str, *, unit: str | None, head: Fact
) -> Inventory:
    """
    Describe a surface, or points without faces.

    Parameters
    ----------
    path : Path
        The file.
    mesh : Polygons
        What it holds, in its own unit.
    words : str
        Its format.
    unit : str or None
        Its unit, where it is known, and in `head` who says so.

    Raises
    ------
    InputError
        If it is damaged or holds no points.
    """
    if len(mesh.points) == 0:
        raise InputError(
            "it holds no points", remedy="Check that this is the right file", path=path
        )
    findings: list[Finding] = []
    triangles: IntArray = np.empty((0, 3), np.intp)
    if len(mesh.sizes):
        check_polygons(replace(mesh, steps=(0.0, 0.0, 0.0)), path, METRES[unit or "m"])
        try:
            triangles = fan_polygons(mesh, path)
        except InputError as error:
            findings.append(Finding("hollow-face", say_error(error)))
    points, faces = count_of(len(mesh.points), "point"), count_of(len(mesh.sizes), "face")
    facts = [
        head,
        Fact("points", "Points", f"{len(mesh.points):,}", len(mesh.points)),
        Fact("faces", "Faces", _say_faces(mesh), len(mesh.sizes)),
    ]
    facts += describe_extents(mesh.points, (3, 3, 3), unit, unit)
    if len(triangles):
        corners = (mesh.points - mesh.points.min(axis=0))[triangles]
        areas = plan_area(corners)
        area, square = float(np.abs(areas).sum()), f" {unit}²" if unit else " unit²"
        facts.append(Fact("area", "Plan area", f"{area:,.2f}{square}", clean(area)))
        findings += _check_faces(areas, len(mesh.points) - len(np.unique(triangles)))
        if len(triangles) <= _MOST_COVERED and not {one.code for one in findings} & _FOLDED:
            findings += _check_overlap(corners, mesh.points.min(axis=0), area, unit)
    elif not len(mesh.sizes):
        text = (
            "It holds points but no faces: it is no surface. Export it with faces, or give the "
            "points as text or LAS."
        )
        findings.append(Finding("no-faces", text))
    is_surface = len(mesh.sizes) > 0
    return Inventory(
        name=path.name,
        kind="surface" if is_surface else "points",
        title=f"a surface of {points} and {faces}, {words}"
        if is_surface
        else f"{points} without faces, {words}",
        facts=tuple(facts),
        findings=(*findings, *check_steps(mesh, unit)),
        looked_at="corners, faces and the way they are turned, whether they overlap, rounding",
    )


def _say_faces(mesh: Polygons) -> str:
    if not len(mesh.sizes):
        return "none: points only"
    sizes, counts = np.unique(mesh.sizes, return_counts=True)
    if len(sizes) == 1:
        kind = "triangles" if sizes[0] == 3 else f"of {sizes[0]} corners"
        return f"{len(mesh.sizes):,}, all {kind}"
    kinds = [f"{count:,} of {size} corners" for size, count in zip(sizes[:4], counts, strict=False)]
    return f"{len(mesh.sizes):,}: {', '.join(kinds)}{' and others' * (len(sizes) > 4)}"


def _check_faces(areas: FloatArray, lost: int) -> Iterator[Finding]:
    up, down = float(areas[areas > 0].sum()), float(-areas[areas < 0].sum())
    if up + down == 0:
        yield Finding("no-plan-area", "Its faces have no area in plan: are two axes swapped?")
        return
    if min(up, down) > _MIXED * (up + down):
        text = (
            f"{100 * min(up, down) / (up + down):.0f} % of its plan area is turned the other way "
            "than the rest: it is a closed body or folds over itself, not one surface seen "
            "from above."
        )
        yield Finding("faces-both-ways", text)
    if lost:
        text = f"{count_of(lost, 'point')} of it {verb_of(lost, 'belong')} to no face."
        yield Finding("points-of-no-face", text)


def _check_overlap(
    corners: FloatArray, first: FloatArray, area: float, unit: str | None
) -> list[Finding]:
    """Faces that lie over one another in plan, though they are turned one way."""
    more = area - cover(corners).area
    if more <= _OVER * area:
        return []
    square = f" {unit}²" if unit else " unit²"
    at = find_overlap(corners)
    near = "" if at is None else ", such as near E {:.2f} N {:.2f}".format(*(at + first[:2]))
    text = (
        f"Faces of it lie over one another in plan, {more:,.2f}{square} of them{near}: it is drawn "
        "twice, or is several surfaces in one. A job refuses it where that lies over its slab."
    )
    return [Finding("faces-overlap", text)]


def check_steps(mesh: Polygons, unit: str | None) -> list[Finding]:
    """Coordinates rounded by single precision, or by too few digits."""
    step = max(mesh.steps)
    if step * METRES[unit or "m"] <= _COARSEST:
        return []
    axis = ("easting", "northing", "elevation")[int(np.argmax(mesh.steps))]
    text = (
        f"Its {axis}s are rounded to steps of {step:.3g}{f' {unit}' if unit else ''}: so large a "
        "coordinate loses its last digits in single precision. Export it with double precision, or "
        "about a local origin that the job uses too."
    )
    return [Finding("rounded-coordinates", text)]
