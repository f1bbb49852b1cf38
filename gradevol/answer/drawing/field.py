"""The thickness as pictures have it: triangles, and what of them no shot surrounds."""

from dataclasses import dataclass

import numpy as np

from gradevol.answer.drawing.slab import rings_of
from gradevol.answer.result import Result
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray
from gradevol.measures.contours import outline_beyond


@dataclass(frozen=True, slots=True)
class DrawnField:
    """
    Plan triangles that tile the slab, about the survey's origin, m.

    Attributes
    ----------
    corners : (k, 3, 2) array of float
    thickness, base : (k, 3) array of float
        Of the concrete, and elevation of the base, at the corners.
    is_surveyed, is_trench : (k,) array of bool
        Whether shots surround it; whether it lies within a thickening that the shots show.
    parent : (k,) array of int
        The triangle of the base that holds it.
    beyond : tuple of (n, 2) arrays of float
        Rings around what no shot surrounds: what lies in an odd number of them.
    least_at : (float, float)
        Where the concrete is thinnest.
    top : (t, 3, 3) array of float
        Triangles of the design top.
    """

    corners: FloatArray
    thickness: FloatArray
    base: FloatArray
    is_surveyed: BoolArray
    is_trench: BoolArray
    parent: AnyArray
    beyond: tuple[FloatArray, ...]
    least_at: tuple[float, float]
    top: FloatArray


def draw_field(result: Result) -> DrawnField:
    """Draw up the thickness."""
    field = result.field
    beyond = () if field.is_surveyed.all() else rings_of(outline_beyond(field))
    return DrawnField(
        corners=field.corners,
        thickness=field.thickness,
        base=field.base,
        is_surveyed=field.is_surveyed,
        is_trench=field.is_trench,
        parent=field.parent,
        beyond=beyond,
        least_at=result.thickness.min_at,
        top=np.asarray(result.top.surface.corners),
    )
