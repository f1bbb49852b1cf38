"""Pieces: what a modelled pour is made of, so that a page cuts fronts out of it as the check does.

`PourModel.measure` cuts the field along a front, slices the thickenings that it crosses and shares
out the voids. Each of these is a sum over plan pieces with a linear height, and over lengths of
line: a page that adds up the same pieces finds the same volume.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from gradevol.after.model import PourModel
from gradevol.geometry.clipping import overlay
from gradevol.geometry.planes import level_in
from gradevol.geometry.prisms import plan_area, volume_above
from gradevol.geometry.rings import triangulate_polygon
from gradevol.ground.arrays import FloatArray
from gradevol.measures.concrete import part_line
from gradevol.measures.field import ThicknessField
from gradevol.site.slab import Void
from gradevol.site.thickening import slices_of

#: Pieces of a field that are listed as they are: of more, squares of their mean thickness are.
MOST_PIECES = 20_000
#: Such squares, about.
_SQUARES = 5_000


@dataclass(frozen=True, slots=True)
class Pieces:
    """
    What a modelled pour is made of, m.

    Attributes
    ----------
    corners : (n, 3, 3) array of float
        Easting, northing and height at the corners of plan triangles; what is positive counts.
    own : int
        The first so many tile what is poured; the others are slices of thickenings on top.
    lines : tuple of ((2, 2) array of float, float)
        Straight runs of voids in what is poured, and what each displaces, m³/m.
    flat : float
        Displaced anywhere alike, m³/m².
    is_exact : bool
        Whether the field's own pieces are listed.
    """

    corners: FloatArray
    own: int
    lines: tuple[tuple[FloatArray, float], ...]
    flat: float
    is_exact: bool


def list_pieces(model: PourModel, *, most: int = MOST_PIECES) -> Pieces:
    """
    List the pieces of a modelled pour.

    Parameters
    ----------
    model : PourModel
    most : int
        Most pieces of the field that are listed as they are.
    """
    is_exact = len(model.field.corners) <= most
    own = (
        np.dstack([model.field.corners, model.field.thickness])
        if is_exact
        else _level_squares(model.field, model.zone)
    )
    slices = [
        _raise(shapely.intersection(outline, model.zone), depth)
        for part in model.slab.thickenings
        if part.surveyed != "yes"
        for outline, depth in slices_of(part, model.slab)
    ]
    flat = 0.0
    lines: list[tuple[FloatArray, float]] = []
    for void in model.slab.voids:
        runs = _find_runs(void, model)
        lines += runs or ()
        flat += void.volume / model.slab.area if runs is None else 0.0
    return Pieces(np.concatenate([own, *slices]), len(own), tuple(lines), flat, is_exact)


def _raise(outline: shapely.Geometry, height: float) -> FloatArray:
    """Triangles (n, 3, 3) of an outline, all of one height."""
    plan = np.empty((0, 3, 2)) if outline.is_empty else triangulate_polygon(outline)
    return np.dstack([plan, np.full((len(plan), 3), height)])


def _find_runs(void: Void, model: PourModel) -> list[tuple[FloatArray, float]] | None:
    """Straight runs of a void in what is poured; None where it goes by area."""
    if void.line is None:
        return None
    line = shapely.LineString(void.line[:, :2])
    within = float(shapely.intersection(line, model.slab.outline).length)
    if within <= 0:
        return None
    inside, between = part_line(line, model.zone, model.slab.outline)
    return [
        (np.array(run), share * void.volume / within)
        for held, share in ((inside, 1.0), (between, 0.5))
        for part in shapely.get_parts(held)
        if part.length > 0
        for run in pairwise(part.coords)
    ]


def _level_squares(field: ThicknessField, zone: shapely.Geometry) -> FloatArray:
    """Triangles (n, 3, 3) of squares of what is poured, each as high as it holds on average."""
    west, south, east, north = zone.bounds
    side = float(np.sqrt((east - west) * (north - south) / _SQUARES))
    places = np.mgrid[west:east:side, south:north:side].reshape(2, -1).T
    squares = shapely.box(*places.T, *(places + side).T)
    faces = triangulate_polygon(shapely.intersection(squares, zone))
    corners, parent, holder = overlay(field.corners, faces)
    thickness = level_in(np.dstack([field.corners, field.thickness]), parent, corners)
    volumes = np.bincount(holder, volume_above(plan_area(corners), thickness), len(faces))
    heights = volumes / plan_area(faces)
    return np.dstack([faces, np.repeat(heights[:, None], 3, axis=1)])
