"""How much a check of a large survey looks at: counted, not timed."""

import hashlib
from dataclasses import replace

import numpy as np
import pytest
import shapely

from gradevol.answer.drawing import draw_up
from gradevol.answer.drawing.sampling import sample
from gradevol.answer.grade import Grade
from gradevol.doubts import astray
from gradevol.files import Files
from gradevol.geometry import clipping
from gradevol.geometry.prisms import weights_above
from gradevol.geometry.profiles import cut_segment, cut_segments
from gradevol.job import read_job
from gradevol.measures.field import cut_field, split_field
from gradevol.plan.fixes.fix import find_all
from gradevol.plan.fixes.fixing import find_fixes
from gradevol.runs.check import check_job
from gradevol.uncertainty.sensitivity import measure_shares
from tests.small_job import write_job

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
    looked, whole = [], shapely.dwithin

    def count(area, places, distance):
        looked.append(np.size(places))
        return whole(area, places, distance)

    monkeypatch.setattr(shapely, "dwithin", count)
    lines = find_fixes(found, found, slab=result.slab, survey=result.survey)
    assert len(lines) > 20
    assert 0 < sum(looked) < 2 * len(result.survey.points)


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


def test_marks_are_said_of_the_shots_that_are_marked_and_of_no_others(make_result, monkeypatch):
    result = make_result(uneven(4000), EDGE, 100.15)
    said, say = [], Grade.say_mark

    def count(grade, off, **rest):
        said.append(off)
        return say(grade, off, **rest)

    monkeypatch.setattr(Grade, "say_mark", count)
    drawing = draw_up(result)
    assert len(said) == sum(len(marking.marks) for marking in drawing.markings)
    assert 20 < len(said) < 2000 < len(result.survey.points)


def test_a_large_field_is_worked_through_in_parts_with_the_same_outcome(tmp_path, monkeypatch):
    result = check_job(read_job(write_job(tmp_path)))
    assert result.ground is not None
    whole = measure_shares(result.field, result.ground)
    image = sample(result.field.corners, result.field.thickness, cell=0.5)
    sizes = []

    def count(area, depth):
        sizes.append(len(area))
        return weights_above(area, depth)

    monkeypatch.setattr("gradevol.measures.field._AT_ONCE", 7)
    monkeypatch.setattr("gradevol.answer.drawing.sampling._AT_ONCE", 7)
    monkeypatch.setattr("gradevol.uncertainty.sensitivity.weights_above", count)
    in_parts = measure_shares(result.field, result.ground)
    assert in_parts.tolist() == pytest.approx(whole.tolist(), rel=1e-12, abs=1e-15)
    assert max(sizes) == 7
    assert sum(sizes) == len(result.field.area)
    assert len(list(split_field(result.field))) == len(sizes)
    again = sample(result.field.corners, result.field.thickness, cell=0.5)
    np.testing.assert_array_equal(again.thickness, image.thickness)


def test_the_text_of_many_shots_is_let_go_of_once_they_are_read(tmp_path, monkeypatch):
    held = []

    class Kept(Files):
        def __init__(self):
            super().__init__()
            held.append(self)

    monkeypatch.setattr("gradevol.runs.check.Files", Kept)
    monkeypatch.setattr("gradevol.doubts.left_out.MOST", 5)
    check_job(read_job(write_job(tmp_path)))
    assert [len(files._parsed) for files in held] == [0]


def test_a_long_text_that_was_let_go_of_keeps_its_head_and_the_digest_of_what_was_read(tmp_path):
    path, text = tmp_path / "shots.csv", b"1,2,3\n" * 30_000
    path.write_bytes(text)
    files = Files()
    assert files.open(path).is_whole
    files.let_go()
    path.write_bytes(b"another\n")
    assert len(files.open(path).start) < len(text) / 2
    assert files.digest(path) == (len(text), hashlib.sha256(text).hexdigest())


def test_lines_cut_together_are_cut_as_each_by_itself(make_result):
    corners = make_result(uneven(60), EDGE, 100.15).field.corners
    rng = np.random.default_rng(2)
    start, end = rng.uniform(-5, 35, (2, 40, 2))
    line, triangle, share = cut_segments(corners, start, end)
    for at in range(40):
        alone = cut_segment(corners, start[at], end[at])
        np.testing.assert_array_equal(triangle[line == at], alone[0])
        np.testing.assert_array_equal(share[line == at], alone[1])
    assert len(cut_segments(corners, start[:0], end[:0])[0]) == 0
