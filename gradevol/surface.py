"""A surface: a TIN over the plan, each triangle a plane."""

from dataclasses import dataclass, field

import numpy as np

from gradevol._types import BoolArray, FloatArray, IntArray


@dataclass(frozen=True, slots=True)
class Blend:
    """
    Points that a surface has beside the shots, each a weighted mean of shots.

    Attributes
    ----------
    point, shot : (m,) array of int
        Index of the surface's point, and of a shot it rests on.
    weight : (m,) array of float
        Share of that shot; the shares of one point add up to 1.
    """

    point: IntArray
    shot: IntArray
    weight: FloatArray


NO_BLEND = Blend(np.empty(0, np.intp), np.empty(0, np.intp), np.empty(0))


@dataclass(frozen=True, slots=True)
class Surface:
    """
    Triangles over the plan; they do not overlap.

    Attributes
    ----------
    points : (p, 3) array of float
        Easting, northing, elevation about the job's origin, m.
    triangles : (t, 3) array of int
        Rows of `points`, counter-clockwise in plan.
    is_surveyed : (t,) array of bool
        False where a triangle lies beyond the outermost shots and is held level.
    blend : Blend
        How points that are no shots rest on shots; a shot's own index is the same in the survey's
        merged points and here.
    """

    points: FloatArray
    triangles: IntArray
    is_surveyed: BoolArray
    blend: Blend = field(default=NO_BLEND)

    def __post_init__(self) -> None:
        if self.triangles.ndim != 2 or self.triangles.shape[1] != 3:
            raise ValueError(f"triangles must be (t, 3), not {self.triangles.shape}")
        if len(self.is_surveyed) != len(self.triangles):
            raise ValueError(f"{len(self.is_surveyed)} flags for {len(self.triangles)} triangles")
        for array in (self.points, self.triangles, self.is_surveyed):
            array.setflags(write=False)

    @property
    def corners(self) -> FloatArray:
        """Corners of every triangle, (t, 3, 3), m."""
        return self.points[self.triangles]
