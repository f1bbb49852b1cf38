"""The result: the whole answer, in metres, one frozen tree."""

from dataclasses import dataclass

from gradevol.concrete import Concrete
from gradevol.cover import Cover
from gradevol.drainage import Drainage
from gradevol.grading import Grading
from gradevol.moving import Move
from gradevol.notes import Note
from gradevol.rechecks import Epochs
from gradevol.screening import Suspect
from gradevol.slab import Slab
from gradevol.spots import Spots
from gradevol.surface import Surface
from gradevol.survey import Survey
from gradevol.thickness import Moments, ThicknessField
from gradevol.top import Top
from gradevol.units import Units


@dataclass(frozen=True, slots=True)
class Result:
    """
    What `check_job` found. Lengths are metres about the survey's origin.

    Attributes
    ----------
    title : str
    units : Units
        The units that the answer is given in.
    survey : Survey
        The base as measured.
    used : int
        Points the surface rests on: one a place.
    suspects : tuple of Suspect
    volume_without_suspects : float or None
        Concrete without the suspect shots, m³; None where there are none, or where too little is
        left without them.
    coverage : float
        Share of the slab's area within the survey, 0 to 1.
    slab : Slab
    top : Top
    field : ThicknessField
    thickness : Moments
    concrete : Concrete
    grading : Grading
    thin : Spots
    high, low : Spots or None
        None where the job states no tolerance.
    widest_gap : float or None
        Diameter of the largest circle within the slab that holds no shot, m.
    cover : tuple of Cover
    notes : tuple of Note
    epochs : Epochs or None
        Both epochs, where the base was reworked and shot again.
    volume_before_rechecks : float or None
        Concrete over the base before it was reworked, m³.
    drainage : Drainage or None
        What water does on the design top.
    moves : tuple of Move
        What moving the top would do; nothing is chosen.
    base : Surface or None
        The base that the field rests on, also beyond the slab; trench shots stand in it raised
        (`trench.lift_trench_shots`). Only exports need it.
    """

    title: str
    units: Units
    survey: Survey
    used: int
    suspects: tuple[Suspect, ...]
    volume_without_suspects: float | None
    coverage: float
    slab: Slab
    top: Top
    field: ThicknessField
    thickness: Moments
    concrete: Concrete
    grading: Grading
    thin: Spots
    high: Spots | None
    low: Spots | None
    widest_gap: float | None
    cover: tuple[Cover, ...]
    notes: tuple[Note, ...]
    epochs: Epochs | None = None
    volume_before_rechecks: float | None = None
    drainage: Drainage | None = None
    moves: tuple[Move, ...] = ()
    base: Surface | None = None
