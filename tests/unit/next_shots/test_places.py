"""Where the next shots are asked for, and why."""

import csv
import io
import re
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.said.points import tell_points
from gradevol.answer.tree.result import present
from gradevol.ground.notes import Note
from gradevol.ground.units import METRES, Units
from gradevol.out.tables.topics import compose_table
from gradevol.site.slab import Thickening
from gradevol.uncertainty.advice import advise_on_volume
from gradevol.uncertainty.next_shots import (
    LEAST_NARROWING,
    LIKELY,
    MOST,
    NextShots,
)
from tests.unit.next_shots.conftest import SLAB, interval_of, invent, look, told_of, uneven

FOOT = METRES["ft"]


def distances_to(places, line):
    """Distances of places (m, 2) to a line of two points."""
    start, along = line[0], line[1] - line[0]
    share = np.clip((places - start) @ along / (along @ along), 0, 1)
    return np.hypot(*(places - start - share[:, None] * along).T)


# the apron


def test_the_apron_is_asked_for_shots_on_its_ridge_between_the_shots(sample):
    """The invented ridge runs between the shots, which show it 5/8 in high at most."""
    planned = sample.next_shots
    places = np.array([shot.at for shot in planned.thin]) / FOOT
    assert len(places) == MOST
    for wanted in ([23.5, 34], [28, 38], [31, 42]):
        assert np.hypot(*(places - wanted).T).min() < 4.3  # about half the spacing of the shots
    # on it, or in line with it beyond its end
    assert distances_to(places, np.array([[15.0, 25], [39, 51]])).max() < 5.5
    assert all(0.01 < shot.chance < 0.1 for shot in planned.thin)


def test_the_apron_is_told_to_stop_shooting_for_the_volume(sample):
    planned = sample.next_shots
    assert planned.volume == ()
    (note,) = planned.advice
    assert note.code == "volume-shared-errors"
    said = note.say(sample.units)
    assert said.startswith("Stop: more shots would not help the volume")
    assert "the instrument height by a second backsight" in said
    assert said.index("strike-off") < said.index("instrument height")  # the larger comes first


def test_no_shot_is_asked_for_where_a_suspect_one_will_be_taken_again(sample):
    """As booked, shot 41 makes all around it thin; left out, its neighbours rule that out."""
    places = np.array([shot.at for shot in sample.next_shots.thin]) / FOOT
    assert [sample.survey.name(suspect.index) for suspect in sample.suspects] == ["41"]
    assert np.hypot(*(places - [35, 55]).T).min() > 3.9


def test_the_result_the_words_and_points_name_the_same_places(sample):
    view = present(sample)
    shown = view["next_shots"]["thin"]
    assert [shot["name"] for shot in shown] == [f"NEXT{number}" for number in range(1, 6)]
    assert re.search(r"\d+ ft \d+ in from side \d \(.+\), \d+ ft", shown[0]["where"])
    assert sum(shot["gain"] for shot in shown) < view["next_shots"]["open_area"]

    table = compose_table(*tell_points(sample))
    points = {row["P"]: row for row in csv.DictReader(io.StringIO(table))}
    told = told_of(sample)
    for shot in shown:
        point = points[shot["name"]]
        assert_allclose([float(point[key]) for key in "ENZ"], shot["at"], atol=5.1e-4)
        assert point["D"] == "SHOOT FOR THIN"
        assert told[f"thin.{shot['name']}"].where == shot["where"]
    assert_allclose(shown[0]["at"][:2], np.array(sample.next_shots.thin[0].at) / FOOT, atol=1e-6)
    # the top stands half a foot above the design base, which the point is set out to
    assert 99.05 < shown[0]["at"][2] < 99.9
    head = f"for thin concrete: {shown[0]['where']}; 4 more in fix_points.csv"
    assert str(told["head"].short) == head


# the volume


def test_where_no_shot_is_the_volume_asks_for_some():
    planned, interval = look(invent(east=12.0))
    places = np.array([shot.at for shot in planned.volume])
    assert len(places) == MOST
    assert (places[:, 0] > 11.5).all()
    gains = np.array([shot.gain for shot in planned.volume])
    assert (gains > 0).all()
    assert planned.half_width == pytest.approx((interval.high - interval.low) / 2)
    assert LEAST_NARROWING * planned.half_width < gains.sum() < planned.half_width


def test_where_all_shots_share_most_of_the_error_it_says_stop():
    planned, _ = look(replace(invent(), datum_sigma=0.02))
    assert planned.volume == ()
    (note,) = (note for note in planned.advice if note.code.startswith("volume"))
    assert note.code == "volume-shared-errors"
    assert "strike-off" not in note.text


@pytest.mark.parametrize(
    ("spread", "code", "words"),
    [
        ({"datum": 1.0}, "volume-shared-errors", "instrument height"),
        ({"top": 1.0}, "volume-shared-errors", "strike-off"),
        ({"between_shots": 1.0}, "volume-needs-many", "closer together"),
        ({"shots": 1.0}, "volume-needs-many", "twice"),
    ],
)
def test_what_would_help_goes_by_the_largest_cause(spread, code, words):
    note = advise_on_volume(interval_of(**spread), 1.6, 5, invent())
    assert note.code == code
    assert words in note.text
    assert note.text.count("{}") == len(note.measures) == 2
    assert "would narrow the margin, ±{}, by less than 3 %" in note.text  # 1.64 to 1.60: 2.4 %
    assert note.text.startswith("Stop") == (code == "volume-shared-errors")


def test_depths_from_strings_are_not_told_to_take_a_backsight():
    hung = replace(invent(), depths=np.zeros(40))
    assert "strings stand" in advise_on_volume(interval_of(datum=1.0), 1.6, 5, hung).text
    assert "backsight" not in advise_on_volume(interval_of(datum=1.0), 1.6, 5, hung).text


# thin concrete


def test_an_even_base_asks_for_none_and_does_not_say_that_none_is_thin():
    planned, _ = look(invent(60, size=0.001))
    assert planned.thin == ()
    assert planned.open_area == 0
    (note,) = (note for note in planned.advice if note.code.startswith("thin"))
    assert note.code == "thin-unlikely"
    said = note.say(Units.of_job("m"))
    assert "1 %" in said
    assert "131 mm" in said
    assert "(single stones, instrument height, strike-off) is not in that, nor a hump" in said


@pytest.mark.parametrize(
    ("text", "instead"),
    [
        (
            "Stop. Instead recheck the instrument height by a backsight.",
            "recheck the instrument height",
        ),
        ("Stop. Instead recheck how the strings stand.", "recheck the strings"),
        ("Stop. Instead check forms.", "check forms and strike-off"),
    ],
)
def test_it_is_said_in_one_line_to_stop_and_what_to_do_instead(sample, text, instead):
    advice = (Note("volume-shared-errors", text),)
    stopped = replace(sample, next_shots=NextShots(1.2, None, advice=advice))
    said = str(told_of(stopped)["head"].short)
    assert said == f"more won't help the volume; {instead}"
    assert len(said) <= 66


def test_places_keep_off_the_shots_and_off_one_another():
    survey = invent(40)
    planned, _ = look(survey)
    spacing = np.sqrt(18 * 12 / 40)
    assert min(len(planned.thin), len(planned.volume)) > 2
    # what serves for both stands at one place
    places = np.unique([shot.at for shot in (*planned.thin, *planned.volume)], axis=0)
    off = np.hypot(*np.moveaxis(places[:, None] - survey.points[:, :2], 2, 0))
    assert off.min() >= 0.25 * spacing - 1e-9
    apart = np.hypot(*np.moveaxis(places[:, None] - places, 2, 0))
    assert apart[np.triu_indices(len(places), 1)].min() >= 0.5 * spacing - 1e-9
    assert_allclose(places, places.round(1), atol=1e-9)  # tenths of a metre off the sides


def test_no_shot_is_asked_for_where_concrete_is_likelier_thin_than_not():
    survey = invent(40, size=0.03)
    planned, _ = look(survey)
    assert len(planned.thin) == MOST
    assert all(0 <= shot.chance <= LIKELY for shot in planned.thin)
    assert uneven(survey.points[:, :2], 0.03).max() > 0.019 + 0.005  # much of it is thin


def test_in_a_beam_that_the_shots_show_nothing_is_thin():
    """Its shots are deep: held against the slab's own depth the base would seem far too high."""
    beam = Thickening(
        "beam", depth=0.2, surveyed="yes", outline=np.array([[0, 0], [6, 0], [6, 12], [0, 12.0]])
    )
    survey = invent(60, size=0.018)
    bare, _ = look(survey)
    deeper = 0.2 * (survey.points[:, [0]] < 6)
    dug = replace(survey, points=survey.points - np.array([0, 0, 1]) * deeper)
    planned, _ = look(dug, replace(SLAB, thickenings=(beam,)))
    assert min(shot.at[0] for shot in bare.thin) < 5
    assert len(planned.thin) > 1
    assert min(shot.at[0] for shot in planned.thin) > 5.5
    assert 0 < planned.open_area < bare.open_area
