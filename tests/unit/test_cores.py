"""Cores: what a file of them holds, what is predicted, and what those taken tell."""

import numpy as np
import pytest

from gradevol.after.cores import predict_cores
from gradevol.after.errors import list_causes
from gradevol.answer.said.as_built import tell_cores
from gradevol.files.cores import Core, read_cores
from gradevol.ground.errors import InputError
from gradevol.runs.reconcile import stand_on
from tests.after_pour import CORES, TOP_SHOTS, reconciled

INCH = 0.0254


@pytest.fixture
def core_file(tmp_path):
    def write(text):
        path = tmp_path / "cores.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def predict(result, *cores, finished=None):
    ground = stand_on(result)
    placed = [core.about(result.survey.origin) for core in cores]
    return predict_cores(placed, list_causes(ground, finished), ground, finished)


def at(east, north, inches=None):
    """A core of the apron, its place in feet."""
    length = None if inches is None else inches * INCH
    return Core(f"{east} {north}", (east * 0.3048, north * 0.3048), length)


@pytest.mark.parametrize(
    "text",
    [
        "id,easting,northing,length_in\nC1,10,20,6 3/8\nC2,30,40,\n",
        "core,E (ft),N (ft),core length (mm)\nC1,10,20,161.925\nC2,30,40,\n",
        "id,x,y,thickness\nC1,10,20,0.53125\nC2,30,40,\n",
        "northing;easting;id;length\n20;10;C1;6 3/8 in\n40;30;C2;\n",
        "id,easting_ft,northing_ft,length_ft\nC1,10,20,0.53125\nC2,30,40,\n",
    ],
)
def test_cores_are_read_in_the_unit_that_their_heading_or_cell_or_job_has(core_file, text):
    one, two = read_cores(core_file(text), unit="ft")
    assert (one.id, two.id) == ("C1", "C2")
    assert one.place == pytest.approx((10 * 0.3048, 20 * 0.3048))
    assert one.length == pytest.approx(6.375 * INCH)
    assert two.length is None


@pytest.mark.parametrize("heading", ["length_us_ft", "length_usft", "Core length (US ft)"])
def test_a_core_in_survey_feet_is_read_as_shots_in_them_are(core_file, heading):
    (core,) = read_cores(core_file(f"id,easting,northing,{heading}\nC1,10,20,0.5\n"), unit="us-ft")
    assert core.length == pytest.approx(0.5 * 1200 / 3937, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("C1,10,20,6\n", "no header row"),
        ("id,easting,length\nC1,10,6\n", "does not name one northing"),
        ("id,easting,northing\nC1,10,20\n", "does not name one length"),
        ("id,easting,northing,length,thickness\nC1,1,2,3,4\n", "does not name one length"),
        ("id,easting,northing,length_in\nC1,10,2o,6\n", "line 2: the northing '2o'"),
        ("id,easting,northing,length_in\nC1,10,20,six\n", "the length 'six'"),
        ("id,easting,northing,length\nC1,10,20,6.4\nC2,1,2,-1\n", "line 3: the length '-1'"),
        ("id,easting,northing,length\nC1,10,20,6.4\nC2,1,2,155\n", "the length '155' is none"),
        ("id,easting,northing,length\nC1,10,20,\nC1,12,20,\n", "two cores are named 'C1'"),
        ("id,easting_m,northing_m,length\nC1,10,20,\n", "the job says that its numbers are in ft"),
    ],
)
def test_a_file_that_can_not_be_read_is_refused_by_row(core_file, text, said):
    with pytest.raises(InputError) as refused:
        read_cores(core_file(text), unit="ft")
    assert said in str(refused.value)


def test_a_core_off_the_slab_is_named(check_sample, core_file):
    path = core_file("id,easting,northing,length\nC1,20,10,\nC2,20,95,\n")
    with pytest.raises(InputError, match="core C2 does not lie on the slab"):
        reconciled(check_sample, cores=path)


def test_a_core_many_times_as_long_as_the_slab_is_deep_is_in_another_unit(check_sample, core_file):
    path = core_file("id,easting,northing,length\nC1,10,20,6.25\n")
    with pytest.raises(InputError, match=r"core C1 is 75 in long.*10 in deep at most.*length_in"):
        reconciled(check_sample, cores=path)


def test_a_prediction_is_near_the_surface_where_shots_are_near(check_sample):
    result = check_sample("apron/job_pour.toml")
    (core,), _ = predict(result, at(10, 15))  # on shot 14, 6 in, among others of 6 3/8 in
    assert core.thickness == pytest.approx(6.0 * INCH, abs=0.2 * INCH)
    assert core.low < core.thickness < core.high
    assert core.is_within is None


def test_a_prediction_is_less_sure_away_from_shots(check_sample):
    result = check_sample("apron/job_pour.toml")
    (near, away), _ = predict(result, at(10, 15), at(14, 20))
    assert away.sigma > near.sigma


def test_a_core_in_a_thickened_edge_is_as_deep_as_that(check_sample):
    result = check_sample("apron/job_pour.toml")
    (core,), _ = predict(result, at(18.5, 0.5))
    assert core.thickness == pytest.approx(10.4 * INCH, abs=0.4 * INCH)  # shot 3: .83 and .04


def test_cores_as_predicted_move_nothing_and_long_ones_move_all_the_same_way(check_sample):
    result = check_sample("apron/job_pour.toml")
    places = [(10, 15), (30, 30), (12, 50), (35, 70), (22, 44)]
    plain, _ = predict(result, *(at(*place) for place in places))
    same, nothing = predict(
        result, *(at(*p, each.thickness / INCH) for p, each in zip(places, plain, strict=True))
    )
    assert nothing.moved == pytest.approx([0, 0], abs=1e-9)
    assert all(core.is_within for core in same)
    _, moved = predict(
        result,
        *(at(*p, each.thickness / INCH + 0.25) for p, each in zip(places, plain, strict=True)),
    )
    assert (moved.moved > 0).all()
    # no more than a quarter of an inch all over, and a good part of it
    whole = 0.25 * INCH * result.slab.area
    assert 0.3 * whole < moved.moved.sum() < whole
    assert np.linalg.eigvalsh(moved.covariance).min() > 0


def test_a_prediction_does_not_know_the_core(check_sample):
    result = check_sample("apron/job_pour.toml")
    (blind,), _ = predict(result, at(30, 30))
    (seen,), _ = predict(result, at(30, 30, 9.0))
    assert (seen.thickness, seen.sigma) == (blind.thickness, blind.sigma)
    assert seen.is_within is False


def test_shots_on_the_top_raise_what_is_predicted(check_sample):
    result = check_sample("apron/job_pour.toml")
    built = reconciled(check_sample, top_shots=TOP_SHOTS, cores=CORES).found.as_built
    with_top = {each.core.id: each for each in built.cores}
    (without,), _ = predict(result, at(12, 20))
    assert with_top["C1"].thickness > without.thickness
    assert with_top["C1"].sigma < without.sigma


def test_tests_are_held_against_cores_taken_and_say_when_they_are_too_few(check_sample):
    built = reconciled(check_sample, cores=CORES).found.as_built
    assert [(held.taken, held.wanted, held.has_failed) for held in built.held] == [
        (3, 4, False)
    ] * 2
    assert built.finished is None
    assert built.moved is not None


def test_cores_that_can_not_be_true_are_not_taken_into_account(check_sample):
    result = check_sample("apron/job_pour.toml")
    _, correction = predict(result, at(10, 15, 3.0), at(30, 30, 3.0))  # read in another unit?
    assert not correction.is_credible
    assert correction.moved == pytest.approx([0, 0])


def test_a_core_just_outside_of_its_interval_is_not_told_as_if_it_were_on_its_end(
    check_sample, core_file
):
    head = "id,easting,northing,length_in\nC1,12,20"
    taken = reconciled(check_sample, cores=core_file(f"{head},6\n")).found.as_built.cores[0]
    just = (taken.low - 0.0001) / INCH
    done = reconciled(check_sample, cores=core_file(f"{head},{just}\n"))
    said = str(tell_cores(done)[0].statements[0].short)
    assert f"{just:.2f} in measured, outside of the interval" in said
