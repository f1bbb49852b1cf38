"""Surfaces: what exports hold, in the job's own coordinates and unit.

`compose_surfaces` makes them of a result; nothing else of this room is needed outside but the
types: `meshes.Mesh`, `grids.Grid`, `lines.LevelLines`.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.answer.drawing.bands import choose_bands
from gradevol.answer.result import Result
from gradevol.answer.setting_out import Stakes, find_stakes
from gradevol.answer.surfaces.grids import Grid, grid_cut_fill, grid_thickness
from gradevol.answer.surfaces.lines import LevelLines, trace_contours, trace_thickness
from gradevol.answer.surfaces.meshes import (
    Mesh,
    mesh_base,
    mesh_body,
    mesh_slab,
    mesh_top,
    nest_rings,
    put_places,
)
from gradevol.answer.tree.spots import sort_spots
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES


@dataclass(frozen=True, slots=True)
class Surfaces:
    """
    What exports hold, as it is written.

    Attributes
    ----------
    base, top, slab : Mesh
        The base as surveyed, the design top, and the base under the slab with its thickness.
    body, single_body : Mesh or None
        The concrete as one closed solid, in full and in single precision; None where there is none.
    is_raised : bool
        Whether trench shots stand in the base raised by their thickening's drawn depth.
    shots : (n, 3) array of float
    names, codes : tuple of str
        Of the shots; empty for a cloud.
    edge : (k, 2) array of float
        Corners of the slab.
    outline : list of list of (n, 2) arrays
        Polygons of the slab, the holes of each behind it.
    spots : dict of list
        Polygons of each listed spot, under ``thin``, ``high`` and ``low``.
    stakes : Stakes
        What is set out; `staked` are its places with the design base, (m, 3), as a rod reads it
        whose foot stands above the base as that of the shots did.
    scale : (float, float)
        Least and greatest thickness of the colours.
    """

    base: Mesh
    top: Mesh
    slab: Mesh
    body: Mesh | None
    single_body: Mesh | None
    is_raised: bool
    shots: FloatArray
    names: Sequence[str]
    codes: Sequence[str]
    edge: FloatArray
    outline: list[list[FloatArray]]
    spots: dict[str, list[list[list[FloatArray]]]]
    contours: tuple[LevelLines, ...]
    thickness_lines: tuple[LevelLines, ...]
    thickness: Grid
    cut_fill: Grid
    stakes: Stakes
    staked: FloatArray
    scale: tuple[float, float]


def compose_surfaces(result: Result) -> Surfaces:
    """
    Put the surfaces of a result, and what lies on them, into the job's coordinates and unit.

    Parameters
    ----------
    result : Result
        With its base.
    """
    survey, slab = result.survey, result.slab
    base, stakes = mesh_base(result), find_stakes(result)
    under_rod = np.array([0, 0, survey.foot_high])
    rings = tuple(
        put_places(shapely.get_coordinates(ring)[:-1], result)
        for part in shapely.get_parts(shapely.orient_polygons(slab.outline))
        for ring in shapely.get_rings(part)
    )
    levels = choose_bands(result).levels / METRES[result.units.length]
    return Surfaces(
        base=base,
        top=mesh_top(result),
        slab=mesh_slab(result),
        body=mesh_body(result),
        single_body=mesh_body(result, is_single=True),
        is_raised=any(part.surveyed == "departure" for part in slab.thickenings),
        shots=put_places(survey.points + under_rod, result),
        names=survey.ids,
        codes=survey.codes,
        edge=put_places(slab.edge, result),
        outline=nest_rings(rings),
        spots=_nest_spots(result),
        contours=trace_contours(base),
        thickness_lines=trace_thickness(result),
        thickness=grid_thickness(result),
        cut_fill=grid_cut_fill(result),
        stakes=stakes,
        staked=put_places(np.column_stack([stakes.places, stakes.design]) + under_rod, result),
        scale=(float(levels[0]), float(levels[-1])),
    )


def _nest_spots(result: Result) -> dict[str, list[list[list[FloatArray]]]]:
    """Polygons of each spot, in the order of the data."""
    nested: dict[str, list[list[list[FloatArray]]]] = {"thin": [], "high": [], "low": []}
    for spot in sort_spots(result):
        rings = tuple(put_places(ring, result) for ring in spot.rings)
        nested[spot.kind].append(nest_rings(rings))
    return nested
