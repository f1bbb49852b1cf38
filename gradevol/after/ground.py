"""What was known before the pour."""

from dataclasses import dataclass

from gradevol.measures.base import BaseSurface
from gradevol.measures.concrete import Concrete
from gradevol.measures.thickness import ThicknessField
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Design
from gradevol.uncertainty.interpolation import Between
from gradevol.uncertainty.interval import Interval


@dataclass(frozen=True, slots=True)
class Ground:
    """
    What was known before the pour: a check's own, m about its origin.

    Attributes
    ----------
    slab : Slab
    design : Design
        The design top's.
    field : ThicknessField
        Design top less base.
    base : BaseSurface
    survey : Survey
    concrete : Concrete
    interval : Interval
    between : Between
    flush_sides : tuple of int
    """

    slab: Slab
    design: Design
    field: ThicknessField
    base: BaseSurface
    survey: Survey
    concrete: Concrete
    interval: Interval
    between: Between
    flush_sides: tuple[int, ...] = ()
