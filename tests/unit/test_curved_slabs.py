"""Slabs with curves: volumes in closed form, one number a curve, places by the tape along it."""

import json
import math
from dataclasses import dataclass

import numpy as np
import pytest
from ezdxf.document import Drawing
from numpy.testing import assert_allclose

from gradevol.answer.compose import compose_answer
from gradevol.answer.drawing import draw_up
from gradevol.answer.said.places import say_place
from gradevol.check import check_job
from gradevol.doubts.described import take_inventory
from gradevol.files import Files, read_base
from gradevol.geometry.curves import Ring, bow
from gradevol.ground.errors import GeometryError, InputError
from gradevol.ground.units import Units
from gradevol.job import read_job
from gradevol.job.placement import place_slab, place_survey, place_top
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import Concrete, measure_concrete
from gradevol.measures.drainage import Drainage, measure_drainage
from gradevol.measures.thickness import build_field
from gradevol.out.pictures.plan import draw_plan
from gradevol.out.pictures.sheet import Sheet
from gradevol.site.locating import locate
from gradevol.site.slab import Slab
from gradevol.site.tie_ins import TieIns, find_tie_ins
from gradevol.site.top import build_top
from tests.lettering import words_on
from tests.small_job import write_job

OUTER, INNER = 10.0, 6.0
#: A quarter of a ring about the origin, m: side 2 is its outer arc, side 4 its inner one.
QUARTER = (
    f"[[{INNER}, 0], [{OUTER}, 0], {{ curve = [6, 8] }}, [0, {OUTER}], [0, {INNER}], "
    f"{{ curve = [3.6, 4.8] }}]"
)
JOB = """title = "Quarter (invented)"
units = "m"
[base]
shots = "shots.csv"
[slab]
edge = {edge}
thickness = "200 mm"
{slab}
[top]
{top}
{rest}
"""


def lattice(level):
    """Return shots on a lattice over the quarter, at a level by easting and northing, m."""
    rows = [(e, n) for e in range(-1, 15, 3) for n in range(-1, 15, 3)]
    return "easting,northing,elevation\n" + "".join(f"{e},{n},{level(e, n):.9f}\n" for e, n in rows)


def write_quarter(
    folder, *, edge=QUARTER, slab="", top="level = 5", rest="", level=None, files=None
):
    level = level or (lambda e, n: 4.8 + 0.01 * e)  # noqa: ARG005
    job = JOB.format(edge=edge, slab=slab, top=top, rest=rest)
    return write_job(folder, job=job, shots=lattice(level), files=files)


def weigh(folder, **given):
    return measure(write_quarter(folder, **given))


def check(folder, **given):
    return check_job(read_job(write_quarter(folder, **given)))


@dataclass(frozen=True)
class Measured:
    """What a job's volume is made of: a check without what is unsure about it."""

    slab: Slab
    concrete: Concrete
    drainage: Drainage
    tie_ins: TieIns


def measure(path):
    job, files = read_job(path), Files()
    survey, faces = read_base(job.base.source, files, progress=lambda *_: None)
    survey = place_survey(survey, job)
    slab = place_slab(job, files, survey.origin)
    design = place_top(job.top, files, survey.origin)
    top, tie_ins = build_top(design, slab), find_tie_ins(design, slab)
    base = build_base(MeasuredBase(survey, faces), slab, top)
    concrete = measure_concrete(build_field(base.surface, top.surface, slab), slab)
    drainage = measure_drainage(top.surface, slab, tie_ins, job.runoff)
    return Measured(slab, concrete, drainage, tie_ins)


def slab_in(folder, **given):
    """Read the slab alone of a job, about the origin of its coordinates."""
    job = read_job(write_quarter(folder, **given))
    return place_slab(job, Files(), np.zeros(3))


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
        is_outer = side == 2
        turn = station / OUTER if is_outer else math.pi / 2 - station / INNER
        away = OUTER - off if is_outer else INNER + off
        back = away * np.array([math.cos(turn), math.sin(turn)])
        assert_allclose(back, place, atol=0.005)


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
    draw_plan(draw_up(result), tmp_path / "plan.png", dpi=100)
    texts = [word.text for word in words_on(kept[0])]
    for said in ("side 2: outer form", "side 4: inner form", "corner 2", "corner 4"):
        assert texts.count(said) == 1
    assert not {"corner 1", "corner 3", "side 5"} & set(texts)


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


# drawings


def drawing(folder, draw):
    made = Drawing.new()
    made.units = 6
    draw(made.modelspace())
    made.saveas(folder / "edge.dxf")


def test_arcs_of_a_drawing_are_one_side_each(tmp_path):
    names = 'sides = ["gate", "outer", "house", "inner"]'
    bulge = math.tan(math.pi / 8)
    corners = [(INNER, 0, 0), (OUTER, 0, bulge), (0, OUTER, 0), (0, INNER, -bulge)]
    drawing(tmp_path, lambda space: space.add_lwpolyline(corners, "xyb", close=True))
    drawn = slab_in(tmp_path, edge='"edge.dxf"', slab=names)
    typed = slab_in(tmp_path / "typed", slab=names)
    assert drawn.side_names == typed.side_names
    for one, other in zip(drawn.paths, typed.paths, strict=True):
        assert_allclose(one, other, atol=1e-9)


def test_a_drawing_is_described_by_its_corners_not_by_its_chords(tmp_path):
    corners = [(INNER, 0, 0), (OUTER, 0, math.tan(math.pi / 8)), (0, OUTER, 0), (0, INNER, 0)]
    drawing(tmp_path, lambda space: space.add_lwpolyline(corners, "xyb", close=True))
    told = take_inventory(tmp_path / "edge.dxf")
    assert told.title.startswith("an outline of 4 corners")
    (sides,) = (fact.text for fact in told.facts if fact.key == "perimeter")
    assert "sides from 4.000 to 15.708" in sides


def test_lines_and_arcs_drawn_one_by_one_are_sides_too(tmp_path):
    def draw(space):
        space.add_arc((0, 0), OUTER, 0, 90)
        space.add_line((INNER, 0), (OUTER, 0))
        space.add_arc((0, 0), INNER, 0, 90)
        space.add_line((0, OUTER), (0, INNER))

    drawing(tmp_path, draw)
    slab = slab_in(tmp_path, edge='"edge.dxf"')
    assert sorted(len(path) > 2 for path in slab.paths) == [False, False, True, True]
    assert_allclose(slab.area, math.pi / 4 * (OUTER**2 - INNER**2), rtol=1e-9)


def test_a_circle_of_a_drawing_is_one_side_that_begins_in_the_east(tmp_path):
    drawing(tmp_path, lambda space: space.add_circle((5, 5), 4))
    slab = slab_in(tmp_path, edge='"edge.dxf"')
    assert len(slab.paths) == 1
    assert_allclose(slab.corners, [[9, 5]], atol=0.001)
    assert_allclose(slab.area, 16 * math.pi, rtol=1e-9)
    told = say_place((5, 8), slab, Units.of_job("m"))
    assert told == "6.28 m along side 1 from corner 1, 1.00 m off it"


def test_a_whole_job_on_a_circle_can_be_checked_and_told(tmp_path):
    drawing(tmp_path, lambda space: space.add_circle((5, 5), 4))
    result = check(tmp_path, edge='"edge.dxf"', level=lambda *_: 4.8)
    assert_allclose(result.concrete.volume, 0.2 * 16 * math.pi, rtol=1e-9)
    assert compose_answer(result).plain()["slab"]


def test_an_edge_of_which_too_many_sides_are_named_counts_an_arc_once(tmp_path):
    drawing(tmp_path, lambda space: space.add_circle((5, 5), 4))
    with pytest.raises(GeometryError, match=r"names 2 sides, but the edge has 1: .* an arc is one"):
        slab_in(tmp_path, edge='"edge.dxf"', slab='sides = ["a", "b"]')


def test_holes_of_a_polygon_are_openings_beside_those_listed(tmp_path):
    def square(at, size):
        return [[at, at], [at + size, at], [at + size, at + size], [at, at + size], [at, at]]

    shape = {"type": "Polygon", "coordinates": [square(0, 10), square(1, 2), square(6, 1)]}
    result = check(
        tmp_path,
        edge='"edge.geojson"',
        slab="openings = [[[4, 4], [5, 4], [5, 5], [4, 5]]]",
        files={"edge.geojson": json.dumps(shape)},
    )
    assert_allclose(result.slab.area, 100 - 4 - 1 - 1)
    (note,) = (note for note in result.notes if note.code == "openings-of-edge")
    said = note.say(result.units)
    assert said.startswith("The polygon of edge.geojson has 2 holes, 5.0 m²:")


# a top between coded shots


def forms(*, is_turned=False):
    """Return the base, and forms along both arcs, shot every 5 degrees, one up and one down."""
    angles = np.radians(np.arange(0, 91, 5))
    rows = [f"{e},{n},4.8,BASE" for e in range(-1, 15, 3) for n in range(-1, 15, 3)]
    for radius, code in ((INNER, "IN"), (OUTER, "OUT")):
        way = angles[::-1] if is_turned and code == "OUT" else angles
        rows += [
            f"{radius * math.cos(a):.4f},{radius * math.sin(a):.4f},{4.9 + radius / 50:.4f},{code}"
            for a in way
        ]
    return "easting,northing,elevation,code\n" + "\n".join(rows) + "\n"


def weigh_between(folder, lines, **given):
    job = JOB.format(edge=QUARTER, slab="", top=f"between = [{lines}]", rest="")
    job = job.replace('"shots.csv"', '"shots.csv"\ncodes = "BASE"')
    return measure(write_job(folder, job=job, shots=forms(**given)))


@pytest.mark.parametrize("is_turned", [False, True])
def test_forms_along_curves_may_be_shot_the_same_way_or_against_each_other(tmp_path, is_turned):
    lines = '{ codes = "IN" }, { codes = "OUT" }'
    result = weigh_between(tmp_path, lines, is_turned=is_turned)
    # a cone: 4.9 + r / 50 over 4.8, on a quarter of a ring
    area = math.pi / 4 * (OUTER**2 - INNER**2)
    moment = math.pi / 2 * (OUTER**3 - INNER**3) / 3
    assert_allclose(result.concrete.volume, 0.1 * area + moment / 50, rtol=2e-3)
    assert result.tie_ins.flush == (2, 4)


def test_a_coded_line_and_a_listed_one_make_the_same_top(tmp_path):
    angles = np.radians(np.arange(0, 91, 5))
    listed = [[round(OUTER * f(a), 4) for f in (math.cos, math.sin)] + [5.1] for a in angles]
    coded = weigh_between(tmp_path / "a", '{ codes = "IN" }, { codes = "OUT" }')
    mixed = weigh_between(tmp_path / "b", f'{{ codes = "IN" }}, {listed}')
    assert_allclose(mixed.concrete.volume, coded.concrete.volume, rtol=1e-9)


def test_a_line_whose_code_no_shot_has_is_refused_by_its_place(tmp_path):
    with pytest.raises(InputError, match=r"top\.between 2\.codes asks for NO, but no description"):
        weigh_between(tmp_path, '{ codes = "IN" }, { codes = "NO" }')


def test_a_line_with_two_shots_at_one_place_is_refused_by_their_names(tmp_path):
    path = write_quarter(tmp_path, top='between = [{ codes = "IN" }, { codes = "OUT" }]')
    path.write_text(path.read_text().replace('"shots.csv"', '"shots.csv"\ncodes = "BASE"'))
    shots = forms()
    (tmp_path / "shots.csv").write_text(shots + shots.splitlines()[-1] + "\n")
    last = len(shots.splitlines())
    with pytest.raises(InputError, match=rf"shots line {last} and line {last + 1} of top"):
        measure(path)
