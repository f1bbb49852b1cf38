"""
Drawing: what pictures, the page's plan and the sheet's map are drawn from, as plain arrays.

A renderer asks for `draw_up` and reads what it gives. Of the modules it may use `sampling`, the
types of the parts, and what hangs on the size of a picture: `captions` and `marking` for words,
`room` and `badges` for places.
"""

from dataclasses import dataclass, fields, is_dataclass

import numpy as np

from gradevol.answer.drawing.bands import Bands, Moves, choose_bands, choose_moves
from gradevol.answer.drawing.captions import Captions, write_captions
from gradevol.answer.drawing.cast_in import CastIn, draw_cast_in
from gradevol.answer.drawing.field import DrawnField, draw_field
from gradevol.answer.drawing.lattice import Lattice, draw_lattice
from gradevol.answer.drawing.marking import Marking, plan_markings
from gradevol.answer.drawing.relief import Relief, draw_relief
from gradevol.answer.drawing.shots import Shots, draw_shots
from gradevol.answer.drawing.slab import DrawnSlab, draw_slab
from gradevol.answer.drawing.spots import DrawnSpots, draw_spots
from gradevol.answer.drawing.water import Water, draw_water
from gradevol.answer.grade import Grade, find_grade
from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import Units


@dataclass(frozen=True, slots=True)
class Drawing:
    """
    A result drawn up: all about the survey's origin, m; rings are not closed, holes among them.

    Attributes
    ----------
    title : str
    units : Units
    origin : (3,) array of float
        The survey's, m.
    slab : DrawnSlab
    field : DrawnField
        The thickness itself.
    relief : Relief
        The same as a map shows it.
    bands : Bands
    moves : Moves
    spots : DrawnSpots
    cast_in : CastIn
    shots : Shots
    markings : tuple of Marking
        Ways to mark a map; `marking.choose_marking` chooses.
    water : Water
    captions : Captions
    lattice : Lattice
        Rows and columns of a rod sheet.
    grade : Grade
        What G means, and how moves are marked.
    """

    title: str
    units: Units
    origin: FloatArray
    slab: DrawnSlab
    field: DrawnField
    relief: Relief
    bands: Bands
    moves: Moves
    spots: DrawnSpots
    cast_in: CastIn
    shots: Shots
    markings: tuple[Marking, ...]
    water: Water
    captions: Captions
    lattice: Lattice
    grade: Grade


def draw_up(result: Result) -> Drawing:
    """Draw up a result for pictures."""
    slab, shots, bands = draw_slab(result), draw_shots(result), choose_bands(result)
    relief, lattice, grade = draw_relief(result, bands), draw_lattice(shots), find_grade(result)
    drawing = Drawing(
        title=result.title,
        units=result.units,
        origin=result.survey.origin,
        slab=slab,
        field=draw_field(result),
        relief=relief,
        bands=bands,
        moves=choose_moves(grade),
        spots=draw_spots(result),
        cast_in=draw_cast_in(result),
        shots=shots,
        markings=plan_markings(result, slab, shots),
        water=draw_water(result),
        captions=write_captions(result, relief, shots, lattice),
        lattice=lattice,
        grade=grade,
    )
    _freeze(drawing)
    return drawing


def _freeze(part: object) -> None:
    """Make every array of a drawing read-only."""
    if isinstance(part, np.ndarray):
        part.setflags(write=False)
    elif isinstance(part, tuple) and not (part and isinstance(part[0], str)):
        for item in part:
            _freeze(item)
    elif is_dataclass(part):
        for held in fields(part):
            _freeze(getattr(part, held.name))
