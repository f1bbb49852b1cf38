"""Where measurements come from, as a job names them: paths, units, and how to read them.

`job` fills these in; the readers beside this module take them. Field sheets are in `sheet_sources`.
"""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, TypeAlias

from gradevol.files.setups import Setups
from gradevol.files.sheet_sources import Depths, Rods, Sheets
from gradevol.ground.arrays import FloatArray

#: Points of a cloud that lie farther off the slab's extents than this, m, and than so many of their
#: own spacings, are left out: beyond the edge the surface must have points to run on to.
MARGIN, SPACINGS = 2.0, 5.0
#: Bins of a cloud that are left at most: what a TIN and its integrals take in seconds. Ours, no
#: source.
MOST_BINS = 1_000_000


@dataclass(frozen=True, slots=True)
class Shots:
    """
    Points in files: delimited text, LandXML, DXF or GeoJSON.

    Attributes
    ----------
    paths : tuple of Path
        The files, in order; several only of delimited text.
    unit : str
        Unit of their numbers, a key of `units.METRES`.
    columns : str or None
        One letter a column, of ``PNEZDSR-``, X and Y for E and N; None: PNEZD, or a header row.
    codes : tuple of str
        Shell-style patterns; only points whose description matches one are kept. Empty: all.
    layer : str or None
        Layer of a DXF.
    sheet : str or None
        Sheet of a workbook.
    setups : Setups or None
        What rod readings are taken off.
    ignores_unit : bool
        Whether what the file says of its own unit is passed over.
    notation : str or None
        How its lengths are written, one of `lengths.NOTATIONS`; None: not stated.
    least : int
        Fewest shots that will do, of delimited text: three make a surface, two a line, one
        is a recheck.
    key : str
        Table of the job that names them, for errors.
    columns_of_base : str or None
        What the job says the columns of the base's files are, where it says nothing of these: a
        file without a header is then not taken for PNEZD.
    """

    paths: tuple[Path, ...]
    unit: str
    columns: str | None = None
    codes: tuple[str, ...] = ()
    layer: str | None = None
    sheet: str | None = None
    setups: Setups | None = None
    ignores_unit: bool = False
    notation: str | None = None
    least: int = 3
    key: str = field(default="base", compare=False)
    columns_of_base: str | None = None


@dataclass(frozen=True, slots=True)
class Cloud:
    """
    A point cloud: LAS, LAZ, COPC, PLY or text.

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
    ground : {"auto"} or bool
        Whether points that are not base by their shape are taken away. ``"auto"``: not where
        `classes` are named; of a cloud that has ground (class 2) that alone is kept; else they are.
    columns : str or None
        Of text, one letter a column as for `Shots`; None: ENZ, or what a header row says.
    ignores_unit : bool
        Whether what the file says of its own unit is passed over.
    """

    paths: tuple[Path, ...]
    unit: str
    cell: float | None = None
    classes: tuple[int, ...] = ()
    ground: Literal["auto"] | bool = "auto"
    columns: str | None = None
    ignores_unit: bool = False


@dataclass(frozen=True, slots=True)
class Control:
    """
    Shots that a cloud is compared with.

    Attributes
    ----------
    apply : bool
        Whether their mean is added to the cloud.
    on : {"base", "tops"}
        What they stand on: the base, or the tops of forms and of other marks.
    """

    shots: Shots
    apply: bool = False
    on: Literal["base", "tops"] = "base"


@dataclass(frozen=True, slots=True)
class SurfaceFile:
    """
    A surface with faces of its own.

    Attributes
    ----------
    path : Path
        PLY, OBJ, STL, LandXML, DXF or GeoTIFF.
    unit : str
        Unit of its numbers; a file that declares another is refused.
    layer : str or None
        Layer of a DXF.
    name : str or None
        Surface of a LandXML.
    ignores_unit : bool
        Whether what the file says of its own unit is passed over.
    """

    path: Path
    unit: str
    layer: str | None = None
    name: str | None = None
    ignores_unit: bool = False


@dataclass(frozen=True, slots=True)
class OutlineFile:
    """
    A ring in a file, CSV, GeoJSON or DXF.

    Attributes
    ----------
    unit : str
        Unit of its numbers, a key of `units.METRES`.
    layer : str or None
        Layer of a DXF.
    sheet : str or None
        Sheet of a workbook.
    ignores_unit : bool
        Whether what the file says of its own unit is passed over.
    """

    path: Path
    unit: str
    layer: str | None = None
    sheet: str | None = None
    ignores_unit: bool = False


@dataclass(frozen=True, slots=True)
class CodedOutline:
    """A ring drawn by coded shots, in the order of the file."""

    shots: Shots


@dataclass(frozen=True, slots=True)
class Rechecks:
    """Later shots, and what earlier ones they retire: within a radius or an outline (m, 2), m."""

    shots: Shots
    radius: float | None = None
    outline: FloatArray | None = None


BaseSource: TypeAlias = Shots | Cloud | SurfaceFile | Rods | Depths | Sheets


def is_one_sheet(one: str | None, other: str | None) -> bool:
    """Whether two names are of one sheet of a workbook: what has none is its only one."""
    names = [" ".join(name.split()).casefold() for name in (one, other) if name]
    return len(set(names)) < 2
