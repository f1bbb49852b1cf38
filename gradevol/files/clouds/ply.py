"""Point clouds as PLY: its vertices."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from gradevol.files.clouds.chunks import Bounds, Chunk, check_degrees, sift_plain
from gradevol.files.drawings.ply import parse_ply
from gradevol.files.drawings.polygons import check_points
from gradevol.files.sniff import File
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.ground.units import METRES

_CHUNK = 250_000


@dataclass(frozen=True, slots=True)
class PlyCloud:
    """Vertices of a PLY file, (n, 3), m; `notes` where it holds faces too."""

    path: Path
    points: FloatArray
    notes: tuple[Note, ...]

    @property
    def has_classes(self) -> bool:
        """It has none that programs agree on."""
        return False

    @property
    def whole(self) -> int | None:
        """It is always read to its end."""
        return None

    @property
    def extent(self) -> Bounds | None:
        """Ends in plan of its points, m."""
        (west, south, _), (east, north, _) = self.points.min(axis=0), self.points.max(axis=0)
        return float(west), float(south), float(east), float(north)

    @property
    def steps(self) -> None:
        """Its coordinates are whole numbers of nothing."""

    @property
    def parts(self) -> int:
        """It is read in one go."""
        return 1

    def read(self, is_kept: BoolArray, bounds: Bounds | None) -> Iterator[Callable[[], Chunk]]:
        """Give the points within bounds."""
        del is_kept  # it has no classes
        for start in range(0, len(self.points), _CHUNK):
            some = self.points[start : start + _CHUNK]
            done = (start + len(some)) / len(self.points)
            yield partial(sift_plain, self.path, some, bounds, done)

    def check_ends(self, ends: FloatArray) -> None:
        """They were checked when it was opened."""


def open_ply_cloud(file: File, unit: str) -> PlyCloud:
    """
    Read the vertices of a PLY file, at once: it declares how many there are.

    Raises
    ------
    InputError
        If it is damaged, holds no points, or cannot hold a millimetre at their coordinates.
    """
    path = file.path
    mesh = parse_ply(file)
    if len(mesh.points) == 0:
        raise InputError(
            "it holds no points",
            remedy="Check that this is the right file",
            path=path,
            code="no-points",
        )
    check_points(mesh, path, METRES[unit])
    check_degrees(path, mesh.points[:, :2].min(axis=0), mesh.points[:, :2].max(axis=0))
    notes: tuple[Note, ...] = ()
    if len(mesh.sizes):
        text = (
            f"{escape(path.name)} holds {len(mesh.sizes):,} faces besides its points; only the "
            "points were used. base.surface_file takes the faces."
        )
        notes = (Note("cloud-faces", text),)
    return PlyCloud(path, mesh.points * METRES[unit], notes)
