"""Faces whose corners are written out one by one, as DXF and STL have them."""

from pathlib import Path

import numpy as np

from gradevol.files.polygons import Polygons, check_polygons, fan_polygons
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES


class SeveralSurfacesError(InputError):
    """A file holds several surfaces, and it is not said which is wanted."""


def join_corners(
    corners: FloatArray,
    sizes: IntArray,
    *,
    path: Path,
    unit: str,
    steps: tuple[float, float, float] = (0.0, 0.0, 0.0),
) -> tuple[FloatArray, IntArray]:
    """
    Make corners at exactly one place one point, and the faces triangles.

    Parameters
    ----------
    corners : (c, 3) array of float
        Corners, face after face, in the file's unit.
    sizes : (f,) array of int
        Corners of each face.
    path : Path
        The file, for errors.
    unit : str
        Its unit, a key of `units.METRES`.
    steps : tuple of float
        Smallest difference that the file can hold, as in `Polygons`.

    Returns
    -------
    points : (p, 3) array of float
        Easting, northing, elevation, m.
    triangles : (t, 3) array of int
        Rows of `points`; larger faces are fanned from their first corner.

    Raises
    ------
    InputError
        If there are no faces, a corner is none, a face has a hollow, or a step is past 1 mm.
    """
    points, place = np.unique(corners + 0.0, axis=0, return_inverse=True)  # -0.0 is 0.0
    mesh = Polygons(points, place.reshape(-1).astype(np.intp), sizes.astype(np.intp), steps)
    check_polygons(mesh, path, METRES[unit])
    return points * METRES[unit], fan_polygons(mesh, path)
