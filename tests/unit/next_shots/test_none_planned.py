"""Where no next shots are planned, and how sure what is said of them is."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.drawing.shots import draw_shots
from gradevol.answer.said.next_shots import round_chance_up, say_chance_up, tell_next_shots
from gradevol.answer.said.points import tell_points
from gradevol.answer.tree.result import present
from gradevol.site.slab import Slab
from gradevol.uncertainty.interpolation import Between
from gradevol.uncertainty.mixture import Mixture
from gradevol.uncertainty.next_shots import (
    LEAST_HALF,
    NextShot,
    NextShots,
    plan_next_shots,
)
from tests.unit.next_shots.conftest import SLAB, interval_of, invent, look, told_of

# where nothing is planned


def test_a_cloud_has_no_next_shots_and_says_why():
    planned, _ = look(replace(invent(), ids=()))
    assert (planned.volume, planned.thin, planned.open_area) == ((), (), None)
    assert [note.code for note in planned.advice] == ["next-shots-seen"]


def test_without_a_process_nothing_is_planned():
    between = Between(SLAB.outline, Mixture.of_one(10.0, 1.0))
    assert plan_next_shots(between, invent(), SLAB, interval_of(), step=0.1) is None


def test_where_shots_stand_everywhere_there_is_no_room():
    slab = Slab(np.array([[0, 0], [1, 0], [1, 0.12], [0, 0.12]]), (), 0.15, 0.131)
    along = np.linspace(0, 1, 12)
    points = np.column_stack([along, 0.04 + 0.04 * (np.arange(12) % 2), 0.001 * np.sin(9 * along)])
    survey = invent(12)
    planned, _ = look(replace(survey, points=points), slab)
    assert [note.code for note in planned.advice] == ["next-shots-no-room"]


def test_a_margin_smaller_than_a_barrow_is_narrowed_no_further():
    edge = np.array([[0, 0], [0.9, 0], [0.9, 0.6], [0, 0.6]])
    survey = invent()
    small = replace(survey, points=survey.points * (0.05, 0.05, 1))
    planned, _ = look(small, Slab(edge, (), 0.15, 0.131))
    assert 0 < planned.half_width < LEAST_HALF
    assert planned.volume == ()
    assert not any(note.code.startswith("volume") for note in planned.advice)


def test_a_result_without_them_shows_none(sample):
    bare = replace(sample, next_shots=None)
    view = present(bare)
    assert "next_shots" not in view
    assert tell_next_shots(bare) == ()


def test_it_is_told_what_the_volume_would_be_known_to(sample):
    planned = NextShots(1.2, 3.0, (NextShot((3.0, 4.0), 0.2), NextShot((5.0, 4.0), 0.1)))
    asked = replace(sample, next_shots=planned)
    view = present(asked)
    halves = [shot["half_width"] for shot in view["next_shots"]["volume"]]
    assert_allclose(halves, np.array([1.0, 0.9]) / 0.9144**3, atol=1e-6)
    told = told_of(asked)
    assert "margin is ±1.57 yd³" in str(told["volume"].full)
    assert "about ±1.31 yd³" in str(told["volume.NEXT1"].full)
    assert "about ±1.18 yd³" in str(told["volume.NEXT2"].full)
    first = view["next_shots"]["volume"][0]["where"]
    assert str(told["head"].short).startswith(f"for the volume: {first}")


def test_a_place_that_serves_both_has_one_name_and_is_set_out_once(sample):
    both = (3.0, 4.0)
    volume = (NextShot((5.0, 4.0), 0.2), NextShot(both, 0.1))
    asked = replace(sample, next_shots=NextShots(1.2, 3.0, volume, (NextShot(both, 0.5, 0.02),)))
    points = {str(said.label): said.cells[-1] for said in tell_points(asked)[0].statements}
    assert points["NEXT1"] == "SHOOT FOR THIN AND VOLUME"
    assert points["NEXT2"] == "SHOOT FOR VOLUME"
    assert "NEXT3" not in points
    view = present(asked)["next_shots"]
    assert [shot["name"] for shot in view["thin"]] == ["NEXT1"]
    assert [shot["name"] for shot in view["volume"]] == ["NEXT2", "NEXT1"]
    assert [shot.name for shot in draw_shots(asked).next] == ["NEXT1", "NEXT2"]
    told = told_of(asked)
    assert str(told["head"].short).startswith("for thin concrete and the volume: ")
    assert told["thin.NEXT1"].where
    assert not told["volume.NEXT1"].where  # it was said already
    assert "about ±1.18 yd³" in str(told["volume.NEXT1"].full)


@pytest.mark.parametrize(
    ("chance", "said"), [(0.004, "under 1 %"), (0.0701, "8 %"), (0.07, "7 %"), (0.5, "50 %")]
)
def test_a_chance_is_never_rounded_down(chance, said):
    assert say_chance_up(chance) == said


def test_no_place_is_surer_in_the_data_than_a_hundredth():
    assert [round_chance_up(chance) for chance in (1e-5, 0.01, 0.0101, 0.07)] == [
        0.01, 0.01, 0.02, 0.07
    ]  # fmt: skip
