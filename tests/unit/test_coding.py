import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import GeometryError
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.overlaid import build_field
from gradevol.site.coding import find_lines, join_lines, matches
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Level, build_top


def survey(rows):
    points = np.array([row[:3] for row in rows], float)
    return Survey(points, np.zeros(3), codes=tuple(row[3] for row in rows))


def test_patterns_are_shell_style_and_blind_to_case():
    assert matches("Base top", ["BASE*"])
    assert matches("BL2", ["ep", "bl?"])
    assert not matches("FORM", ["BASE*"])


def test_each_description_is_a_line_of_its_own_in_file_order():
    shots = survey([(0, 0, 0, "BL1"), (1, 0, 0, "BASE"), (2, 0, 0, "BL1"), (2, 2, 0, "BL2"),
                    (0, 2, 0, "BL2")])  # fmt: skip
    lines = find_lines(shots, ["BL*"])
    assert {word: shots.tolist() for word, shots in lines.items()} == {"BL1": [0, 2], "BL2": [3, 4]}
    assert join_lines(shots, lines, np.arange(5)).tolist() == [[0, 2], [3, 4]]


def test_a_pattern_that_matches_nothing_is_refused():
    with pytest.raises(GeometryError, match="no description matches"):
        find_lines(survey([(0, 0, 0, "BASE")]), ["BL*"])


def test_a_line_of_one_shot_is_refused():
    with pytest.raises(GeometryError, match="'BL1' has one shot"):
        find_lines(survey([(0, 0, 0, "BL1"), (1, 0, 0, "BASE")]), ["BL*"])


def test_lines_that_cross_are_refused_with_the_place():
    shots = survey([(0, 0, 0, "A"), (2, 2, 0, "A"), (0, 2, 0, "B"), (2, 0, 0, "B")])
    with pytest.raises(GeometryError, match="'A' and 'B' cross") as caught:
        join_lines(shots, find_lines(shots, ["A", "B"]), np.arange(4))
    assert caught.value.place == pytest.approx((1, 1))


def test_lines_that_share_a_shot_may_meet():
    shots = survey([(0, 0, 0, "A"), (1, 1, 0, "A"), (2, 2, 0, "A"), (0, 2, 0, "B"), (1, 1, 0, "B")])
    edges = join_lines(shots, find_lines(shots, ["A", "B"]), np.array([0, 1, 2, 3, 1]))
    assert edges.tolist() == [[0, 1], [1, 2], [3, 1]]


def test_a_breakline_is_kept_where_delaunay_would_cross_it():
    # A trench bottom along a long line, banks shot close by: without the line the banks are joined
    # across it and the trench is lost between its two shots.
    rows = [(0, 2, 0.8, "TOE"), (12, 2, 0.8, "TOE")]
    rows += [(e, n, 1.0, "BASE") for e in (0, 3, 6, 9, 12) for n in (1, 3)]
    slab = Slab(np.array([[0, 1.0], [12, 1], [12, 3], [0, 3]]), (), 0.2, 0.18)
    top = build_top(Level(1.2), slab)

    def volume(breaklines):
        base = build_base(MeasuredBase(survey(rows), None, breaklines), slab, top)
        return measure_concrete(build_field(base.surface, top.surface, slab), slab).slab

    # a prism: 24 m² by 0.2 m, and a triangular trench 2 m wide, 0.2 m deep, 12 m long
    assert_allclose(volume(("TOE",)), 24 * 0.2 + 0.5 * 2 * 0.2 * 12, rtol=1e-12)
    assert volume(()) < volume(("TOE",)) - 0.5


def test_a_line_that_crosses_itself_is_named_once():
    shots = survey([(0, 0, 0, "A"), (4, 4, 0, "A"), (4, 0, 0, "A"), (0, 4, 0, "A")])
    with pytest.raises(GeometryError, match="Breakline 'A' crosses itself") as caught:
        join_lines(shots, find_lines(shots, ["A"]), np.arange(4))
    assert "both" not in str(caught.value)
