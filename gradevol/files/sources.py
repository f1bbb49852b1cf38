"""Where measurements come from, as a job names them: paths, units, and how to read them.

`job` fills these in; the readers beside this module take them.
"""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal, TypeAlias

from gradevol.ground.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Setup:
    """
    An instrument setup.

    Attributes
    ----------
    name : str
        As the shots name it.
    height : float
        Elevation of the line of sight, m.
    closing : float or None
        Rod reading of its closing shot, m.
    closing_benchmark : float or None
        Elevation of the mark that was shot for it, m.
    """

    name: str
    height: float
    closing: float | None = None
    closing_benchmark: float | None = None


@dataclass(frozen=True, slots=True)
class Setups:
    """
    The setups of rod shots.

    Attributes
    ----------
    key : str
        Where the job lists them, for messages: ``base.setups``.
    known : tuple of Setup
    is_stated : bool
        Whether the job says that these shots are from them; False: the shots may be from setups
        of the base, and are where the names match.
    is_own : bool
        Whether they are listed for these shots alone, which then tell how they closed.
    """

    key: str
    known: tuple[Setup, ...]
    is_stated: bool = True
    is_own: bool = True


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
    """

    paths: tuple[Path, ...]
    unit: str
    columns: str | None = None
    codes: tuple[str, ...] = ()
    layer: str | None = None
    setups: Setups | None = None
    ignores_unit: bool = False
    notation: str | None = None
    least: int = 3
    key: str = field(default="base", compare=False)


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
    shots : Shots
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
    path : Path
    unit : str
        Unit of its numbers, a key of `units.METRES`.
    layer : str or None
        Layer of a DXF.
    ignores_unit : bool
        Whether what the file says of its own unit is passed over.
    """

    path: Path
    unit: str
    layer: str | None = None
    ignores_unit: bool = False


@dataclass(frozen=True, slots=True)
class Lattice:
    """
    Where the rows and columns of a field sheet lie.

    Attributes
    ----------
    unit : str
        Unit of labels that are offsets, a key of `units.METRES`.
    origin : (float, float)
        Easting and northing from which offsets count, or of the first row and column, m.
    spacing : (float, float) or None
        Between columns and between rows, m; None: the labels are offsets.
    bearing : float
        Azimuth in which rows advance, degrees clockwise from north; columns go to its right.
    """

    unit: str
    origin: tuple[float, float] = (0.0, 0.0)
    spacing: tuple[float, float] | None = None
    bearing: float = 0.0


@dataclass(frozen=True, slots=True)
class Rods:
    """
    A field sheet of rod readings.

    Attributes
    ----------
    path : Path
        The sheet.
    unit : str
        Unit of its readings, a key of `units.METRES`.
    lattice : Lattice
    instrument : float or Setups
        Elevation of the line of sight, m; or the setups that the sheet names row by row.
    setup : str
        The setup of rows that name none; empty where the job does not say.
    notation : str or None
        As in `Shots`.
    """

    path: Path
    unit: str
    lattice: Lattice
    instrument: float | Setups
    setup: str = ""
    notation: str | None = None


@dataclass(frozen=True, slots=True)
class String:
    """
    The string that depths were measured from.

    Attributes
    ----------
    span : float
        Between the forms it is pulled over, m; 0: a straightedge.
    tension : float
        N.
    weight : float
        N a metre.
    pull : str
        Both in the words of the job.
    is_corrected : bool
        Whether depths are made longer by its mean sag.
    """

    span: float
    tension: float
    weight: float
    pull: str
    is_corrected: bool = False


@dataclass(frozen=True, slots=True)
class Depths:
    """
    Depths measured down from the top of slab, at points or on a lattice.

    Attributes
    ----------
    path : Path
        The sheet or the points.
    unit : str
        Unit of its depths, and of the coordinates of points; a key of `units.METRES`.
    lattice : Lattice
        For a sheet.
    columns : str or None
        For points without a header row: one letter a column, of ``PNETD-``.
    string : String or None
        None: the job does not say.
    ignores_unit : bool
        Whether what the file says of its own unit is passed over.
    notation : str or None
        As in `Shots`.
    """

    path: Path
    unit: str
    lattice: Lattice
    columns: str | None = None
    string: String | None = None
    ignores_unit: bool = False
    notation: str | None = None


@dataclass(frozen=True, slots=True)
class Sheets:
    """Several sheets of rod readings, or of depths, each with its own place; no file twice."""

    parts: tuple[Rods, ...] | tuple[Depths, ...]

    @property
    def unit(self) -> str:
        """Unit of the first sheet's readings."""
        return self.parts[0].unit

    @property
    def setups(self) -> Setups | None:
        """The setups that the job lists, where the sheets are read off them."""
        for part in self.parts:
            if isinstance(part, Rods) and isinstance(part.instrument, Setups):
                return part.instrument
        return None


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
