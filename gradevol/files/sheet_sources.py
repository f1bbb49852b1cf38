"""Field sheets of rod readings and of depths, as a job names them; see `sources`."""

from dataclasses import dataclass
from pathlib import Path

from gradevol.files.setups import Setups


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
        The file.
    unit : str
        Unit of its readings, a key of `units.METRES`.
    lattice : Lattice
    instrument : float or Setups
        Elevation of the line of sight, m; or the setups that the sheet names row by row.
    sheet : str or None
        Sheet of a workbook.
    setup : str
        The setup of rows that name none; empty where the job does not say.
    ignores_unit : bool
        Whether what the sheet says of its own unit is passed over.
    notation : str or None
        As in `sources.Shots`.
    """

    path: Path
    unit: str
    lattice: Lattice
    instrument: float | Setups
    sheet: str | None = None
    setup: str = ""
    ignores_unit: bool = False
    notation: str | None = None

    @property
    def title(self) -> str:
        """What to call it: the name of its sheet, or of its file."""
        return self.sheet or self.path.stem

    @property
    def setups(self) -> Setups | None:
        """The setups that the job lists, where the sheet is read off them."""
        return self.instrument if isinstance(self.instrument, Setups) else None


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
    sheet : str or None
        Sheet of a workbook.
    columns : str or None
        For points without a header row: one letter a column, of ``PNETD-``.
    string : String or None
        None: the job does not say.
    ignores_unit : bool
        Whether what the file says of its own unit is passed over.
    notation : str or None
        As in `sources.Shots`.
    """

    path: Path
    unit: str
    lattice: Lattice
    sheet: str | None = None
    columns: str | None = None
    string: String | None = None
    ignores_unit: bool = False
    notation: str | None = None

    @property
    def title(self) -> str:
        """What to call it: the name of its sheet, or of its file."""
        return self.sheet or self.path.stem


@dataclass(frozen=True, slots=True)
class Sheets:
    """Several sheets of rod readings, or of depths, each with its own place; none twice."""

    parts: tuple[Rods, ...] | tuple[Depths, ...]

    @property
    def unit(self) -> str:
        """Unit of the first sheet's readings."""
        return self.parts[0].unit

    @property
    def setups(self) -> Setups | None:
        """The setups that the job lists, where the sheets are read off them."""
        for part in self.parts:
            if isinstance(part, Rods) and part.setups is not None:
                return part.setups
        return None
