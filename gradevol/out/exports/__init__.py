"""Exports: a result for other programs, in open formats."""

from collections.abc import Callable, Collection
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from gradevol.answer.drawing.bands import choose_bands
from gradevol.answer.drawing.sampling import sample
from gradevol.answer.result import Result
from gradevol.answer.rounding import LENGTH
from gradevol.answer.setting_out import find_stakes
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES
from gradevol.out.exports.geojson import Feature, write_geojson
from gradevol.out.exports.geotiff import Grid, write_geotiff
from gradevol.out.exports.gltf import write_glb
from gradevol.out.exports.landxml import NamedShots, NamedSurface, write_landxml
from gradevol.out.exports.meshes import (
    Mesh,
    mesh_base,
    mesh_body,
    mesh_slab,
    mesh_top,
    nest_rings,
    put_places,
)
from gradevol.out.exports.ply import write_ply
from gradevol.out.exports.set_out import write_set_out
from gradevol.out.exports.stl import write_stl
from gradevol.out.pictures.colours import shade

#: Cells along the longer side of a grid, at most; its cell is one of these times a power of ten.
_MOST_CELLS = 1000
_CELLS = (1.0, 2.0, 2.5, 5.0)
#: No finer than this in the unit of length: a tenth of a foot, a twentieth of a metre.
_FINEST = {"m": 0.05, "ft": 0.1, "us-ft": 0.1}
#: What the body is.
_BODY = "concrete between base and top, closed; drawn thickenings and voids are not in it"


def write_exports(
    result: Result,
    view: dict[str, Any],
    folder: Path,
    kinds: Collection[str],
    *,
    progress: Callable[[str, float], None],
) -> None:
    """
    Write the files of some kinds.

    Parameters
    ----------
    result : Result
        With its base.
    view : dict
        The result as `present` gives it.
    folder : Path
        Where they go; it exists.
    kinds : collection of str
        Keys of `EXPORTS`.
    progress : callable
        Told what is being done and the share that is done.
    """
    wanted = [kind for kind in EXPORTS if kind in kinds]
    for number, kind in enumerate(wanted):
        progress(f"export {kind}", number / len(wanted))
        EXPORTS[kind](result, view, folder)


def _export_landxml(result: Result, _view: dict[str, Any], folder: Path) -> None:
    words = "base as surveyed"
    if any(part.surveyed == "departure" for part in result.slab.thickenings):
        words += ", shots in thickenings raised by their drawn depth to the underside of the slab"
    survey = result.survey
    write_landxml(
        folder / "surfaces.xml",
        [
            NamedSurface("base", words, mesh_base(result)),
            NamedSurface("top", "design top of slab", mesh_top(result)),
        ],
        NamedShots(put_places(survey.points, result), survey.ids, survey.codes),
        unit=result.units.length,
        title=result.title,
        made=datetime.now(UTC),
    )


def _export_dxf(result: Result, view: dict[str, Any], folder: Path) -> None:
    from gradevol.out.exports.drawing import LAYERS, list_items  # noqa: PLC0415
    from gradevol.out.exports.dxf import write_dxf  # noqa: PLC0415

    items = list_items(result, view)
    write_dxf(folder / "drawing.dxf", items, layers=LAYERS, unit=result.units.length)


def _export_geojson(result: Result, view: dict[str, Any], folder: Path) -> None:
    rings = tuple(
        put_places(shapely.get_coordinates(ring)[:-1], result)
        for part in shapely.get_parts(shapely.orient_polygons(result.slab.outline))
        for ring in shapely.get_rings(part)
    )
    features = [Feature(nest_rings(rings), {"kind": "slab", **view["slab"]})]
    unlisted = 0
    for kind, held in (("thin", view["thin"]), ("high", view["grading"]), ("low", view["grading"])):
        spots = held.get("spots" if kind == "thin" else f"{kind}_spots", [])
        unlisted += held.get("unlisted" if kind == "thin" else f"{kind}_unlisted", 0)
        for spot in spots:
            known = {key: value for key, value in spot.items() if key not in {"outline", "at"}}
            worst = dict(zip(("worst_e", "worst_n", "worst_z"), spot["at"], strict=True))
            outline = nest_rings(tuple(np.array(ring) for ring in spot["outline"]))
            if outline:
                features.append(Feature(outline, {"kind": kind, **known, **worst}))
    units = view["units"]
    remark = f"Areas are in {units['area']}, volumes in {units['volume']}."
    if unlisted:
        remark += f" {unlisted} smaller spots are not listed."
    write_geojson(
        folder / "spots.geojson",
        features,
        unit=units["length"],
        title=result.title,
        remark=remark,
    )


def _export_geotiff(result: Result, _view: dict[str, Any], folder: Path) -> None:
    field, unit = result.field, result.units.length
    cell = choose_cell(result)
    write_geotiff(
        folder / "thickness.tif",
        _grid(field.corners, field.thickness, cell, result),
        unit=unit,
        words="thickness of concrete, design top less base",
    )
    # within a thickening that the shots show, nothing is measured against the design base
    is_slab = ~field.is_trench
    room = field.thickness - result.slab.thickness
    write_geotiff(
        folder / "cut_fill.tif",
        _grid(field.corners[is_slab], room[is_slab], cell, result),
        unit=unit,
        words="design base less base: positive to fill, negative to cut",
    )


def choose_cell(result: Result) -> float:
    """Side of a cell of the grids, m: round in the job's unit, fit for the slab's size."""
    unit = result.units.length
    finest = float(np.ptp(result.slab.edge, axis=0).max()) / METRES[unit] / _MOST_CELLS
    if finest <= _FINEST[unit]:
        return _FINEST[unit] * METRES[unit]
    power = 10.0 ** np.floor(np.log10(finest))
    steps = (power * part for part in (*_CELLS, 10.0))
    return float(next(step for step in steps if step >= finest)) * METRES[unit]


def _grid(corners: FloatArray, value: FloatArray, cell: float, result: Result) -> Grid:
    metres = METRES[result.units.length]
    image = sample(corners, value, cell=cell)
    west, _, _, north = image.extent
    corner = np.round((np.array([west, north]) + result.survey.origin[:2]) / metres, LENGTH) + 0.0
    return Grid(
        image.thickness[::-1] / metres, float(corner[0]), float(corner[1]), image.cell / metres
    )


def _export_ply(result: Result, _view: dict[str, Any], folder: Path) -> None:
    mesh, unit = mesh_slab(result), result.units.length
    colours, words = _paint(mesh, result)
    said = ("base under the slab, as surveyed, and as assumed beyond", f"colours {words}")
    paint = np.round(colours * 255).astype(np.uint8)
    write_ply(folder / "base.ply", mesh, unit=unit, colours=paint, comments=said)
    body = mesh_body(result)
    if body is not None:
        write_ply(folder / "body.ply", body, unit=unit, comments=(_BODY,))


def _export_gltf(result: Result, _view: dict[str, Any], folder: Path) -> None:
    mesh = mesh_slab(result)
    colours, words = _paint(mesh, result)
    write_glb(
        folder / "base.glb",
        mesh,
        colours=colours,
        unit=result.units.length,
        name="base, coloured by thickness",
        title=result.title,
        words=words,
    )
    body = mesh_body(result, is_single=True)
    if body is not None:
        write_glb(
            folder / "body.glb",
            body,
            unit=result.units.length,
            name="body",
            title=result.title,
            words=_BODY,
        )


def _export_stl(result: Result, _view: dict[str, Any], folder: Path) -> None:
    body = mesh_body(result, is_single=True)
    if body is not None:
        write_stl(folder / "body.stl", body, unit=result.units.length, name="body")


def _paint(mesh: Mesh, result: Result) -> tuple[FloatArray, str]:
    """Colours of a mesh by its thickness, on the scale of the plan, and what they mean."""
    levels = choose_bands(result).levels / METRES[result.units.length]
    low, high = float(levels[0]), float(levels[-1])
    assert mesh.thickness is not None
    share = np.clip((mesh.thickness - low) / (high - low), 0, 1)
    words = f"by thickness, pale {low:.4f} to dark {high:.4f} {result.units.length}"
    return np.clip(shade(share), 0, 1), words


def _export_points(result: Result, _view: dict[str, Any], folder: Path) -> None:
    stakes, unit = find_stakes(result), result.units.length
    places = put_places(np.column_stack([stakes.places, stakes.design]), result)
    write_set_out(folder / "set_out.csv", stakes, places, unit=unit, metres=METRES[unit])


#: Every kind, in the order in which they are written.
EXPORTS: dict[str, Callable[[Result, dict[str, Any], Path], None]] = {
    "landxml": _export_landxml,
    "dxf": _export_dxf,
    "geojson": _export_geojson,
    "geotiff": _export_geotiff,
    "ply": _export_ply,
    "gltf": _export_gltf,
    "stl": _export_stl,
    "points": _export_points,
}
