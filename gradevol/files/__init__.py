"""Readers: files to things. Each format has a module; this one chooses among them."""

from collections.abc import Callable
from typing import TypeAlias

import numpy as np

from gradevol.files import formats
from gradevol.files.sources import (
    BaseSource,
    CodedOutline,
    Depths,
    OutlineFile,
    Rods,
    Sheets,
    Shots,
    SurfaceFile,
)
from gradevol.geometry.triangulation import ONE_PLACE
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.site.survey import Survey

Progress: TypeAlias = Callable[[str, float], None]
Bounds: TypeAlias = tuple[float, float, float, float]


def read_base(
    source: BaseSource, *, bounds: Bounds | None = None, progress: Progress
) -> tuple[Survey, IntArray | None]:
    """
    Read the base as measured.

    Parameters
    ----------
    source : Shots, Rods, Depths, Sheets, Cloud or SurfaceFile
    bounds : (float, float, float, float), optional
        West, south, east, north, m: points of a cloud that lie outside are left out.
    progress : callable
        Told what is being done and the share that is done.

    Returns
    -------
    survey : Survey
        Its points.
    faces : (t, 3) array of int or None
        Rows of the survey's points, where the file has faces of its own.

    Raises
    ------
    InputError
        If the file can't be used.
    """
    if isinstance(source, Shots):
        return read_shots(source), None
    if isinstance(source, SurfaceFile):
        points, faces = read_faces(source)
        return Survey.about_local_origin(points, method="surface file"), faces
    if isinstance(source, Rods):
        from gradevol.files.rod_sheets import read_rods  # noqa: PLC0415

        return read_rods(source), None
    if isinstance(source, Depths):
        from gradevol.files.depths import read_depths  # noqa: PLC0415

        return read_depths(source), None
    if isinstance(source, Sheets):
        from gradevol.files.sheets import read_sheets  # noqa: PLC0415

        return read_sheets(source), None
    from gradevol.files.cloud import read_cloud  # noqa: PLC0415

    return read_cloud(source, bounds=bounds, progress=progress), None


def read_shots(source: Shots) -> Survey:
    """Read points from files; see `formats.read_points`."""
    return formats.read_points(source)


def read_faces(source: SurfaceFile) -> tuple[FloatArray, IntArray]:
    """Read points (p, 3), m, and faces (t, 3) from a file; see `formats.read_faces`."""
    return formats.read_faces(source)


def read_ring(ring: FloatArray | OutlineFile | CodedOutline) -> FloatArray:
    """Corners (m, 2) of a ring, m, whether the job has them, a file, or coded shots draw it."""
    if isinstance(ring, CodedOutline):
        survey = read_shots(ring.shots)
        corners = survey.points[:, :2] + survey.origin[:2]
        is_closed = bool(np.hypot(*(corners[0] - corners[-1])) <= ONE_PLACE)
        return corners[:-1] if is_closed else corners
    if not isinstance(ring, OutlineFile):
        return np.asarray(ring)
    return formats.read_ring(ring)
