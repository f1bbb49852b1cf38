"""A top from shots that all stand on two forms: a TIN joins them crosswise, a screed does not."""

from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely

from gradevol.geometry.even_places import spread_places
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import first_of
from gradevol.site.curved_sides import REACH
from gradevol.site.slab import Slab
from gradevol.site.top import Between, Design, Measured, Top, build_top

#: A TIN that leaves the rulings by less than this is told nothing of, m: 1/8 in. Common practice,
#: no source.
_APART = 0.003
#: Sides are one form where the cosine between them is more than this: a straight run into a curve.
_SMOOTH = 0.94
#: Places at which the two are compared.
_PLACES = 400


def remark_on_form_lines(design: Design, top: Top, slab: Slab) -> tuple[Note, ...]:
    """
    Say where the shots of a top stand on two forms, and a top ruled between them would be another.

    Parameters
    ----------
    design : Design
        The top's.
    top : Top
        As built of it.
    slab : Slab

    Returns
    -------
    tuple of Note
        Code ``top-two-lines``.
    """
    if not isinstance(design, Measured) or len(design.points) < 4:
        return ()
    forms = _find_two_forms(design.points, slab)
    if forms is None:
        return ()
    ways = [form.path[-1] - form.path[0] for form in forms]
    is_turned = bool(ways[0] @ ways[1] < 0)  # both lines are named from one end
    lines = [
        _line_up(design.points, form, is_turned=is_turned and form is forms[1]) for form in forms
    ]
    first, second = (design.points[line] for line in lines)
    try:
        ruled = build_top(Between(first, second), slab).surface
    except GeometryError:
        return ()
    places = spread_places(slab.edge, slab.outline, count=_PLACES, step=0.01)
    apart = nearest_level(top.surface.corners, places) - nearest_level(ruled.corners, places)
    worst = int(np.argmax(np.round(np.abs(apart), 6)))
    if abs(apart[worst]) < _APART:
        return ()
    told = [_name(design, line) for line in lines]
    by = " and ".join(form.name for form in forms)
    return (
        Note(
            "top-two-lines",
            f"Give the top as top.between if a screed rides on its two forms ({by}): triangles "
            "between their shots leave it by up to {}, which makes thin or thick places that are "
            f"not there. The lines: {escape(told[0])}; and {escape(told[1])}.",
            (Measure(float(abs(apart[worst])), Kind.THICKNESS),),
            places=((float(places[worst, 0]), float(places[worst, 1])),),
        ),
    )


@dataclass(frozen=True, slots=True)
class _Form:
    """A form along the slab: its name, the places along it, (k, 2), m, and which points it has."""

    name: str
    path: FloatArray
    is_on: BoolArray


def _find_two_forms(points: FloatArray, slab: Slab) -> tuple[_Form, _Form] | None:
    """Two forms that do not meet, on which all points stand, two or more on each."""
    placed = shapely.points(points[:, :2])
    forms = []
    for name, path in _list_forms(slab):
        is_on = shapely.distance(shapely.LineString(path), placed) <= REACH
        if is_on.sum() >= 2:
            forms.append(_Form(name, path, is_on))
    for one, other in combinations(forms, 2):
        if (one.is_on | other.is_on).all() and not _do_meet(one, other):
            return one, other
    return None


def _list_forms(slab: Slab) -> list[tuple[str, FloatArray]]:
    """List what may be one form: each side, and sides that run on smoothly into one another."""
    paths = slab.paths
    sides = [(f"side {number}", path) for number, path in enumerate(paths, start=1)]
    goes_on = [_runs_on(path, paths[(at + 1) % len(paths)]) for at, path in enumerate(paths)]
    if all(goes_on):
        return sides  # round and round: no form has an end
    runs: list[list[int]] = []
    first = goes_on.index(False) + 1
    for at in (step % len(paths) for step in range(first, first + len(paths))):
        if runs and goes_on[at - 1]:
            runs[-1].append(at)
        else:
            runs.append([at])
    return sides + [
        (f"sides {run[0] + 1} to {run[-1] + 1}", np.concatenate([paths[at] for at in run]))
        for run in sorted(runs)
        if len(run) > 1
    ]


def _runs_on(path: FloatArray, after: FloatArray) -> bool:
    """Whether a side runs on smoothly into the next."""
    ways = np.array([path[-1] - path[-2], after[1] - after[0]])
    ways /= np.hypot(*ways.T)[:, None]
    return bool(ways[0] @ ways[1] > _SMOOTH)


def _do_meet(one: _Form, other: _Form) -> bool:
    paths = [shapely.LineString(form.path) for form in (one, other)]
    return bool(shapely.dwithin(*paths, 2 * REACH))  # a point is on one of them alone


def _line_up(points: FloatArray, form: _Form, *, is_turned: bool) -> IntArray:
    """Rows of the points on a form, in their order along it."""
    on = np.flatnonzero(form.is_on)
    at = shapely.line_locate_point(shapely.LineString(form.path), shapely.points(points[on, :2]))
    return on[np.argsort(-at if is_turned else at, kind="stable")]


def _name(design: Measured, line: IntArray) -> str:
    """Name the points of a line: ``F1, F2 and F3``, or how many there are."""
    names = [design.names[index] for index in line] if design.names else []
    return first_of(names, 12) if all(names) and names else f"{len(line)} points"
