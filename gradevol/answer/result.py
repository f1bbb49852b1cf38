"""The result: the whole answer, in metres, one frozen tree."""

from dataclasses import dataclass

from gradevol.doubts.suspects import Suspect
from gradevol.ground.notes import Note
from gradevol.ground.units import Units
from gradevol.job.inputs import Record
from gradevol.measures.adjustments import Move
from gradevol.measures.base import BaseSurface
from gradevol.measures.concrete import Concrete
from gradevol.measures.cover import Cover
from gradevol.measures.drainage import Drainage
from gradevol.measures.field import ThicknessField
from gradevol.measures.grading import Grading
from gradevol.measures.height import Height
from gradevol.measures.spots import Spots
from gradevol.measures.thickness import Moments
from gradevol.plan.fixes import Work
from gradevol.plan.fixes.fix import Found
from gradevol.plan.fixes.outcome import Outcome
from gradevol.plan.order import Order
from gradevol.plan.order.delivery import Delivery
from gradevol.site.metadata import Credits, Marks
from gradevol.site.rechecks import Epochs
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface
from gradevol.site.survey import Survey
from gradevol.site.top import Design, Top
from gradevol.uncertainty.interpolation import Between
from gradevol.uncertainty.interval import Interval
from gradevol.uncertainty.next_shots import NextShots
from gradevol.uncertainty.thin_risk import Hidden

_NONE = Work()
_NOBODY = Credits()
_NOTHING = Delivery()
_NO_OUTCOME = Outcome()
_NO_RECORD = Record()


@dataclass(frozen=True, slots=True)
class Without:
    """
    What is found without the suspect shots.

    Attributes
    ----------
    found : Found
        What is off, also on ground that nobody shot.
    """

    thickness: Moments
    found: Found


@dataclass(frozen=True, slots=True, repr=False, eq=False)  # arrays have no one answer to ==
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
    without_suspects : Without or None
        What else is found without them; None as above.
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
    interval : Interval or None
        Between what `concrete.volume` lies, and what makes it unsure.
    drainage : Drainage or None
        What water does on the design top.
    moves : tuple of Move
        What moving the top would do; nothing is chosen.
    base : Surface or None
        The base that the field rests on, also beyond the slab; trench shots stand in it raised
        (`trench.lift_trench_shots`). Only exports need it.
    work : Work
        The plan of work: what is put right, where its material goes, what it costs.
    delivery : Delivery
        What is poured, and what is ordered for it.
    credits : Credits
        Who measured, when, with what: printed, never used.
    flush_sides : tuple of int
        Sides of the slab, counted from 1, where its top meets what stands there already.
    hidden : Hidden or None
        Thin concrete as the shots lead one to expect it, seen or not; None where they tell too
        little.
    next_shots : NextShots or None
        Where to shoot next.
    outcome : Outcome
        The concrete once the lines of work are done.
    height : Height or None
        What a cloud's height is worth in concrete; None of any other survey.
    marks : {"hundredths", "inches"}
        How cut and fill are marked in jobs in feet and inches; metric ones have millimetres.
    ground : BaseSurface or None
        The base's surface with the shots' places on it: what a reconciliation goes on from.
    design : Design or None
        The design top as the job has it, its files read.
    between : Between or None
        What the base does between the shots.
    record : Record
        What the figures were made from.
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
    interval: Interval | None = None
    drainage: Drainage | None = None
    moves: tuple[Move, ...] = ()
    base: Surface | None = None
    work: Work = _NONE
    delivery: Delivery = _NOTHING
    credits: Credits = _NOBODY
    flush_sides: tuple[int, ...] = ()
    hidden: Hidden | None = None
    next_shots: NextShots | None = None
    outcome: Outcome = _NO_OUTCOME
    height: Height | None = None
    marks: Marks = "hundredths"
    without_suspects: Without | None = None
    ground: BaseSurface | None = None
    design: Design | None = None
    between: Between | None = None
    record: Record = _NO_RECORD

    def __repr__(self) -> str:
        volume = self.units.say_volume(self.concrete.volume)
        return f"<Result of {self.title!r}: {volume} of concrete; {len(self.notes)} notes>"

    @property
    def order(self) -> Order | None:
        """What to order for all of the slab in one pour; None where the job asks for none."""
        return self.delivery.order
