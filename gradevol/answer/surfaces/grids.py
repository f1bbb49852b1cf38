"""Grids of the thickness, and of what is to cut and fill, on round cells of the job's own grid."""

from dataclasses import dataclass

import numpy as np

from gradevol.answer.drawing.sampling import sample
from gradevol.answer.result import Result
from gradevol.answer.rounding import LENGTH
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES

#: Cells along the longer side of a grid, at most; its cell is one of these times a power of ten.
_MOST_CELLS = 1000
_CELLS = (1.0, 2.0, 2.5, 5.0)
#: No finer than this in the unit of length: a tenth of a foot, a twentieth of a metre.
_FINEST = {"m": 0.05, "ft": 0.1, "us-ft": 0.1}


@dataclass(frozen=True, slots=True)
class Grid:
    """
    Numbers on square cells.

    Attributes
    ----------
    values : (ny, nx) array of float
        At the middles of cells, rows from north to south; not a number where there is none.
    west, north : float
        Corner of the first cell.
    cell : float
        Side of a cell; all in one unit.
    """

    values: FloatArray
    west: float
    north: float
    cell: float


def grid_thickness(result: Result) -> Grid:
    """Thickness of the concrete: design top less base."""
    field = result.field
    return _grid(field.corners, field.thickness, choose_cell(result), result)


def grid_cut_fill(result: Result) -> Grid:
    """Design base less base: positive to fill, negative to cut."""
    # within a thickening that the shots show, nothing is measured against the design base
    field, is_slab = result.field, ~result.field.is_trench
    room = field.thickness[is_slab] - result.slab.thickness
    return _grid(field.corners[is_slab], room, choose_cell(result), result)


def choose_cell(result: Result) -> float:
    """Side of a cell of the grids, m: round in the job's unit, fit for the slab's size."""
    unit = result.units.length
    finest = float(np.ptp(result.slab.edge, axis=0).max()) / METRES[unit] / _MOST_CELLS
    if finest <= _FINEST[unit]:
        return _FINEST[unit] * METRES[unit]
    power = 10.0 ** np.floor(np.log10(finest))
    steps = (power * part for part in (*_CELLS, 10.0))
    return float(next(step for step in steps if step >= finest)) * METRES[unit]


def _grid(corners: FloatArray, value: FloatArray, cell: float, result: Result) -> Grid:
    metres = METRES[result.units.length]
    image = sample(corners, value, cell=cell)
    west, _, _, north = image.extent
    corner = np.round((np.array([west, north]) + result.survey.origin[:2]) / metres, LENGTH) + 0.0
    return Grid(
        image.thickness[::-1] / metres, float(corner[0]), float(corner[1]), image.cell / metres
    )
