"""Exports: an answer for other programs, in open formats."""

import os
from collections.abc import Callable, Collection
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from gradevol.answer.compose import Answer
from gradevol.answer.surfaces import Surfaces
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES
from gradevol.out.exports.geojson import Feature, compose_geojson
from gradevol.out.exports.geotiff import write_geotiff
from gradevol.out.exports.gltf import write_glb
from gradevol.out.exports.landxml import NamedShots, NamedSurface, write_landxml
from gradevol.out.exports.ply import write_ply
from gradevol.out.exports.set_out import write_set_out
from gradevol.out.exports.stl import write_stl
from gradevol.out.pictures.colours import shade
from gradevol.out.whole import write_text

#: What the body is.
_BODY = "concrete between base and top, closed; drawn thickenings and voids are not in it"


def write_exports(
    answer: Answer,
    surfaces: Surfaces,
    folder: Path,
    kinds: Collection[str],
    *,
    progress: Callable[[str, float], None],
) -> None:
    """
    Write the files of some kinds.

    Parameters
    ----------
    answer : Answer
    surfaces : Surfaces
        Of the same result.
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
        EXPORTS[kind](answer, surfaces, folder)


def _export_landxml(answer: Answer, surfaces: Surfaces, folder: Path) -> None:
    words = "base as surveyed"
    if surfaces.is_raised:
        words += ", shots in thickenings raised by their drawn depth to the underside of the slab"
    write_landxml(
        folder / "surfaces.xml",
        [
            NamedSurface("base", words, surfaces.base),
            NamedSurface("top", "design top of slab", surfaces.top),
        ],
        NamedShots(surfaces.shots, surfaces.names, surfaces.codes),
        unit=answer.units.length,
        title=answer.title,
        made=_find_time(),
    )


def _find_time() -> datetime:
    """Time of the export, or that which ``SOURCE_DATE_EPOCH`` gives, for files alike to the byte.

    https://reproducible-builds.org/specs/source-date-epoch/: seconds since 1970, UTC.
    """
    given = os.environ.get("SOURCE_DATE_EPOCH", "")
    if given.isascii() and given.isdigit() and len(given) < 12:
        return datetime.fromtimestamp(int(given), UTC)
    return datetime.now(UTC)


def _export_dxf(answer: Answer, surfaces: Surfaces, folder: Path) -> None:
    from gradevol.out.exports.drawing import LAYERS, list_items  # noqa: PLC0415
    from gradevol.out.exports.dxf import write_dxf  # noqa: PLC0415

    items = list_items(answer, surfaces)
    write_dxf(folder / "drawing.dxf", items, layers=LAYERS, unit=answer.units.length)


def _export_geojson(answer: Answer, surfaces: Surfaces, folder: Path) -> None:
    data = answer.plain()
    features = [Feature(surfaces.outline, {"kind": "slab", **data["slab"]})]
    unlisted = 0
    for kind, held in (("thin", data["thin"]), ("high", data["grading"]), ("low", data["grading"])):
        spots = held.get("spots" if kind == "thin" else f"{kind}_spots", [])
        unlisted += held.get("unlisted" if kind == "thin" else f"{kind}_unlisted", 0)
        for spot, outline in zip(spots, surfaces.spots[kind], strict=True):
            known = {key: value for key, value in spot.items() if key not in {"outline", "at"}}
            worst = dict(zip(("worst_e", "worst_n", "worst_z"), spot["at"], strict=True))
            if outline:
                features.append(Feature(outline, {"kind": kind, **known, **worst}))
    units = data["units"]
    remark = f"Areas are in {units['area']}, volumes in {units['volume']}."
    if unlisted:
        remark += f" {unlisted} smaller spots are not listed."
    text = compose_geojson(features, unit=units["length"], title=answer.title, remark=remark)
    write_text(folder / "spots.geojson", text)


def _export_geotiff(answer: Answer, surfaces: Surfaces, folder: Path) -> None:
    unit = answer.units.length
    words = "thickness of concrete, design top less base"
    write_geotiff(folder / "thickness.tif", surfaces.thickness, unit=unit, words=words)
    words = "design base less base: positive to fill, negative to cut"
    write_geotiff(folder / "cut_fill.tif", surfaces.cut_fill, unit=unit, words=words)


def _export_ply(answer: Answer, surfaces: Surfaces, folder: Path) -> None:
    mesh, unit = surfaces.slab, answer.units.length
    colours, words = _paint(surfaces, answer)
    said = ("base under the slab, as surveyed, and as assumed beyond", f"colours {words}")
    paint = np.round(colours * 255).astype(np.uint8)
    write_ply(folder / "base.ply", mesh, unit=unit, colours=paint, comments=said)
    body = surfaces.body
    if body is not None:
        write_ply(folder / "body.ply", body, unit=unit, comments=(_BODY,))


def _export_gltf(answer: Answer, surfaces: Surfaces, folder: Path) -> None:
    mesh = surfaces.slab
    colours, words = _paint(surfaces, answer)
    write_glb(
        folder / "base.glb",
        mesh,
        colours=colours,
        unit=answer.units.length,
        name="base, coloured by thickness",
        title=answer.title,
        words=words,
    )
    body = surfaces.single_body
    if body is not None:
        write_glb(
            folder / "body.glb",
            body,
            unit=answer.units.length,
            name="body",
            title=answer.title,
            words=_BODY,
        )


def _export_stl(answer: Answer, surfaces: Surfaces, folder: Path) -> None:
    body = surfaces.single_body
    if body is not None:
        write_stl(folder / "body.stl", body, unit=answer.units.length, name="body")


def _paint(surfaces: Surfaces, answer: Answer) -> tuple[FloatArray, str]:
    """Colours of the slab's base by its thickness, on the scale of the plan, and their meaning."""
    low, high = surfaces.scale
    assert surfaces.slab.thickness is not None
    share = np.clip((surfaces.slab.thickness - low) / (high - low), 0, 1)
    words = f"by thickness, pale {low:.4f} to dark {high:.4f} {answer.units.length}"
    return np.clip(shade(share), 0, 1), words


def _export_points(answer: Answer, surfaces: Surfaces, folder: Path) -> None:
    unit = answer.units.length
    write_set_out(
        folder / "set_out.csv", surfaces.stakes, surfaces.staked, unit=unit, metres=METRES[unit]
    )


#: Every kind, in the order in which they are written.
EXPORTS: dict[str, Callable[[Answer, Surfaces, Path], None]] = {
    "landxml": _export_landxml,
    "dxf": _export_dxf,
    "geojson": _export_geojson,
    "geotiff": _export_geotiff,
    "ply": _export_ply,
    "gltf": _export_gltf,
    "stl": _export_stl,
    "points": _export_points,
}
