"""Points to set out: where they are, and what they ask for."""

import csv

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.grade import Grade, find_grade
from gradevol.answer.setting_out import Stakes, find_stakes
from gradevol.ground.units import Units
from gradevol.out.exports.set_out import compose_set_out
from gradevol.site.slab import Thickening
from tests.pads import grid

EDGE = np.array([[0, 0], [10, 0], [10, 8], [0, 8.0]])


def rows_of(text):
    header, *rows = csv.reader(text.splitlines())
    assert header == list("PNEZD")
    return rows


def test_every_shot_on_the_slab_gets_the_design_base_at_its_place(exported):
    result, metres = exported.result, exported.metres
    text = (exported.folder / "set_out.csv").read_text(encoding="ascii")
    rows = rows_of(text)
    shots = dict(zip(result.survey.ids, result.survey.points + result.survey.origin, strict=True))
    assert 20 < len(rows) < len(shots)
    corner = result.slab.edge[0] + result.survey.origin[:2]
    direction = np.array([np.sin(np.radians(40)), np.cos(np.radians(40))])
    for name, north, east, level, words in rows:
        shot = shots[name.removeprefix("SO")] / metres
        assert_allclose([float(east), float(north)], shot[:2], atol=0.00051)
        fall = (shot[:2] * metres - corner) @ direction * 0.25 / 12
        design = (30.5 - fall - 0.1524) / metres
        assert_allclose(float(level), design, atol=0.00051)
        move = shot[2] - design
        if words != "OK":
            word, amount, said, base = words.removeprefix("RESHOOT ").split()
            assert (word, said) == ("CUT" if move > 0 else "FILL", "FROM")
            assert amount == find_grade(result).say_booked(move * metres)  # as the mark there
            assert_allclose(float(base), shot[2], atol=0.0051)


def test_a_suspect_shot_is_to_be_shot_again_first(apron):
    stakes = find_stakes(apron)
    suspects = {apron.survey.ids[suspect.index] for suspect in apron.suspects}
    assert suspects
    places = np.column_stack([stakes.places, stakes.design])
    rows = rows_of(compose_set_out(stakes, places, unit="m", metres=1.0))
    asked = {name.removeprefix("SO") for name, *_, words in rows if words.startswith("RESHOOT ")}
    assert asked == suspects


@pytest.mark.parametrize(("surveyed", "lower"), [("departure", 0.25), ("yes", 0.25), ("no", 0.0)])
def test_the_design_base_lies_deeper_where_shots_are_on_a_thickenings_bottom(
    make_result, surveyed, lower
):
    plan = grid(np.arange(0, 11.0), np.arange(0, 9.0))
    beam = Thickening("beam", depth=0.25, width=1.0, sides=(1,), surveyed=surveyed)
    level = 9.85 - lower * (plan[:, 1] < 1.5)
    result = make_result(np.column_stack([plan, level]), EDGE, 10.0, thickenings=(beam,))
    stakes = find_stakes(result)
    on_beam = stakes.places[:, 1] + result.survey.origin[1] < 0.5
    design = stakes.design + result.survey.origin[2]
    assert_allclose(design[on_beam], 9.85 - lower, atol=1e-9)
    assert_allclose(design[~on_beam & (stakes.places[:, 1] > 1.5)], 9.85, atol=1e-9)
    assert on_beam.sum() == 11


def test_without_names_a_lattice_on_round_coordinates_is_set_out(make_result):
    plan = grid(np.arange(-1, 12.0), np.arange(-1, 10.0))
    corner = np.array([500.3, 700.2])
    shots = np.column_stack([plan + corner, 9.85 + 0.01 * plan[:, 0]])
    result = make_result(shots, EDGE + corner, 10.0, ids=False)
    stakes = find_stakes(result)
    places = stakes.places + result.survey.origin[:2]
    assert_allclose(places, np.round(places), atol=1e-9)
    assert len(places) == 10 * 8
    base = stakes.base + result.survey.origin[2]
    assert_allclose(base, 9.85 + 0.01 * (places[:, 0] - 500.3), atol=1e-9)
    assert stakes.names == ()


@pytest.mark.parametrize("names", [("7", "7"), ("é", "7"), ()])
def test_names_that_would_not_do_are_numbers(names):
    base, is_not = np.array([1.5, 1.0004]), np.zeros(2, bool)
    grade = Grade(0.01, 0.01, is_high_given=True, is_low_given=True, units=Units.of_job("m"))
    stakes = Stakes(names, np.zeros((2, 2)), base, np.ones(2), is_not, grade)
    places = np.array([[1, 2, 3.0], [4, 5, 3.0]])
    rows = rows_of(compose_set_out(stakes, places, unit="m", metres=1.0))
    assert [row[0] for row in rows] == ["SO1", "SO2"]
    assert rows[0][1:] == ["2.000", "1.000", "3.000", "CUT 0.500 FROM 3.500"]
    assert rows[1][4] == "OK"
