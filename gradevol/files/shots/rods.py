"""Rod shots in delimited text: elevations from setups, checked against those written beside."""

import numpy as np

from gradevol.files.setups import Setups, fold, heights_of_instrument
from gradevol.files.tables.cells import parse_numbers, read_coordinates
from gradevol.files.tables.rows import Fitted
from gradevol.files.tables.text import count_decimals
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

#: How far an elevation in feet and inches may be off its rod reading, m: half an eighth of an inch.
_HALF_EIGHTH = 0.0254 / 16


def takes_rods(fitted: Fitted, setups: Setups | None) -> bool:
    """
    Whether elevations are worked out from rod readings, rather than read.

    Where the job does not list setups for these shots, they are only if there are no elevations,
    or every shot names a setup that is known.
    """
    if setups is None or "R" not in fitted.letters:
        return False
    if setups.is_stated or "Z" not in fitted.letters:
        return True
    known = {fold(setup.name) for setup in setups.known}
    return {fold(name) for name in fitted.column("S")} <= known


def level_shots(fitted: Fitted, setups: Setups, *, unit: str) -> tuple[FloatArray, tuple[str, ...]]:
    """
    Work out elevations: height of instrument less rod reading.

    Parameters
    ----------
    fitted : Fitted
        Rows with columns N, E, R, and S where there are several setups.
    setups : Setups
    unit : str
        Unit of bare numbers, a key of `units.METRES`.

    Returns
    -------
    points : (n, 3) array of float
        Easting, northing, elevation, m.
    names : tuple of str
        The setup of each, as the job has it.

    Raises
    ------
    InputError
        If a row has no number or no known setup, a reading is negative, or an elevation written
        beside it is another.
    """
    table = fitted.table
    lines = fitted.lines
    points = read_coordinates(fitted, "ENR", unit=unit)
    negative = np.flatnonzero(points[:, 2] < 0)
    if len(negative):
        first = negative[0]
        raise InputError(
            f"the rod reading {fitted.column('R')[first]!r} is negative",
            remedy="Correct it: a rod stands on the base and is read upwards",
            path=table.path,
            line=lines[first],
        )
    heights, names = heights_of_instrument(fitted.column("S"), setups, path=table.path, lines=lines)
    points[:, 2] = heights - points[:, 2]
    if "Z" in fitted.letters:
        _check_elevations(fitted, points[:, 2], heights, setups=setups, names=names, unit=unit)
    return points, names


def _check_elevations(
    fitted: Fitted,
    level: FloatArray,
    heights: FloatArray,
    *,
    setups: Setups,
    names: tuple[str, ...],
    unit: str,
) -> None:
    """Refuse elevations in the file that are not height of instrument less rod reading."""
    table, cells = fitted.table, fitted.column("Z")
    written = parse_numbers(cells, decimal=table.decimal, unit=unit, notation=fitted.notation)
    allowed = np.array([_half_digit(cell, unit) for cell in cells])
    is_off = np.array([bool(cell) for cell in cells])
    is_off &= ~(np.abs(written - level) <= allowed + 1e-6)  # also where it is no number
    if not is_off.any():
        return
    first, count = int(np.flatnonzero(is_off)[0]), int(is_off.sum())
    rod, size = fitted.column("R")[first], METRES[unit]
    more = f"; {count} rows differ in all" if count > 1 else ""
    raise InputError(
        f"{fitted.column('P')[first] or 'a shot'} is written at elevation {cells[first]}, but its "
        f"rod reading {rod} from setup {names[first]} (instrument height "
        f"{heights[first] / size:.3f}) makes {level[first] / size:.3f} {unit}{more}",
        remedy=f"Correct the row, or the setup in {setups.key}; or leave {setups.key} out to use "
        "the elevations as written",
        path=table.path,
        line=table.lines[fitted.places[first]],
    )


def _half_digit(cell: str, unit: str) -> float:
    """Half a unit of the last digit written, m."""
    decimals = count_decimals(cell)
    return _HALF_EIGHTH if decimals is None else 0.5 * METRES[unit] / 10**decimals
