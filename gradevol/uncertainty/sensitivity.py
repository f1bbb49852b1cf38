"""Shares: the area of concrete that each shot stands for, so what its error does to the volume."""

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from gradevol.geometry.blends import hand_back
from gradevol.geometry.planes import shares_of_corners
from gradevol.geometry.prisms import integral, plan_area, weights_above
from gradevol.ground.arrays import FloatArray
from gradevol.measures.base import BaseSurface
from gradevol.measures.field import ThicknessField, split_field
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Design, Faces, Level, Measured, Panels, build_top, parts_of


def measure_shares(field: ThicknessField, base: BaseSurface) -> FloatArray:
    """
    Area that the concrete loses a layer of when a place of the base rises.

    Parameters
    ----------
    field : ThicknessField
        Top less the base.
    base : BaseSurface

    Returns
    -------
    (p,) array of float
        Derivative of the volume by the elevation of each place, its sign turned, m². They add up
        to the area that holds concrete; one can be negative only where trench shots bend the base.

    Notes
    -----
    The plan of the triangles does not depend on elevations, so while the zero line of the thickness
    stands the volume is linear in them: nothing is left out. Held against differences in
    ``tests/unit/test_shares.py``.
    """
    surface = base.surface
    by_point, plan = np.zeros(len(surface.points)), np.ascontiguousarray(surface.points[:, :2])
    for part in split_field(field):
        corners = surface.triangles[part.parent]
        by_vertex = weights_above(part.area, part.thickness)
        around, own = plan.take(corners, axis=0), part.corners
        cut = np.flatnonzero((around != own).any(axis=(1, 2)))  # others are whole
        held = shares_of_corners(around[cut], own[cut])
        by_vertex[cut] = np.einsum("kc,kcv->kv", by_vertex[cut], held)
        by_point += np.bincount(corners.ravel(), weights=by_vertex.ravel(), minlength=len(by_point))
    return hand_back(by_point, surface.rests)[: base.used]


def sum_by_setup(shares: FloatArray, base: BaseSurface, survey: Survey) -> dict[str, float]:
    """
    Area that the shots of each setup stand for, m².

    Parameters
    ----------
    shares : (p,) array of float
        From `measure_shares`.
    base : BaseSurface
    survey : Survey

    Returns
    -------
    dict
        By the name of the setup; shots of no known setup are one setup, "".
    """
    if not survey.setups:
        return {"": float(shares.sum())}
    count = np.bincount(base.place, minlength=len(shares))
    by_shot = (shares / count)[base.place]
    areas: dict[str, float] = {}
    for name, area in zip(survey.setups, by_shot.tolist(), strict=True):
        areas[name] = areas.get(name, 0.0) + area
    return areas


def share_out_top(design: Design, slab: Slab) -> dict[str, float]:
    """
    Area of the top that the points of each setup stand for, m².

    Parameters
    ----------
    design : Design
        The top's.
    slab : Slab

    Returns
    -------
    dict
        By the name of the setup; nothing for points of no known setup, nor for what is drawn.

    Notes
    -----
    The top is built once for each setup, with its points at one and all others at nought: the
    integral is the setup's area.
    """
    names = {
        name for part in parts_of(design) if isinstance(part, Measured) for name in part.setups
    } - {""}
    areas = {}
    for name in sorted(names):
        top = build_top(_mark(design, name), slab).surface.corners
        areas[name] = float(integral(plan_area(top), top[..., 2]).sum())
    return areas


def find_closed(design: Design) -> dict[str, float]:
    """Find by how much the setups of a top did not close, m, by name."""
    return {
        name: off
        for part in parts_of(design)
        if isinstance(part, Measured)
        for name, off in part.misclosures.items()
    }


def _mark(design: Design, name: str) -> Design:
    """Give a design whose elevation is one at the points of a setup and nought elsewhere."""
    match design:
        case Panels(panels):
            return Panels(
                tuple(replace(panel, design=_mark(panel.design, name)) for panel in panels)
            )
        case Measured(points, _, setups) if setups:
            is_of = np.array([setup == name for setup in setups], float)
            return Measured(np.column_stack([points[:, :2], is_of]))
        case Faces(points, triangles):
            return Faces(points * [1, 1, 0], triangles)
    return Level(0.0)


def spread_of_datum(
    base: Mapping[str, float],
    top: Mapping[str, float],
    sigma: float,
    misclosures: Mapping[str, float] = MappingProxyType({}),
) -> float:
    """
    Standard deviation of the volume from what the shots of each setup share, m³.

    Parameters
    ----------
    base, top : mapping of str to float
        Area by setup, m²: `sum_by_setup`, `share_out_top`.
    sigma : float
        One standard deviation of what a setup shares, m; setups are independent.
    misclosures : mapping of str to float
        By how much setups did not close, m: one standard deviation more of what they share.

    Returns
    -------
    float
        Where top and base come from one setup, only the difference of their areas is left.
    """
    parts = [
        (base.get(name, 0.0) - top.get(name, 0.0)) * np.hypot(sigma, misclosures.get(name, 0.0))
        for name in {*base, *top}
    ]
    return float(np.linalg.norm(sorted(parts)))
