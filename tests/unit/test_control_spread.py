"""Where control stands on a cloud, and a cloud whose elevations alone are in another unit."""

import numpy as np
import pytest

from gradevol.doubts.control import tie_cloud
from gradevol.ground.errors import InputError
from gradevol.site.survey import DATUM_SIGMA, Survey

USUAL = DATUM_SIGMA["point cloud"]
SPREAD = [(1, 1), (9, 1), (5, 4), (1, 7), (9, 7)]


def tie(places, bend=None, by=1.0, unit="m"):
    """Tie an invented level cloud of 10 m by 8 m to shots at places that are off by 0.2 mm."""
    plan = np.random.default_rng(3).uniform(0, [10, 8], (4000, 2))
    level = np.full(len(plan), 100.0) if bend is None else 100.0 + bend(*plan.T)
    cloud = Survey(
        np.column_stack([plan, level * by]), np.zeros(3), method="point cloud", datum_sigma=USUAL
    )
    z = 100 + 0.0002 * np.cos(np.arange(len(places)))
    shots = Survey(
        np.column_stack([np.array(places, float), z]),
        np.zeros(3),
        ids=tuple(f"K{at}" for at in range(len(places))),
        reading_unit=unit,
    )
    return tie_cloud(cloud, shots, apply=True, keep_sigma=False)


def codes(survey):
    return {note.code for note in survey.notes}


def test_control_all_over_a_cloud_makes_its_height_sure():
    survey = tie(SPREAD)
    assert survey.datum_sigma < 0.0005
    assert "control-one-sided" not in codes(survey)


@pytest.mark.parametrize(
    "places",
    [
        [(1, 1), (1.5, 1.2), (1.2, 1.6), (1.7, 1.7)],
        [(1, 1), (4, 1), (9, 1)],
        [(1, 1), (5, 4), (9, 7)],
    ],
)
def test_control_in_a_corner_or_on_a_line_leaves_a_clouds_height_unsure(places):
    survey = tie(places)
    assert survey.datum_sigma > 0.7 * USUAL
    (note,) = (note for note in survey.notes if note.code == "control-one-sided")
    assert "close together or nearly on a line" in note.text


def test_control_in_the_corners_alone_is_told_to_see_no_bow():
    survey = tie([(1, 1), (9, 1), (1, 7), (9, 7)])
    assert survey.datum_sigma < 0.0005
    (note,) = (note for note in survey.notes if note.code == "control-one-sided")
    assert "middle of the scan" in note.text


@pytest.mark.parametrize(("by", "name"), [(1 / 0.3048, "feet"), (1000.0, "millimetres")])
def test_a_cloud_with_elevations_alone_in_another_unit_is_refused(by, name):
    with pytest.raises(InputError, match=f"elevations, not its plan, were in {name}"):
        tie(SPREAD, by=by)


def test_a_cloud_on_another_datum_is_hung_on_its_control():
    shift = tie(SPREAD, bend=lambda east, _: np.full(len(east), 47.3)).shift
    assert shift is not None
    assert shift.by == pytest.approx(-47.3, abs=0.001)
