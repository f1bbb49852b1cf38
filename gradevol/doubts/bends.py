"""Bends of the design top that no shot follows: the base is straight from shot to shot there."""

from dataclasses import replace

import numpy as np
import shapely

from gradevol.geometry.nearest import has_step
from gradevol.geometry.places import measure_away
from gradevol.geometry.planes import fit_plane, level_in
from gradevol.geometry.prisms import area_above
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.measures.base import BaseSurface, MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.field import ThicknessField, surveyed_part
from gradevol.measures.overlaid import build_field
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface, level_beside
from gradevol.site.top import Top
from gradevol.site.trench import over_design

#: Bends between shots are told where the top leaves the straight line by more than this, m (1/4
#: in: what grading mostly keeps to), over this share of the slab. Common practice, no source.
_LEAST, _SHARE = 0.006, 0.02
#: Of more points than this some stand near every bend.
_MOST = 20_000
#: A corner of the base farther off the slab than this is under no top, m.
_OFF = 0.3
#: So many shots tell whether the base bends with the top, where that leaves a plane at them by
#: this, m (root mean square); it does where it leaves one by more than this share as much.
_FEWEST, _TELLING, _FOLLOWS = 6, 0.003, 0.5


def remark_on_bends(
    measured: MeasuredBase,
    base: BaseSurface,
    slab: Slab,
    top: Top,
    field: ThicknessField,
) -> tuple[Note, ...]:
    """
    Remark on a top that bends where no shot stands, as into a drain or over a crown.

    Parameters
    ----------
    measured : MeasuredBase
    base : BaseSurface
        As built of it.
    slab : Slab
    top : Top
    field : ThicknessField
        Between base and top.

    Returns
    -------
    tuple of Note
        Code ``top-bends-unshot``, with the volume if the base bends as the top does; not where the
        shots show that the base does not follow the top.
    """
    survey = measured.survey
    if len(survey.points) > _MOST or _is_plane(top.surface):
        return ()
    part = surveyed_part(field)
    off = _stand_off(base.surface, slab, top, part)
    bent = sum(float(area_above(part.area, way * off - _LEAST).sum()) for way in (-1, 1))
    if bent < _SHARE * slab.area:
        return ()
    under = _level_of_top(survey.points, slab, top)
    over = over_design(survey.points, top.surface, slab)  # shots of a trench, as of the base
    is_seen, does_follow = _compare(
        np.column_stack([survey.points[:, :2], under + over]), under, slab
    )
    if is_seen and not does_follow:
        return ()
    worst = np.unravel_index(np.abs(off).argmax(), off.shape)
    bends = "bends or steps" if has_step(top.surface.corners) else "bends"
    way = "low" if off[worst] > 0 else "high"
    points = "the shots" if measured.faces is None else "the surface's corners"
    text = (
        f"Shoot where the top {bends}: between {points} the base is taken straight there, up to "
        f"{{}} too {way} if it is as drawn; the slab then takes {{}}."
        f"{f' At {points} it is as drawn.' if is_seen else ''} Do it before you order, and before "
        "you shave or fill there."
    )
    measures = (
        Measure(float(abs(off[worst])), Kind.THICKNESS),
        Measure(_measure_bent(measured, under, slab, top), Kind.VOLUME),
    )
    east, north = part.corners[worst]
    return (Note("top-bends-unshot", text, measures, places=((float(east), float(north)),)),)


def _is_plane(top: Surface) -> bool:
    _, off = fit_plane(top.points[np.unique(top.triangles)])
    return bool(np.abs(off).max() <= _LEAST / 2)


def _level_of_top(points: FloatArray, slab: Slab, top: Top) -> FloatArray:
    """Level of the top over points of the base (n, 3), (n,), m; at a step, of their side."""
    return level_beside(top.surface, points[:, :2], points[:, 2] + slab.thickness)


def _stand_off(base: Surface, slab: Slab, top: Top, field: ThicknessField) -> FloatArray:
    """
    How far the top is above the straight line between its levels at the shots, (k, 3), m.

    Nought in triangles that have a corner off the slab.
    """
    points = base.points
    level = _level_of_top(points, slab, top)
    for blend in base.rests[1:]:  # the first are places along a trench, which bend with the top
        level[np.unique(blend.made)] = 0.0
        np.add.at(level, blend.made, level[blend.of] * blend.share)
    held = np.dstack([base.corners[..., :2], level[base.triangles]])
    off = field.thickness + field.base - level_in(held, field.parent, field.corners)
    away = measure_away(slab.outline, points[:, :2])[base.triangles].max(axis=1)
    off[(away[field.parent] > _OFF) | field.is_trench] = 0.0
    return off


def _compare(points: FloatArray, under: FloatArray, slab: Slab) -> tuple[bool, bool]:
    """Whether the top bends at the shots, and whether the base does so with it."""
    is_on = shapely.intersects_xy(slab.outline, *points[:, :2].T)
    plan = points[is_on, :2]
    if len(plan) < _FEWEST:
        return False, False
    try:
        bends = fit_plane(np.column_stack([plan, under[is_on]]))[1]
        found = fit_plane(points[is_on])[1]
    except GeometryError:
        return False, False
    if np.sqrt((bends**2).mean()) < _TELLING:
        return False, False
    return True, bool(found @ bends > _FOLLOWS * (bends @ bends))


def _measure_bent(measured: MeasuredBase, under: FloatArray, slab: Slab, top: Top) -> float:
    """
    Concrete over a base that bends with the top between its shots, m³.

    It is what a flat top takes over a base as far off it as the one is off the other.
    """
    points = measured.survey.points - np.column_stack([np.zeros((len(under), 2)), under])
    flat = replace(top.surface, points=top.surface.points * (1, 1, 0))
    base = build_base(
        replace(measured, survey=replace(measured.survey, points=points)),
        slab,
        replace(top, surface=flat),
    )
    return measure_concrete(build_field(base.surface, flat, slab), slab).volume
