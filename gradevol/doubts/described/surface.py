"""What a surface file holds: points, faces, and whether it can hold a millimetre."""

from dataclasses import replace
from pathlib import Path

import numpy as np

from gradevol.doubts.described.facts import (
    Fact,
    Finding,
    Inventory,
    clean,
    describe_extents,
    describe_unit,
    say_count,
)
from gradevol.files.obj import read_obj
from gradevol.files.polygons import Polygons, check_polygons, fan_polygons
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

#: Steps between coordinates past this lose what is levelled, m; ours, as the reader has it.
_COARSEST = 0.001
#: Of the plan area, the share of faces turned the other way that is more than a slip.
_MIXED = 0.001


def describe_obj(path: Path, *, unit: str | None) -> Inventory:
    """Describe an OBJ file; see `describe_polygons`."""
    return describe_polygons(path, read_obj(path, path.read_bytes()), "OBJ", unit=unit)


def describe_faces(
    path: Path,
    points: FloatArray,
    triangles: IntArray,
    words: str,
    *,
    unit: str | None,
    source: str = "as you say",
) -> Inventory:
    """Describe points (p, 3) in the file's own unit and triangles (t, 3) of them."""
    sizes = np.full(len(triangles), 3, np.intp)
    mesh = Polygons(points, triangles.reshape(-1), sizes)
    return describe_polygons(path, mesh, words, unit=unit, source=source)


def describe_polygons(
    path: Path, mesh: Polygons, words: str, *, unit: str | None, source: str = "as you say"
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
        Its unit, where it is known, and in `source` who says so.

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
    metres = METRES[unit] if unit else 1.0
    if len(mesh.sizes):
        check_polygons(replace(mesh, steps=(0.0, 0.0, 0.0)), path, metres)
        try:
            triangles = fan_polygons(mesh, path)
        except InputError as error:
            why = str(error).removeprefix(f"{path}: ")
            findings.append(Finding("hollow-face", why[0].upper() + why[1:]))
    points = say_count(len(mesh.points), "point")
    faces = say_count(len(mesh.sizes), "face")
    facts = [
        describe_unit(unit, source),
        Fact("points", "Points", f"{len(mesh.points):,}", len(mesh.points)),
        Fact("faces", "Faces", _say_faces(mesh), len(mesh.sizes)),
    ]
    facts += describe_extents(mesh.points, ("easting", "northing", "elevation"), (3, 3, 3), unit)
    if len(triangles):
        facts += _describe_area(mesh.points, triangles, unit)
        findings += _check_faces(mesh.points, triangles)
    elif not len(mesh.sizes):
        text = (
            "It holds points but no faces: it is no surface. Export it with faces, or give the "
            "points as text or LAS."
        )
        findings.append(Finding("no-faces", text))
    findings += check_steps(mesh, unit)
    return Inventory(
        name=path.name,
        kind="surface" if len(mesh.sizes) else "points",
        title=f"a surface of {points} and {faces}, {words}"
        if len(mesh.sizes)
        else f"{points} without faces, {words}",
        facts=tuple(facts),
        findings=tuple(findings),
        looked_at="corners, faces and the way they are turned, rounding",
    )


def _say_faces(mesh: Polygons) -> str:
    if not len(mesh.sizes):
        return "none: points only"
    sizes, counts = np.unique(mesh.sizes, return_counts=True)
    if len(sizes) == 1 and sizes[0] == 3:
        return f"{len(mesh.sizes):,}, all triangles"
    if len(sizes) == 1:
        return f"{len(mesh.sizes):,}, all of {sizes[0]} corners"
    kinds = [f"{count:,} of {size} corners" for size, count in zip(sizes[:4], counts, strict=False)]
    return f"{len(mesh.sizes):,}: {', '.join(kinds)}{' and others' * (len(sizes) > 4)}"


def _signed_areas(points: FloatArray, triangles: IntArray) -> FloatArray:
    """Plan area of each triangle, positive where its face is turned up."""
    plan = points[:, :2] - points[:, :2].min(axis=0)
    one, two, three = np.moveaxis(plan[triangles], 1, 0)
    b, c = two - one, three - one
    areas: FloatArray = (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0]) / 2
    return areas


def _describe_area(points: FloatArray, triangles: IntArray, unit: str | None) -> list[Fact]:
    area = float(np.abs(_signed_areas(points, triangles)).sum())
    square = f" {unit}²" if unit else " unit²"
    return [Fact("area", "Plan area", f"{area:,.2f}{square}", clean(area))]


def _check_faces(points: FloatArray, triangles: IntArray) -> list[Finding]:
    findings = []
    areas = _signed_areas(points, triangles)
    up, down = float(areas[areas > 0].sum()), float(-areas[areas < 0].sum())
    if up + down == 0:
        return [Finding("no-plan-area", "Its faces have no area in plan: are two axes swapped?")]
    if min(up, down) > _MIXED * (up + down):
        text = (
            f"{min(up, down) / (up + down):.0%} of its plan area is turned the other way than the "
            "rest: it is a closed body or folds over itself, not one surface seen from above."
        )
        findings.append(Finding("faces-both-ways", text))
    lost = len(points) - len(np.unique(triangles))
    if lost:
        text = f"{say_count(lost, 'point')} of it belong{'s' * (lost == 1)} to no face."
        findings.append(Finding("points-of-no-face", text))
    return findings


def check_steps(mesh: Polygons, unit: str | None) -> list[Finding]:
    """Coordinates rounded by single precision, or by too few digits."""
    step = max(mesh.steps)
    if step * (METRES[unit] if unit else 1.0) <= _COARSEST:
        return []
    axis = ("easting", "northing", "elevation")[int(np.argmax(mesh.steps))]
    text = (
        f"Its {axis}s are rounded to steps of {step:.3g}{f' {unit}' if unit else ''}: so large a "
        "coordinate loses its last digits in single precision. Export it with double precision, or "
        "about a local origin that the job uses too."
    )
    return [Finding("rounded-coordinates", text)]
