"""The thickness as pictures have it: triangles, and what of them no shot surrounds."""

from dataclasses import dataclass

import numpy as np

from gradevol.answer.drawing.slab import rings_of
from gradevol.answer.result import Result
from gradevol.geometry.nodes import OnNodes
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray, RowArray
from gradevol.measures.contours import outline_beyond


@dataclass(frozen=True, slots=True)
class DrawnField(OnNodes):
    """
    Plan triangles that tile the slab, about the survey's origin, m.

    Attributes
    ----------
    places : (n, 2) array of float
        Nodes, which pieces share.
    thickness_at, base_at : (n,) array of float
        Of the concrete, and elevation of the base, at the nodes.
    rows : (k, 3) array of int
        The nodes at each piece's corners.
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

    places: FloatArray
    thickness_at: FloatArray
    base_at: FloatArray
    rows: RowArray
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
        places=field.places,
        thickness_at=field.thickness_at,
        base_at=field.base_at,
        rows=field.rows,
        is_surveyed=field.is_surveyed,
        is_trench=field.is_trench,
        parent=field.parent,
        beyond=beyond,
        least_at=result.thickness.min_at,
        top=np.asarray(result.top.surface.corners),
    )
