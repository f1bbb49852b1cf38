"""Where the grid of a GeoTIFF lies.

References
----------
OGC GeoTIFF 1.1 (19-008r4): ModelPixelScale (33550) with one ModelTiepoint (33922), or
ModelTransformation (34264); GTRasterTypeGeoKey (1025) is 1 where numbers of raster space count
from the corner of the first pixel (area), 2 where they count from its centre (point).
"""

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError

_SCALE, _TIEPOINTS, _TRANSFORMATION, _DIRECTORY = 33550, 33922, 34264, 34735
_RASTER_TYPE, _IS_POINT = 1025, 2
_REMEDY = "Export it as a grid that lies north up, with its place in the file"


def place_grid(
    tags: Mapping[int, Any], path: Path
) -> Callable[[FloatArray, FloatArray], tuple[FloatArray, FloatArray]]:
    """
    Find where the centres of a grid's pixels lie.

    Parameters
    ----------
    tags : mapping of int to values
        The file's tags.
    path : Path
        The file, for errors.

    Returns
    -------
    callable
        From columns and rows, counted from 0, to eastings and northings in the file's unit.

    Raises
    ------
    InputError
        If the file does not say, or the grid is turned, skewed, or its elevations are scaled.
    """
    if (transformation := tags.get(_TRANSFORMATION)) is not None:
        east, north = _read_transformation(transformation, path)
    else:
        east, north = _read_scale(tags, path)
    keys = tags.get(_DIRECTORY, ())
    types = [keys[at + 3] for at in range(4, len(keys) - 3, 4) if keys[at] == _RASTER_TYPE]
    centre = 0.0 if types[:1] == [_IS_POINT] else 0.5
    if not east[0] or not north[0]:
        raise InputError("its pixels have no size", remedy=_REMEDY, path=path)

    def place(columns: FloatArray, rows: FloatArray) -> tuple[FloatArray, FloatArray]:
        return (
            east[1] + east[0] * (columns + centre),
            north[1] + north[0] * (rows + centre),
        )

    return place


def _read_transformation(
    values: Any, path: Path
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Size of a pixel and place of the first corner, east and north."""
    if len(values) != 16:
        raise InputError(f"its transformation has {len(values)} numbers", remedy=_REMEDY, path=path)
    per_column, skew, _, west, turn, per_row, _, top = map(float, values[:8])
    if skew or turn:
        raise InputError("its grid is turned against north", remedy=_REMEDY, path=path)
    _refuse_scaled(float(values[10]), float(values[11]), path)
    return (per_column, west), (per_row, top)


def _read_scale(
    tags: Mapping[int, Any], path: Path
) -> tuple[tuple[float, float], tuple[float, float]]:
    scale, ties = tags.get(_SCALE), tags.get(_TIEPOINTS)
    if scale is None or ties is None or len(scale) != 3 or len(ties) < 6:
        raise InputError("it does not say where its grid lies", remedy=_REMEDY, path=path)
    if len(ties) != 6:
        raise InputError(
            f"it is tied down at {len(ties) // 6} points, which may be no straight grid",
            remedy=_REMEDY,
            path=path,
        )
    column, row, _, easting, northing, level = map(float, ties)
    width, height, depth = map(float, scale)
    _refuse_scaled(depth, level, path)
    return (width, easting - width * column), (-height, northing + height * row)


def _refuse_scaled(depth: float, level: float, path: Path) -> None:
    if depth not in {0.0, 1.0} or level:
        raise InputError(
            f"its elevations are scaled by {depth:g} and raised by {level:g}",
            remedy="Export them as plain numbers in the job's unit",
            path=path,
        )
