"""A finished top as it was shot: the same overlay as before the pour, exact where that is known."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.after.finished import OWN_SETUP, finish_top
from gradevol.ground.errors import GeometryError
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.overlaid import build_field
from gradevol.measures.thickness import measure_thickness
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Between, Level, Panel, Panels, build_top
from tests.conftest import lattice

EDGE = np.array([(0, 0), (12, 0), (12, 9), (0, 9.0)])
SLAB = Slab(EDGE, (), 0.15, 0.13)
#: A warped top: its two ends fall opposite ways.
WARPED = Between(np.array([(0, 0, 0.15), (12, 0, 0.25)]), np.array([(0, 9, 0.25), (12, 9, 0.15)]))


def finished(levels, *, design=None, places=None, setups=(), **given):
    """Finish a top over a level base: `levels` of shots at `places`, or above the design."""
    top = build_top(design or Level(0.15), SLAB)
    plan = lattice(5, 4, 3.0)
    survey = Survey(
        np.column_stack([plan, np.zeros(len(plan))]), np.zeros(3), sigma=0.002, datum_sigma=0.001,
        method="rod and level",
    )  # fmt: skip
    base = build_base(MeasuredBase(survey), SLAB, top)
    field = build_field(base.surface, top.surface, SLAB)
    at = lattice(3, 3, 3.0) + 1.5 if places is None else places
    shots = Survey(np.column_stack([at, levels(at)]), np.zeros(3), setups=setups)
    return finish_top(shots, survey, field=field, top=top, slab=SLAB, **given), field


def test_a_top_that_is_high_all_over_adds_a_layer():
    top, _ = finished(lambda at: np.full(len(at), 0.16))
    assert top.mean == pytest.approx(0.01)
    assert top.volume == pytest.approx(0.01 * 108)
    assert measure_thickness(top.field).mean == pytest.approx(0.16)


def test_a_tilt_is_held_where_the_shots_end():
    top, _ = finished(lambda at: 0.15 + 0.01 * (at[:, 0] - 6) / 6)
    moments = measure_thickness(top.field)
    # shots from 1.5 to 7.5 m: beyond, the top stands as far off the drawing as there
    assert moments.min == pytest.approx(0.15 - 0.01 * 4.5 / 6)
    assert moments.max == pytest.approx(0.15 + 0.01 * 1.5 / 6)
    assert top.coverage == pytest.approx(36 / 108)


def test_shots_at_the_edge_of_a_step_are_each_of_their_own_side():
    rings = [np.array([(x, 0), (x + 6, 0), (x + 6, 9), (x, 9.0)]) for x in (0, 6)]
    stepped = Panels((Panel(rings[0], Level(0.15)), Panel(rings[1], Level(0.25))))
    east = np.array([1.0, 5.997, 6.0, 6.0, 6.003, 11.0])
    places = np.column_stack([np.tile(east, 2), np.repeat([1.0, 8.0], 6)])
    level = np.tile([0.15, 0.25, 0.25, 0.15, 0.15, 0.25], 2)
    top, _ = finished(lambda _: level, design=stepped, places=places)
    assert_allclose(top.surface.points[:, 2], 0, atol=1e-12)
    assert top.volume == pytest.approx(0, abs=1e-9)
    assert top.notes == ()


def test_few_shots_on_a_warped_top_that_is_as_drawn_find_nothing():
    def as_drawn(at):
        share = at[:, 1] / 9
        return (0.15 + 0.1 * at[:, 0] / 12) * (1 - share) + (0.25 - 0.1 * at[:, 0] / 12) * share

    top, field = finished(as_drawn, design=WARPED)
    assert top.volume == pytest.approx(0.0, abs=0.02)  # rulings are triangles: as drawn to 0.2 mm
    assert measure_thickness(top.field).mean == pytest.approx(
        measure_thickness(field).mean, abs=2e-4
    )


def test_pieces_tile_the_slab():
    top, _ = finished(lambda at: 0.15 + 0.01 * np.sin(at[:, 0]))
    assert top.field.area.sum() == pytest.approx(108.0, rel=1e-9)


def test_more_shots_make_it_surer():
    few, _ = finished(lambda at: np.full(len(at), 0.15))
    many, _ = finished(lambda at: np.full(len(at), 0.15), places=lattice(12, 9, 1.0) + 0.5)
    assert many.random < 0.5 * few.random


def test_shots_that_name_no_setup_have_one_of_their_own():
    top, _ = finished(lambda at: np.full(len(at), 0.15))
    assert list(top.setups) == [OWN_SETUP]
    assert top.setups[OWN_SETUP] == pytest.approx(108.0)


def test_shots_elsewhere_are_refused():
    with pytest.raises(GeometryError, match="No shot of the finished top lies on the slab"):
        finished(lambda at: np.full(len(at), 0.15), places=lattice(3, 3, 3.0) + 500)


def test_a_bench_mark_among_its_shots_is_left_out_and_named():
    places = np.vstack([(-1.2, 4), lattice(4, 3, 3.0) + 1.5])
    top, _ = finished(lambda at: np.where(at[:, 0] < 0, 0.9, 0.16), places=places)
    assert (top.volume, top.mean) == (pytest.approx(0.01 * 108), pytest.approx(0.01))
    assert [(note.code, note.points) for note in top.notes] == [("top-shots-off-slab", ("no. 1",))]
    assert top.survey.name(0) == "no. 2"
    places[0] = (-0.9, 4)  # near enough to be of the form
    assert len(finished(lambda at: np.full(len(at), 0.15), places=places)[0].survey.points) == 13


def test_a_misread_on_the_top_is_named_and_counts_all_the_same():
    def misread(at):
        return np.where(np.arange(len(at)) == 4, 0.18, 0.15)

    top, _ = finished(misread)
    (note,) = [note for note in top.notes if note.code == "top-shots-suspect"]
    assert note.points == ("no. 5",)
    assert top.volume > 0.01
    wavy, _ = finished(lambda at: 0.15 + 0.003 * np.sin(at[:, 0]))
    assert "top-shots-suspect" not in [note.code for note in wavy.notes]


def test_a_top_of_which_the_shots_hold_little_is_no_surer_there_than_one_nobody_shot():
    wide, _ = finished(lambda at: np.full(len(at), 0.16), places=lattice(4, 4, 2.7) + 0.4)
    few, _ = finished(lambda at: np.full(len(at), 0.16), places=lattice(4, 4, 1.0) + 0.4)
    assert (wide.notes, [note.code for note in few.notes]) == ((), ["top-beyond-shots"])
    assert few.volume == pytest.approx(wide.volume)
    unshot = 0.0018 * 108 * (1 - 9 / 108)
    assert few.random**2 > unshot**2 > wide.random**2
    given, _ = finished(
        lambda at: np.full(len(at), 0.16), places=lattice(4, 4, 1.0) + 0.4, top_sigma=0.0036
    )
    assert given.random**2 - few.random**2 == pytest.approx(3 * unshot**2)
