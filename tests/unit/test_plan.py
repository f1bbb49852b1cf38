"""The plan: arrows of falling water, flat places, shots that no longer count, points taken away."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from gradevol.answer.compose import compose_answer
from gradevol.answer.drawing import draw_up
from gradevol.ground.notes import Note
from gradevol.job import read_job
from gradevol.out.paper import sheet as sheet_module
from gradevol.out.paper.sheet import write_sheet
from gradevol.out.pictures import key, shots, water
from gradevol.out.pictures.plan import draw_plan
from gradevol.out.pictures.sheet import Sheet
from gradevol.runs.check import check_job
from gradevol.uncertainty.next_shots import NextShot, NextShots
from tests.lettering import words_on
from tests.pads import grid
from tests.small_job import write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

#: A bowl of a top: its middle lies an inch below its edge, which is level. Invented.
BOWL = "P,E,N,Z\n" + "".join(
    f"T{number},{east},{north},{level}\n"
    for number, (east, north, level) in enumerate(
        [(0, 0, 100), (16, 0, 100), (16, 9, 100), (0, 9, 100), (8, 4, 99.9)]
    )
)
JOB = """title = "Pad (invented)"
units = "ft"
[base]
shots = "shots.csv"
{base}
[slab]
edge = [[0, 0], [16, 0], [16, 9], [0, 9]]
thickness = "6 in"
[top]
{top}
"""


def check(folder, *, top="level = 100", base="", files=None):
    job = write_job(folder, job=JOB.format(top=top, base=base), files=files)
    return check_job(read_job(job))


@pytest.fixture
def drawn(monkeypatch):
    """Sheets that would have been written."""
    kept = []
    monkeypatch.setattr(Sheet, "save", lambda sheet, *_args, **_rest: kept.append(sheet))
    monkeypatch.setattr(sheet_module, "write_pdf", lambda sheet, *_, **__: kept.append(sheet))
    return kept


@pytest.fixture
def arrows(monkeypatch):
    """Middles and ways of the arrows drawn on maps and in keys, in."""
    kept, draw = [], water.draw_ways

    def draw_and_keep(sheet, arrows):
        kept.extend(arrows)
        draw(sheet, arrows)

    monkeypatch.setattr(water, "draw_ways", draw_and_keep)
    monkeypatch.setattr(key, "draw_ways", draw_and_keep)
    return kept


def texts_of(sheet):
    return " ".join(word.text for word in words_on(sheet))


def test_arrows_point_the_way_water_runs_and_stand_on_no_word(drawn, arrows, tmp_path):
    # the plane falls to the west-south-west, bearing 240 degrees
    result = check(tmp_path, top="through = [0, 0, 100]\nfall = 0.01\nbearing = 240")
    draw_plan(draw_up(result), tmp_path / "plan.png")
    on_map = arrows[:-1]  # the last one is the key's
    assert len(on_map) > 5
    ways = np.array([way for _, way in on_map])
    assert np.allclose(ways, [-np.sqrt(3) / 2, -0.5], atol=1e-9)
    words = shapely.STRtree([word.box for word in words_on(drawn[0])])
    half = water.ARROW / 2
    shafts = [shapely.LineString([at - half * way, at + half * way]) for at, way in on_map]
    assert len(words.query(shafts, predicate="intersects")[0]) == 0
    assert "way the design top falls" in texts_of(drawn[0])


def test_a_level_top_has_no_arrow_and_no_word_of_any(drawn, arrows, tmp_path):
    result = check(tmp_path)
    draw_plan(draw_up(result), tmp_path / "plan.png")
    write_sheet(tmp_path / "sheet.pdf", compose_answer(result))
    assert len(drawn) == 2
    assert arrows == []
    assert all("design top falls" not in texts_of(sheet) for sheet in drawn)


def test_standing_water_and_flat_places_are_drawn_and_explained(drawn, tmp_path):
    result = check(tmp_path, top='shots = "top.csv"\nleast_fall = "2 %"', files={"top.csv": BOWL})
    assert len(result.drainage.ponds) == 1
    assert result.drainage.flat
    draw_plan(draw_up(result), tmp_path / "plan.png")
    said = texts_of(drawn[0])
    assert "water 1 1/4 in" in said  # 0.1 ft
    assert "water stands on the design top" in said
    assert "flat: the top falls less than 2.0 %" in said


def test_retired_shots_are_struck_through_and_explained(drawn, tmp_path, monkeypatch):
    later = "P,E,N,Z\nR1,4.5,3.5,99.49\nR2,8.2,3.2,99.49\nR3,12,3.1,99.48\n"
    rechecks = 'rechecks = { shots = "later.csv", radius = 2 }'
    result = check(tmp_path, base=rechecks, files={"later.csv": later})
    struck, mark = [], shots.mark_retired

    def mark_and_keep(sheet, places, **rest):
        struck.append(places)
        mark(sheet, places, **rest)

    monkeypatch.setattr(shots, "mark_retired", mark_and_keep)
    draw_plan(draw_up(result), tmp_path / "plan.png")
    write_sheet(tmp_path / "sheet.pdf", compose_answer(result))
    assert [len(places) for places in struck] == [3, 3]  # at (4, 3), (8, 3) and (12, 3)
    for sheet, places in zip(drawn, struck, strict=True):
        assert "does not count" in texts_of(sheet)
        edge = edge_of(sheet)
        seen = (places - edge.min(axis=0)) / np.ptp(edge, axis=0) * [16, 9]
        assert np.allclose(seen, [[4, 3], [8, 3], [12, 3]], atol=1e-6)


def test_next_shots_are_triangles_where_they_are_planned(make_result, drawn, tmp_path):
    plan = grid([0.5, 4, 7.5], [0.5, 2.5, 4.5])
    points = np.column_stack([plan, np.zeros(len(plan))])
    edge = np.array([[0, 0], [8, 0], [8, 5], [0, 5]], float)
    planned = NextShots(1.0, None, volume=(NextShot((6.0, 1.0), 0.1),), thin=(NextShot((2, 3), 1),))
    result = replace(make_result(points, edge, 0.15), next_shots=planned)
    draw_plan(draw_up(result), tmp_path / "plan.png")
    write_sheet(tmp_path / "sheet.pdf", compose_answer(result))
    for sheet in drawn:
        triangles = [line.get_xydata() for line in sheet.axes.lines if line.get_marker() == "^"]
        low, high = edge_of(sheet).min(axis=0), edge_of(sheet).max(axis=0)
        seen = (triangles[0] - low) / (high - low) * [8, 5]
        assert np.allclose(seen, [[2, 3], [6, 1]], atol=1e-6)
        assert len(triangles) == 2  # the other one is the key's
        assert "next shot" in texts_of(sheet)
    assert all(f"NEXT{number}" in texts_of(sheet) for sheet in drawn for number in (1, 2))


def edge_of(sheet):
    """Corners of the heaviest closed line: the slab's edge, in."""
    lines = [
        (width, path.vertices)
        for drawn in sheet.axes.collections
        for width, path in zip(drawn.get_linewidths(), drawn.get_paths(), strict=False)
        if len(path.vertices) == 5 and np.allclose(path.vertices[0], path.vertices[-1])
    ]
    return max(lines, key=lambda line: np.ptp(line[1], axis=0).prod())[1]


def test_numbers_of_shots_that_have_no_room_are_counted_in_the_key(drawn, tmp_path):
    rows = [
        f"{row * 12 + column},{column * 1.45:.2f},{row * 1.0:.1f},99.5\n"
        for row in range(10)
        for column in range(12)
    ]
    job = write_job(tmp_path, job=JOB.format(top="level = 100", base=""))
    (tmp_path / "shots.csv").write_text("P,E,N,Z\n" + "".join(rows))
    draw_plan(draw_up(check_job(read_job(job))), tmp_path / "plan.png")
    assert "shot; 120 numbers left out: see report.html" in texts_of(drawn[0])


def test_points_taken_away_are_marked_where_they_lay_and_counted(make_result, drawn, tmp_path):
    plan = grid(np.arange(0, 8.1, 0.5), np.arange(0, 5.1, 0.5))
    points = np.column_stack([plan, np.zeros(len(plan))])
    edge = np.array([[0, 0], [8, 0], [8, 5], [0, 5]], float)
    note = Note("cloud-not-base", "1,234 of 9,876 points (12.49 %) stand abruptly above the base.")
    result = make_result(points, edge, 0.15, ids=False, notes=(note,))
    removed = np.array([[2.0, 3.0], [6.0, 1.0], [20.0, 1.0]])  # the last lies off the slab
    survey = replace(result.survey, removed=removed)
    draw_plan(draw_up(replace(result, survey=survey)), tmp_path / "plan.png")
    sheet = drawn[0]
    assert "1,234 points of the scan taken away here: not base" in texts_of(sheet)
    signs = [line for line in sheet.axes.lines if line.get_marker() == "1"]
    places = signs[0].get_xydata()
    low, high = edge_of(sheet).min(axis=0), edge_of(sheet).max(axis=0)
    seen = (places - low) / (high - low) * [8, 5]
    assert np.allclose(seen[np.argsort(seen[:, 0])], [[2, 3], [6, 1]], atol=1e-6)


def test_points_of_a_scan_are_not_drawn_for_they_look_like_what_is_low(
    make_result, drawn, tmp_path
):
    plan = grid(np.arange(-1, 9.1, 0.5), np.arange(-1, 6.1, 0.5))
    points = np.column_stack([plan, np.zeros(len(plan))])
    edge = np.array([[0, 0], [8, 0], [8, 5], [0, 5]], float)
    draw_plan(draw_up(make_result(points, edge, 0.15, ids=False)), tmp_path / "plan.png")
    assert not [line for line in drawn[0].axes.lines if len(line.get_xydata()) > 50]
