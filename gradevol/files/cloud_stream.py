"""The files of a cloud as one stream of points, which may run more than once."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from gradevol.files.cloud_chunks import Bounds, CloudFile, meets
from gradevol.files.las_points import open_las
from gradevol.files.ply_cloud import open_ply_cloud
from gradevol.files.sniff import open_file
from gradevol.files.sources import Cloud
from gradevol.files.text_cloud import ENDINGS, open_text_cloud
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.progress import Progress
from gradevol.ground.units import METRES

#: Points that are kept in memory between two passes; more are read again.
_MOST_HELD = 5_000_000


def open_cloud_file(path: Path, cloud: Cloud) -> CloudFile:
    """
    Open a file of a cloud by what it is; text goes by its name too.

    Raises
    ------
    InputError
        If it is none of these, or can't be used.
    """
    file = open_file(path, most=0)
    if file.kind == "PLY":
        opened: CloudFile = open_ply_cloud(file, cloud.unit)
    elif file.kind != "LAS" and path.suffix.lower() in ENDINGS:
        opened = open_text_cloud(file, cloud)
    else:
        opened = open_las(path, cloud.unit, ignores_unit=cloud.ignores_unit)
    if cloud.classes and not opened.has_classes:
        raise InputError(
            "its points carry no classes, but base.classes asks for some",
            remedy="Leave base.classes out, or give the cloud as LAS or LAZ",
            path=path,
        )
    if cloud.columns and opened.has_classes:
        raise InputError(
            "base.columns is for clouds of text, and this one says itself where its numbers are",
            remedy="Leave base.columns out",
            path=path,
        )
    return opened


@dataclass
class Tally:
    """What a pass met: points read, and of those withheld, outside the bounds, kept, by class."""

    by_file: dict[Path, int] = field(default_factory=dict)
    withheld: int = 0
    outside: int = 0
    kept: int = 0
    classes: AnyArray = field(default_factory=lambda: np.zeros(256, np.intp))

    @property
    def read(self) -> int:
        """Points read of all files."""
        return sum(self.by_file.values())


class CloudStream:
    """
    Points of several files, kept by class and bounds.

    Parameters
    ----------
    files : list of CloudFile
    bounds : tuple of float or None
    progress : callable
        Told a label and the share that is done, which never goes back.

    Attributes
    ----------
    tally : Tally
        Of the last pass.
    """

    def __init__(
        self,
        files: list[CloudFile],
        bounds: Bounds | None,
        progress: Progress,
    ) -> None:
        self.tally = Tally()
        self._files, self._bounds, self._progress = files, bounds, progress
        self._sizes = [file.path.stat().st_size for file in files]
        self._told = 0.0
        self._held: list[FloatArray] | None = None

    def read(
        self, is_kept: BoolArray, *, span: tuple[float, float] = (0.0, 1.0), hold: bool = False
    ) -> Iterator[FloatArray]:
        """
        Read all files once.

        Parameters
        ----------
        is_kept : (256,) array of bool
            Whether each class is kept.
        span : (float, float)
            Which part of the work this pass is.
        hold : bool
            Whether to keep the points for `read_again`, if they are few enough.
        """
        self.tally = tally = Tally()
        held: list[FloatArray] | None = [] if hold else None
        self._held = None
        behind = 0
        for file, size in zip(self._files, self._sizes, strict=True):
            for chunk in file.read(is_kept, self._bounds):
                tally.by_file[file.path] = tally.by_file.get(file.path, 0) + chunk.count
                tally.withheld += chunk.withheld
                tally.outside += chunk.outside
                tally.kept += len(chunk.points)
                tally.classes += chunk.classes
                if held is not None:
                    held = [*held, chunk.points] if tally.kept <= _MOST_HELD else None
                share = (behind + size * chunk.done) / max(1, sum(self._sizes))
                self._tell(f"reading {file.path.name}", span[0] + (span[1] - span[0]) * share)
                yield chunk.points
            behind += size
        if tally.read == 0:  # a cloud-optimised file without a node near the slab
            yield np.empty((0, 3))
        self._held = held

    def read_again(self, is_kept: BoolArray, *, span: tuple[float, float]) -> Iterator[FloatArray]:
        """Give the points of the last pass again, from memory or from the files."""
        if self._held is None:
            yield from self.read(is_kept, span=span)
            return
        yield from self._held
        self._tell(f"reading {self._files[-1].path.name}", span[1])

    def _tell(self, label: str, share: float) -> None:
        self._told = max(self._told, share)
        self._progress(label, self._told)


def choose_near(files: list[CloudFile], bounds: Bounds | None, unit: str) -> list[CloudFile]:
    """
    Choose the files whose declared ends meet the bounds; those that declare none are chosen too.

    Raises
    ------
    InputError
        If none is left.
    """
    if bounds is None:
        return files
    near = [file for file in files if file.extent is None or meets(file.extent, bounds)]
    if not near:
        ends = [file.extent for file in files if file.extent is not None]
        low, high = np.array(ends)[:, :2].min(axis=0), np.array(ends)[:, 2:].max(axis=0)
        extent = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
        raise explain_far(files, extent, bounds, unit)
    return near


def explain_far(
    files: list[CloudFile], extent: Bounds | None, bounds: Bounds, unit: str
) -> InputError:
    """Make the error for a cloud of which no point is near the slab; in the unit of the base."""

    def say(ends: Bounds) -> str:
        west, south, east, north = (end / METRES[unit] for end in ends)
        return f"E {west:.2f} to {east:.2f}, N {south:.2f} to {north:.2f}"

    there = "" if extent is None else f": its points lie within {say(extent)},"
    remedy = "Check that both are in one coordinate system and unit"
    if extent is not None:
        west, south, east, north = extent
        if meets((south, west, north, east), bounds):
            remedy = "Northing and easting look swapped: check the cloud's columns"
        for other, metres in METRES.items():
            by = metres / METRES[unit]
            if other != unit and meets((west * by, south * by, east * by, north * by), bounds):
                remedy = f"It would fit in {other}, but was read in {unit}: check base.units"
                break
    return InputError(
        f"the survey does not meet the slab{there} and the slab with its margin within "
        f"{say(bounds)} ({unit})",
        remedy=remedy,
        path=files[0].path if len(files) == 1 else None,
    )
