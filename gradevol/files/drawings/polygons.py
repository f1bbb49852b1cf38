"""Faces of a surface file: whether they can be used, and as triangles."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from gradevol.files.drawings.units import Declared, check_units
from gradevol.files.globe import FARTHEST
from gradevol.files.sniff import say_damaged
from gradevol.ground.arrays import FloatArray, IntArray, count_up, number_rows
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure
from gradevol.ground.units import METRES

#: Largest step between two coordinates that a file can hold, m: levels are read to a millimetre.
_COARSEST = 0.001
#: Code of the error where a file holds several surfaces, and it is not said which is wanted.
SEVERAL = "several-surfaces"


@dataclass(frozen=True, slots=True)
class Polygons:
    """
    Faces as a file has them.

    Attributes
    ----------
    points : (p, 3) array of float
        Corners, in the file's unit.
    corners : (c,) array of int
        Rows of `points`, face after face.
    sizes : (f,) array of int
        Corners of each face.
    steps : tuple of float
        Smallest difference that the file can hold at the largest coordinate of each axis, in its
        unit; 0 where nothing is lost.
    declared : tuple of Declared
        What the file says of its unit.
    """

    points: FloatArray
    corners: IntArray
    sizes: IntArray
    steps: tuple[float, float, float] = (0.0, 0.0, 0.0)
    declared: tuple[Declared, ...] = ()


def join_corners(
    corners: FloatArray,
    sizes: IntArray,
    *,
    steps: tuple[float, float, float] = (0.0, 0.0, 0.0),
    declared: tuple[Declared, ...] = (),
) -> Polygons:
    """Make corners (c, 3), written out face after face, one point where they are at one place."""
    points, place = number_rows(corners + 0.0)  # -0.0 is 0.0
    return Polygons(points, place, sizes.astype(np.intp), steps, declared)


def make_faces(mesh: Polygons, *, unit: str, path: Path) -> tuple[FloatArray, IntArray]:
    """
    Make a surface of a file's faces.

    Parameters
    ----------
    mesh : Polygons
    unit : str
        Its unit, a key of `units.METRES`.
    path : Path
        The file, for errors.

    Returns
    -------
    points : (p, 3) array of float
        Easting, northing, elevation, m; also those of no face.
    triangles : (t, 3) array of int
        Rows of `points`, turned as the file has them; polygons are fanned from their first corner.

    Raises
    ------
    InputError
        If the file is in another unit, has no faces, a corner is none, a face has a hollow, or a
        step is past 1 mm.
    """
    check_units(mesh.declared, unit=unit, path=path)
    check_polygons(mesh, path, METRES[unit])
    return mesh.points * METRES[unit], fan_polygons(mesh, path)


def check_polygons(mesh: Polygons, path: Path, metres: float) -> None:
    """
    Refuse points that are none, faces that are none, and coordinates rounded too far.

    Parameters
    ----------
    mesh : Polygons
        What the file holds.
    path : Path
        The file, for errors.
    metres : float
        Metres in its unit.

    Raises
    ------
    InputError
        If any of this is so.
    """
    check_points(mesh, path, metres)
    if len(mesh.sizes) == 0:
        raise InputError(
            f"it holds {len(mesh.points):,} points but no faces",
            remedy="Export a surface with faces, or give the points as base.shots or base.cloud",
            path=path,
        )
    if (mesh.sizes < 3).any():
        face = int(np.argmax(mesh.sizes < 3))
        raise say_damaged(f"face {face + 1} has {mesh.sizes[face]} corners", path)
    is_outside = (mesh.corners < 0) | (mesh.corners >= len(mesh.points))
    if is_outside.any():
        at = int(np.argmax(is_outside))
        face = int(np.searchsorted(np.cumsum(mesh.sizes), at, side="right"))
        raise say_damaged(
            f"face {face + 1} has a corner that is none of the {len(mesh.points):,} points", path
        )


def check_points(mesh: Polygons, path: Path, metres: float) -> None:
    """
    Refuse points that are none, and coordinates rounded too far; parameters as `check_polygons`.

    Raises
    ------
    InputError
        If either is so.
    """
    is_lost = ~(np.abs(mesh.points * metres) < FARTHEST).all(axis=1)
    if is_lost.any():
        row = int(np.argmax(is_lost))
        shown = ", ".join(f"{value:g}" for value in mesh.points[row])
        raise InputError(
            f"corner {row + 1} lies at {shown}",
            remedy="The file is damaged, or its unit is wrong: export it again",
            path=path,
        )
    for name, step in zip(("easting", "northing", "elevation"), mesh.steps, strict=True):
        if step * metres > _COARSEST:
            raise InputError(
                f"its {name}s are rounded to steps of {{}}, too coarse for so large a coordinate",
                remedy="Export it with double precision (more digits), or about a local origin "
                "that the job uses too",
                path=path,
            ).measuring(Measure(step * metres, Kind.EXACT_LENGTH))


def fan_polygons(mesh: Polygons, path: Path) -> IntArray:
    """
    Divide each face into triangles from its first corner.

    Returns
    -------
    (t, 3) array of int
        Rows of `mesh.points`, turned as the faces are.

    Raises
    ------
    InputError
        If a face has a hollow, so that such triangles would overlap.
    """
    if (mesh.sizes == 3).all():
        return mesh.corners.reshape(-1, 3)
    n_triangles = mesh.sizes - 2
    starts = np.cumsum(mesh.sizes) - mesh.sizes
    face, before = count_up(starts, n_triangles)
    fan = np.stack([starts[face], before + 1, before + 2], axis=1)
    triangles: IntArray = mesh.corners[fan]

    # in three dimensions, so that a vertical face is no hollow one
    one, two, three = np.moveaxis(mesh.points[triangles], 1, 0)
    normal = np.cross(two - one, three - one)
    whole = np.column_stack([np.bincount(face, weights=axis) for axis in normal.T])[face]
    against = np.einsum("ij,ij->i", normal, whole) < -1e-9 * np.einsum("ij,ij->i", whole, whole)
    if against.any():
        raise InputError(
            f"face {face[np.argmax(against)] + 1} is a polygon with a hollow",
            remedy="Have the program that made the file divide its faces into triangles",
            path=path,
        )
    return triangles
