"""How much a check of a large survey looks at: counted, not timed."""

from dataclasses import replace

import numpy as np
import shapely

from gradevol.doubts import astray
from gradevol.geometry import clipping
from gradevol.measures.thickness import cut_field
from gradevol.plan.fixes.fix import find_all
from gradevol.plan.fixes.fixing import find_fixes

EDGE = np.array([[0, 0], [30, 0], [30, 30], [0, 30.0]])


def uneven(count):
    """Invented shots of a base with humps, and a rim of corners."""
    rng = np.random.default_rng(4)
    plan = np.vstack([EDGE, rng.uniform(0, 30, (count, 2))])
    hump = 0.03 * np.sin(plan[:, 0]) * np.cos(plan[:, 1])
    return np.column_stack([plan, 100 + hump])


def test_a_spot_is_held_only_against_the_shots_in_its_box(make_result, monkeypatch):
    result = make_result(uneven(4000), EDGE, 100.15, base_high=0.015, base_low=0.015)
    found = find_all(result.field, result.slab)
    looked, whole = [], shapely.intersects_xy

    def count(area, east, north):
        looked.append(np.size(east))
        return whole(area, east, north)

    monkeypatch.setattr(shapely, "intersects_xy", count)
    lines = find_fixes(found, found, slab=result.slab, survey=result.survey)
    assert len(lines) > 20
    assert sum(looked) < 2 * len(result.survey.points)


def test_the_shots_of_a_line_are_those_within_its_outline(make_result):
    result = make_result(uneven(800), EDGE, 100.15, base_high=0.015, base_low=0.015)
    found = find_all(result.field, result.slab)
    points = result.survey.points
    for line in find_fixes(found, found, slab=result.slab, survey=result.survey):
        area = shapely.union_all([shapely.Polygon(ring) for ring in line.rings])
        if len(line.rings) == 1 and area.is_valid:
            near = shapely.dwithin(area, shapely.points(points[:, :2]), 1e-6)
            held = tuple(np.flatnonzero(near).tolist())
            assert held == line.shots if line.is_shot else held == ()
            if not line.is_shot:
                away = np.hypot(*(points[:, :2] - line.at[:2]).T)
                assert set(line.shots) == set(np.argsort(away)[:3].tolist())


def test_triangles_wholly_inside_are_never_cut(make_result, monkeypatch):
    result = make_result(uneven(4000), EDGE, 100.15)
    cut, whole = [], clipping.intersect_triangles

    def count(first, second):
        cut.append(len(first))
        return whole(first, second)

    monkeypatch.setattr(clipping, "intersect_triangles", count)
    inner = cut_field(result.field, shapely.box(5, 5, 25, 25))
    sides = 4 * 20 / (30 / np.sqrt(4000))
    assert len(inner.area) > 3000
    assert sum(cut) < 15 * sides


def test_shots_in_line_with_a_place_are_found_among_the_sorted_ones():
    points = uneven(50)
    others = astray._Others.of(points, 1.0)
    for axis in (0, 1):
        for at in np.linspace(-1, 31, 200):
            apart = bool((np.abs(points[:, axis] - at) > astray.IN_LINE).all())
            assert others.stand_apart(axis, at) == apart
    assert replace(others, spacing=0.0).stand_apart(0, float(points[7, 0])) is False
