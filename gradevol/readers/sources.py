"""Where measurements come from, as a job names them: paths, units, and how to read them.

`job` fills these in; the readers beside this module take them.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class Shots:
    """
    Delimited text of points.

    Attributes
    ----------
    paths : tuple of Path
        The files, in order.
    unit : str
        Unit of their numbers, a key of `units.METRES`.
    columns : str or None
        One letter a column, of ``PNEZDSR-`` (X and Y stand for E and N); None: PNEZD, or what a
        header row says.
    codes : tuple of str
        Shell-style patterns; only points whose description matches one are kept. Empty: all.
    """

    paths: tuple[Path, ...]
    unit: str
    columns: str | None = None
    codes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Cloud:
    """
    A point cloud, LAS or LAZ.

    Attributes
    ----------
    paths : tuple of Path
        The files.
    unit : str
        Unit of their coordinates where the file does not say.
    cell : float or None
        Side of a bin, m; 0: every kept point stands for itself; None: not stated.
    classes : tuple of int
        LAS classes kept; empty: all but noise.
    """

    paths: tuple[Path, ...]
    unit: str
    cell: float | None = None
    classes: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class SurfaceFile:
    """A surface with faces of its own: PLY or OBJ, with the unit of its numbers."""

    path: Path
    unit: str


@dataclass(frozen=True, slots=True)
class OutlineFile:
    """A ring in a file, CSV or GeoJSON, with the unit of its numbers."""

    path: Path
    unit: str


BaseSource: TypeAlias = Shots | Cloud | SurfaceFile
