"""Bent edges of a job file, and tops between coded lines."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.files.sources import Shots
from gradevol.geometry.rings import ring_area
from gradevol.job import TopLines
from tests.unit.job_file.conftest import BASE, FOOT, SLAB, TOP, UNITS

# curves


def bent(edge):
    return UNITS + BASE + f'[slab]\nedge = {edge}\nthickness = "6 in"\n' + TOP


def test_a_rounded_corner_is_a_side_of_its_own_between_the_two_it_joins(read):
    slab = read(bent("[[0, 0], [20, 0], { corner = [20, 10], radius = 4 }, [0, 10]]")).slab
    assert slab.n_sides == 5
    starts = slab.edge[list(slab.side_starts)] / FOOT
    assert_allclose(starts, [[0, 0], [20, 0], [20, 6], [16, 10], [0, 10]], atol=1e-12)
    assert_allclose(ring_area(slab.edge), (200 - (4 - math.pi) * 4) * FOOT**2)


def test_where_the_first_corner_is_rounded_its_arc_is_the_last_side(read):
    slab = read(bent("[{ corner = [0, 0], radius = 2 }, [20, 0], [20, 10], [0, 10]]")).slab
    starts = slab.edge[list(slab.side_starts)] / FOOT
    assert_allclose(starts, [[2, 0], [20, 0], [20, 10], [0, 10], [0, 2]], atol=1e-12)


def test_sides_that_roundings_use_up_are_not_counted(read):
    corners = ((0, 0), (20, 0), (20, 10), (0, 10))
    pill = ", ".join(f"{{ corner = [{e}, {n}], radius = 5 }}" for e, n in corners)
    slab = read(bent(f"[{pill}]")).slab
    assert slab.n_sides == 6
    assert_allclose(ring_area(slab.edge), (100 + 25 * math.pi) * FOOT**2)


def test_a_circle_is_two_corners_and_two_curves(read):
    slab = read(bent("[[5, 0], { curve = [0, 5] }, [-5, 0], { curve = [0, -5] }]")).slab
    assert slab.n_sides == 2
    assert_allclose(ring_area(slab.edge), 25 * math.pi * FOOT**2)
    off = np.hypot(*slab.edge.T) - 5 * FOOT
    assert np.abs(off).max() < 0.001


@pytest.mark.parametrize("last", ["", ", [0, 0]"])
def test_a_first_corner_may_be_repeated_at_the_end_of_a_bent_edge(read, last):
    edge = f"[[0, 0], [9, 0], {{ corner = [9, 9], radius = 1 }}, [0, 9]{last}]"
    assert read(bent(edge)).slab.n_sides == 5


def test_openings_panels_pours_and_outlines_may_be_bent_too(read):
    ring = "[[2, 0], { curve = [0, 2] }, [-2, 0], { curve = [0, -2] }]"
    text = UNITS + BASE + SLAB + f"openings = [{ring}]\n[top]\n"
    text += f"panel = [{{ edge = {ring}, level = 1 }}]\n[[pour]]\nedge = {ring}\n"
    job = read(f"{text}[[thickening]]\noutline = {ring}\ndepth = 1\n")
    rings = (job.slab.openings[0], job.slab.thickenings[0].outline)
    for made in (*rings, job.top.panels[0].edge, job.pours[0].edge):
        assert_allclose(ring_area(made), 4 * math.pi * FOOT**2)


def test_a_thickening_may_follow_an_arc_by_its_number(read, refuse):
    edge = "[[0, 0], [20, 0], { curve = [24, 5] }, [20, 10], [0, 10]]"
    beam = "[[thickening]]\nsides = [{}]\nwidth = 1\ndepth = 1\n"
    assert read(bent(edge) + beam.format(4)).slab.thickenings[0].sides == (4,)
    assert "from 1 to 4" in refuse(bent(edge) + beam.format(5))


_TOO_LARGE = "the radius of entry 3 of slab.edge (12 ft 0 in) is too large: rounding takes"


@pytest.mark.parametrize(
    ("edge", "said"),
    [
        ("[[0, 0], [20, 0], { corner = [20, 10], radius = 12 }, [0, 10]]", _TOO_LARGE),
        (
            "[[0, 0], { corner = [9, 0], radius = 6 }, { corner = [9, 10], radius = 6 }, [0, 10]]",
            "the radii of entry 2 of slab.edge and the one after it are too large: rounding takes "
            "12 ft 0 in of a side that is 10 ft 0 in long",
        ),
        ("[{ curve = [5, -1] }, [9, 0], [9, 9]]", "slab.edge begins with a curve"),
        ("[[0, 0], { curve = [5, 0] }, [9, 0], [9, 9]]", "entry 2 of slab.edge lies on one line"),
        ("[[0, 0], { curve = [50, 0.01] }, [9, 0], [9, 9]]", "would have a radius of"),
        ("[[0, 0], { curve = [4, -1] }, { curve = [6, -1] }, [9, 0]]", "are both curves"),
        (
            "[[0, 0], { curve = [4, -1] }, { corner = [9, 0], radius = 1 }, [9, 9]]",
            "beside a round",
        ),
        ("[[0, 0], { corner = [5, 0], radius = 1 }, [9, 0], [9, 9]]", "entry 2 of slab.edge is r"),
        ("[[0, 0], { corner = [5, 0] }, [9, 0], [9, 9]]", "slab.edge 2.radius is missing"),
        ("[[0, 0], { corner = [9, 0], radius = 0 }, [9, 9]]", "slab.edge 2.radius is the number 0"),
        ("[[0, 0], { curve = [4, -1], radius = 2 }, [9, 0]]", "2.radius means nothing beside"),
        ("[[0, 0], { curv = [4, -1] }, [9, 0], [9, 9]]", "there is no key 'curv' in slab.edge 2"),
        ("[[0, 0], { curve = [4, -1, 2] }, [9, 0], [9, 9]]", "slab.edge 2.curve is a list of 3"),
        ("[[0, 0], { curve = [4, -1] }, 9, [9, 9]]", "entry 3 of slab.edge is the number 9"),
        ("[[0, 0], { curve = [4, -1] }, [9, 0, 5], [9, 9]]", "entry 3 of slab.edge is a list of 3"),
        ("[[0, 0], { curve = [0, 0] }, [9, 0], [9, 9]]", "entry 1 of slab.edge and the one after"),
        ("[[0, 0], { curve = [4, -1] }]", "slab.edge has 1 corner and 1 curve"),
        ("[{ corner = [9, 0], radius = 1 }]", "slab.edge has 1 corner and 0 curves"),
    ],
)
def test_a_bent_edge_that_makes_no_outline_is_refused_in_words(refuse, edge, said):
    assert said in refuse(bent(edge))


# a top between coded lines


def test_a_line_of_the_top_may_be_shots_and_the_other_points(read, tmp_path):
    text = UNITS + BASE + 'codes = "BASE"\nunits = "m"\ncolumns = "PENZD"\n' + SLAB
    lines = 'between = [{ codes = "A" }, [[0, 80, 100], [45, 80, 100]]]\n'
    top = read(f"{text}[top]\n{lines}").top
    assert isinstance(top, TopLines)
    assert isinstance(top.first, Shots)
    assert isinstance(top.second, np.ndarray)
    assert (top.first.paths, top.first.codes) == ((tmp_path / "shots.csv",), ("A",))
    assert (top.first.unit, top.first.columns, top.first.least) == ("m", "PENZD", 2)
    assert_allclose(top.second[1], [45 * FOOT, 80 * FOOT, 100 * FOOT])


@pytest.mark.parametrize(
    ("base", "lines", "said"),
    [
        ("", '{ codes = "A" }, { codes = "B" }', "top.between 1.codes picks A out of shots.csv"),
        ('codes = "G"\n', '{ code = "A" }, { codes = "B" }', "no key 'code' in top.between 1"),
        ('codes = "G"\n', '{ codes = "A" }, { shots = "x" }', "top.between 2.codes is missing"),
        ('codes = "G"\n', '{ codes = "A" }', "top.between is a list of 1"),
        ('codes = "G"\n', '{ codes = "A" }, 5', "line 2 of top.between is the number 5"),
    ],
)
def test_coded_lines_that_say_too_little_are_refused(refuse, base, lines, said):
    assert said in refuse(UNITS + BASE + base + SLAB + f"[top]\nbetween = [{lines}]\n")


def test_the_notation_of_the_base_goes_for_its_rechecks_and_for_text_of_the_job(read):
    job = read(
        UNITS
        + 'interval = "95 %"\n'
        + BASE
        + 'notation = "inches"\nrechecks = { shots = "more.csv", radius = "6 1/2" }\n'
        + SLAB
        + TOP
    )
    assert job.interval == 0.95
    assert job.base.source.notation == "inches"
    assert job.base.rechecks.shots.notation == "inches"
    assert job.base.rechecks.radius == pytest.approx(6.5 * 0.0254)
