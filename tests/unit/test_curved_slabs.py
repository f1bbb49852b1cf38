"""Slabs with curves: volumes in closed form, one number a curve, places by the tape along it."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.drawing import draw_up
from gradevol.answer.said.places import say_place
from gradevol.geometry.curves import Ring, bow
from gradevol.ground.errors import InputError
from gradevol.ground.units import Units
from gradevol.job import read_job
from gradevol.out.pictures.plan import draw_plan
from gradevol.out.pictures.sheet import Sheet
from gradevol.runs.check import check_job
from gradevol.site.locating import locate
from gradevol.site.slab import Slab
from tests.lettering import words_on
from tests.quarter_ring import INNER, OUTER, check, slab_in, weigh, write_quarter
from tests.small_job import write_job

# volumes in closed form


def test_a_quarter_ring_over_a_tilted_base_takes_what_the_integral_says(tmp_path):
    result = weigh(tmp_path)
    area = math.pi / 4 * (OUTER**2 - INNER**2)
    moment = (OUTER**3 - INNER**3) / 3  # of the area about the northing axis
    assert_allclose(result.slab.area, area, rtol=1e-9)
    # the moment, unlike the area, is that of the chords: they stay within a millimetre
    assert_allclose(result.concrete.volume, 0.2 * area - 0.01 * moment, rtol=1e-6)


@pytest.mark.parametrize("radius", [0.1, 1.0, 2.5, 5.0])
def test_a_rounded_rectangle_lacks_four_minus_pi_squares_of_its_radius(tmp_path, radius):
    corners = ((0, 0), (12, 0), (12, 10), (0, 10))
    edge = ", ".join(f"{{ corner = [{e}, {n}], radius = {radius} }}" for e, n in corners)
    result = weigh(tmp_path, edge=f"[{edge}]", level=lambda *_: 4.8)
    assert_allclose(result.slab.area, 12 * 10 - (4 - math.pi) * radius**2, rtol=1e-9)
    assert_allclose(result.concrete.volume, 0.2 * result.slab.area, rtol=1e-9)
    assert len(result.slab.sides) == (8 if radius < 5 else 6)


def test_a_beam_along_an_arc_is_a_part_of_a_ring(tmp_path):
    beam = "[[thickening]]\nsides = [2]\nwidth = 0.5\ndepth = 0.3\nside_slope = 1\n"
    result = weigh(tmp_path, level=lambda *_: 4.8, rest=beam)
    out, depth = OUTER - 0.5, 0.3
    # upright at the arc, and its side a quarter of a cone's: by rings of the depth
    inner = (out**3 - (out - depth) ** 3) / 3  # integral of the squared radius of its side
    volume = math.pi / 4 * (OUTER**2 * depth - inner)
    assert_allclose(result.concrete.thickenings, volume, rtol=2e-4)


# one side, one number


def slab_of(**given):
    arc = bow(np.array([4.0, 0]), np.array([0, 4.0]), math.tan(math.pi / 8))
    ring = Ring.of_sides([np.array([[0, 0], [4.0, 0]]), arc, np.array([[0, 4.0], [0, 0]])])
    return Slab(ring.places, (), 0.2, 0.18, side_starts=ring.starts, **given)


@pytest.mark.parametrize(
    ("place", "said"),
    [
        (
            (3.0 * math.cos(0.5), 3.0 * math.sin(0.5)),
            "2.00 m along side 2 from corner 2, 1.00 m off it",
        ),
        ((0.3, 0.4), "0.40 m from side 1, 0.30 m from side 3"),
        ((3.9, 0.1), "0.10 m along side 2 from corner 2, 0.10 m off it"),
        ((4, 0), "at side 1, 4.00 m from side 3"),
        ((2.8284, 2.8284), "3.14 m along side 2 from corner 2"),
    ],
)
def test_a_place_is_told_by_the_nearest_side_along_it_where_that_is_curved(place, said):
    assert say_place(place, slab_of(), Units.of_job("m")) == said


def test_tape_and_offset_lead_back_to_the_place(tmp_path):
    slab = slab_in(tmp_path)
    rng = np.random.default_rng(5)
    for radius, angle in zip(rng.uniform(INNER, OUTER, 50), rng.uniform(0, 1.57, 50), strict=True):
        place = radius * np.array([math.cos(angle), math.sin(angle)])
        told = locate(place, slab)
        if told.along is None:
            continue
        side, station, off = told.along
        if slab.is_straight(side):
            back = np.array([INNER + station, off] if side == 1 else [off, OUTER - station])
        else:
            is_outer = side == 2
            turn = station / OUTER if is_outer else math.pi / 2 - station / INNER
            away = OUTER - off if is_outer else INNER + off
            back = away * np.array([math.cos(turn), math.sin(turn)])
        assert_allclose(back, place, atol=0.005)
        nearest = 1 + np.argmin([place[1], OUTER - radius, place[0], radius - INNER])
        assert side == nearest  # far along a curve is no way to what lies by the gate


def round_slab(arcs, radius=9.0):
    """A round slab of arcs, the first from due east."""
    turns = 2 * np.pi / arcs * np.arange(arcs + 1)
    ends = radius * np.column_stack([np.cos(turns), np.sin(turns)])
    bulge = math.tan(np.pi / 2 / arcs)
    ring = Ring.of_sides([bow(ends[i], ends[(i + 1) % arcs], bulge) for i in range(arcs)])
    return Slab(ring.places, (), 0.2, 0.18, side_starts=ring.starts)


@pytest.mark.parametrize("arcs", [2, 4])
@pytest.mark.parametrize("off", [2.0, 8.7, 9.0])
def test_a_place_square_off_where_two_arcs_meet_is_told_off_that_corner(arcs, off):
    """Tapes from the corners of a round slab of two arcs lie in one line, and fix nothing."""
    told = locate((off - 9.0, 0), round_slab(arcs)).along
    assert told is not None
    side, station, away = told
    assert station == pytest.approx(0, abs=1e-6)
    assert away == pytest.approx(off)
    assert off == 9.0 or side == 1 + arcs // 2


def test_a_place_far_off_a_short_side_alone_is_not_told_square_off_it():
    """In a turning place behind a drive of 3 m a degree off square at the street is a foot."""
    head = bow(np.array([1.5, 20.0]), np.array([-1.5, 20.0]), math.tan(math.radians(325 / 4)))
    rest = np.array([[-1.5, 20.0], [-1.5, 0.0], [1.5, 0.0], [1.5, 20.0]])
    ring = Ring.of_sides([head, *(rest[at : at + 2] for at in range(3))])
    slab = Slab(ring.places, (), 0.2, 0.18, side_starts=ring.starts)
    assert locate((0.3, 2.0), slab).sides
    assert locate((0.3, 22.5), slab).corners[0][0] == 1


NAMES = 'sides = ["gate", "outer form", "house", "inner form"]'


def test_places_are_told_by_the_names_of_curves(tmp_path):
    slab = slab_in(tmp_path / "a", slab=NAMES)
    said = say_place((6.5, 6.5), slab, Units.of_job("m"))
    assert said == "7.85 m along side 2 (outer form) from corner 2, 0.81 m off it"
    with pytest.raises(InputError, match=r"has 3 names, but slab\.edge has 4 sides"):
        slab_in(tmp_path / "b", slab='sides = ["a", "b", "c"]')


def test_the_plan_numbers_each_curve_once_and_the_corner_it_begins_at(tmp_path, monkeypatch):
    result = check(tmp_path, slab=NAMES)
    kept = []
    monkeypatch.setattr(Sheet, "save", lambda sheet, *_args, **_rest: kept.append(sheet))
    drawing = draw_up(result)
    draw_plan(drawing, tmp_path / "plan.png", dpi=100)
    texts = [word.text for word in words_on(kept[0])]
    for said in ("side 2: outer form", "side 4: inner form", "corner 2", "corner 4"):
        assert texts.count(said) == 1
    corners = {text for text in texts if text.startswith("corner")}
    assert corners == {f"corner {number}" for number in {2, 4, *drawing.slab.told}}


@pytest.mark.usefixtures("unsimulated")
def test_the_plan_names_the_corner_that_a_place_of_the_list_is_taped_from(tmp_path):
    job = """units = "m"
[base]
shots = "shots.csv"
[slab]
edge = [[1, 0], [9, 0], [10, 1], [10, 7], [9, 8], [1, 8], [0, 7], [0, 1]]
thickness = 0.15
base_high = 0.01
base_low = 0.01
[top]
level = 5
"""
    rows = [
        f"{e},{n},{4.88 if (e, n) == (3, 7.7) else 4.85}"
        for e in (1, 3, 5, 7, 9)
        for n in (0.3, 2, 4, 6, 7.7)
    ]
    shots = "easting,northing,elevation\n" + "\n".join(rows) + "\n"
    result = check_job(read_job(write_job(tmp_path, job=job, shots=shots)))
    (fix,) = result.work.fixes
    said = say_place(fix.at, result.slab, Units.of_job("m"))
    assert said == "6.00 m along side 5 from corner 5, 0.30 m off it"
    assert 5 in draw_up(result).slab.told
    assert set(draw_up(result).slab.told) <= {1, 3, 5, 7}


@pytest.mark.usefixtures("unsimulated")
def test_the_plan_names_the_corners_that_a_place_is_taped_from(tmp_path, monkeypatch):
    """The chords of a curve are too short to measure square off: two corners fix the place."""
    turns = 2 * np.pi / 60 * np.arange(60)
    edge = np.round(6 + 4 * np.column_stack([np.cos(turns), np.sin(turns)]), 4).tolist()
    result = check(tmp_path, edge=str(edge), level=lambda e, _: 4.8 - 0.01 * e)
    kept = []
    monkeypatch.setattr(Sheet, "save", lambda sheet, *_args, **_rest: kept.append(sheet))
    draw_plan(draw_up(result), tmp_path / "plan.png", dpi=100)
    told = locate(result.thickness.min_at, result.slab).corners
    assert told
    texts = [word.text for word in words_on(kept[0])]
    assert {f"corner {number}" for number, _ in told} <= set(texts)


def test_falls_along_a_curve_are_one_stretch(tmp_path):
    fall = 'through = [0, 0, 5]\nfall = "1 %"\nbearing = 180'
    falls = weigh(tmp_path, top=fall, level=lambda *_: 4.8).drainage.edges
    assert [stretch.side for stretch in falls] == [1, 2, 3, 4]
    outer = falls[1]
    assert_allclose([outer.start, outer.end], [0, OUTER * math.pi / 2], atol=1e-3)
    assert_allclose(outer.fall, 0.01 * OUTER / (OUTER * math.pi / 2), rtol=1e-4)
    assert_allclose(outer.ends[:, :2][1] - outer.ends[:, :2][0], [-OUTER, OUTER], atol=1e-9)


def test_water_is_held_back_by_a_curved_side_that_is_closed(tmp_path):
    # it falls over the arcs, to the north-east
    fall = 'through = [0, 0, 5]\nfall = "1 %"\nbearing = 45\n'
    open_top, closed = (
        weigh(tmp_path, top=f"{fall}closed_sides = {sides}", level=lambda *_: 4.7).drainage
        for sides in ("[4]", "[1, 2, 3]")
    )
    assert not open_top.ponds
    assert closed.ponds
    with pytest.raises(InputError, match="from 1 to 4"):
        read_job(write_quarter(tmp_path, top="level = 5\nclosed_sides = [5]"))
