"""Control: the shift of a cloud, what is left of it, and what its elevations share in error."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.doubts.control import compare_control, tie_cloud
from gradevol.ground.errors import InputError
from gradevol.ground.units import Units
from gradevol.job import read_job
from gradevol.runs.check import check_job
from gradevol.site.survey import DATUM_SIGMA, Survey
from tests.pads import grid

pytestmark = pytest.mark.usefixtures("unsimulated")

SPACING = 0.05


def cloud_of(shift=0.0, noise=0.0, *, seed=1):
    """An invented plane of 10 m by 8 m, its points each 50 mm, `shift` too low."""
    east, north = grid(np.arange(0, 10, SPACING), np.arange(0, 8, SPACING)).T
    z = 20 + 0.03 * east - 0.02 * north - shift
    z += np.random.default_rng(seed).normal(0, noise, len(z))
    return np.column_stack([east, north, z])


PLACES = np.array([(1.02, 1.013), (8.51, 1.52), (5.0, 4.0), (1.27, 6.9), (8.8, 7.1)])


def shots_at(places=PLACES, off=0.0):
    return np.column_stack([places, 20 + 0.03 * places[:, 0] - 0.02 * places[:, 1] + off])


def surveys(cloud, shots):
    origin = np.zeros(3)
    ids = tuple(f"C{number + 1}" for number in range(len(shots)))
    return (
        Survey(cloud, origin, method="point cloud", datum_sigma=DATUM_SIGMA["point cloud"]),
        Survey(shots, origin.copy(), ids=ids),
    )


@pytest.mark.parametrize(
    ("slip", "remedy"),
    [
        (lambda plan: plan[:, ::-1], "look swapped: check base.control.columns"),
        (lambda plan: plan / 0.3048, "would lie on it in feet: check base.control.units"),
    ],
)
def test_control_that_lies_off_the_cloud_by_a_slip_is_refused_with_it(slip, remedy):
    away = np.array([400.0, 100.0, 0.0])
    shots = shots_at() + away
    shots[:, :2] = slip(shots[:, :2])
    with pytest.raises(InputError, match=remedy):
        tie_cloud(*surveys(cloud_of() + away, shots), apply=True, keep_sigma=False)


def test_a_shift_is_found_exactly_on_a_plane():
    tie = compare_control(cloud_of(0.012), shots_at())
    assert_allclose(tie.difference, 0.012, rtol=0, atol=1e-12)
    assert tie.shift == pytest.approx(0.012)
    assert tie.spread == pytest.approx(0, abs=1e-12)


@given(st.floats(-0.2, 0.2), st.floats(-0.1, 0.1), st.floats(-0.1, 0.1))
def test_the_plane_through_the_points_follows_their_slope(shift, east, north):
    cloud = cloud_of()[::3].copy()
    cloud[:, 2] = east * cloud[:, 0] + north * cloud[:, 1]
    shots = np.column_stack([PLACES, PLACES @ [east, north] + shift])
    assert_allclose(compare_control(cloud, shots).difference, shift, rtol=0, atol=1e-9)


def test_neither_the_order_of_points_nor_of_shots_matters():
    cloud, shots = cloud_of(0.01, 0.004), shots_at()
    order = np.random.default_rng(3).permutation(len(cloud))
    tie, other = compare_control(cloud, shots), compare_control(cloud[order], shots[::-1])
    assert_allclose(other.difference[::-1], tie.difference, rtol=0, atol=1e-12)
    assert other.shift == pytest.approx(tie.shift, abs=1e-12)


def test_the_scatter_of_single_points_is_averaged_out():
    places = np.random.default_rng(2).uniform([0.5, 0.5], [9, 7], (60, 2))
    tie = compare_control(cloud_of(0.01, 0.004), shots_at(places))
    assert tie.is_on.all()
    assert tie.shift == pytest.approx(0.01, abs=0.0006)
    # about 13 points within 0.1 m: 4 mm become 1.1 mm
    assert tie.spread == pytest.approx(0.0011, rel=0.3)


def test_mean_spread_and_standard_error_by_hand():
    tie = compare_control(cloud_of(), shots_at(off=np.array([0.001, 0.002, 0.003, 0.006, 0.008])))
    assert tie.shift == pytest.approx(0.004)
    assert tie.spread == pytest.approx(np.sqrt((9 + 4 + 1 + 4 + 16) / 4) / 1000)
    assert tie.shift_sigma == pytest.approx(tie.spread / np.sqrt(5))


def test_shots_off_the_cloud_or_at_its_rim_are_not_compared():
    places = np.vstack([PLACES, [(-3.0, 4.0), (9.99, 4.0), (40.0, 40.0)]])
    tie = compare_control(cloud_of(0.01), shots_at(places))
    assert tie.is_on.tolist() == [True] * 5 + [False] * 3
    assert tie.shift == pytest.approx(0.01)
    with pytest.raises(InputError, match=r"none of the 1 shots of base\.control stands on"):
        compare_control(cloud_of(), shots_at(np.array([[40.0, 40.0]])))


@pytest.mark.parametrize("apply", [False, True])
def test_the_shift_is_applied_only_if_asked(apply):
    off = np.array([0.001, 0.002, 0.003, 0.006, 0.008])
    cloud, control = surveys(cloud_of(), shots_at(off=off))

    tied = tie_cloud(cloud, control, apply=apply, keep_sigma=False)

    assert_allclose(tied.points[:, 2] - cloud.points[:, 2], 0.004 if apply else 0.0, atol=1e-12)
    spread = np.sqrt(34 / 4) / 1000
    wanted = np.hypot(spread, spread / np.sqrt(5))
    assert tied.datum_sigma == pytest.approx(wanted if apply else np.hypot(wanted, 0.004))


def test_what_the_job_states_of_the_datum_is_kept():
    cloud, control = surveys(cloud_of(0.02), shots_at())
    assert tie_cloud(cloud, control, apply=False, keep_sigma=True).datum_sigma == cloud.datum_sigma


def test_a_shot_that_leaves_the_others_is_named_before_the_shift_it_spoils():
    shots = shots_at(off=0.01)
    shots[1, 2] += 0.3
    told = tie_cloud(*surveys(cloud_of(), shots), apply=True, keep_sigma=False).notes
    assert [note.code for note in told][:2] == ["control-doubtful", "control-shift"]
    assert "1 disagrees with the others: C2 by 0.300 m" in told[0].say(Units.of_job("m"))


def test_shots_that_scatter_within_noise_are_not_doubted():
    shots = shots_at()
    shots[:, 2] += [0.0, 0.0, 0.0, 0.0, 0.02]
    told = tie_cloud(*surveys(cloud_of(), shots), apply=False, keep_sigma=False).notes
    assert "control-doubtful" not in [note.code for note in told]


def test_one_shot_leaves_the_usual_error_of_a_scan():
    cloud, control = surveys(cloud_of(0.02), shots_at(PLACES[:1]))
    tied = tie_cloud(cloud, control, apply=True, keep_sigma=False)
    assert tied.datum_sigma == cloud.datum_sigma
    assert [note.code for note in tied.notes] == ["control-shift"]
    assert "one shot can't show its own error" in tied.notes[0].text


def test_the_notes_say_it_all_in_the_jobs_units():
    places = np.vstack([PLACES[:3], [(40.0, 40.0)]])
    cloud, control = surveys(cloud_of(), shots_at(places, off=np.array([0.010, 0.012, 0.017, 0.0])))
    shift, left, off = tie_cloud(cloud, control, apply=False, keep_sigma=False).notes
    metric = Units.of_job("m")
    assert shift.say(metric) == (
        "Control is 0.013 m off the cloud (average of 3 shots, sure to 0.002 m; positive: control "
        "is higher). It was not applied: base.control.apply = true adds it to the cloud. The "
        "height of the whole cloud is taken as sure to 0.014 m, one standard deviation."
    )
    assert left.say(metric) == (
        "Control less cloud, that average taken off: C1 −0.003 m, C2 −0.001 m, C3 0.004 m; "
        "standard deviation 0.004 m."
    )
    assert off.points == ("C4",)
    assert shift.points == left.points == ("C1", "C2", "C3")
    assert "0.04 ft" in shift.say(Units.of_job("ft"))


# From a job

JOB = """units = "m"
[base]
cloud = "pad.xyz"
{control}
[slab]
edge = [[0.5, 0.5], [9, 0.5], [9, 7], [0.5, 7]]
thickness = 0.15
[top]
level = 20.4
"""


def check(tmp_path, control="", shots=None):
    cloud = cloud_of(0.012)[::4]
    np.savetxt(tmp_path / "pad.xyz", cloud, fmt="%.4f")
    np.savetxt(tmp_path / "control.xyz", shots_at() if shots is None else shots, fmt="%.4f")
    path = tmp_path / "job.toml"
    path.write_text(JOB.format(control=control))
    return check_job(read_job(path))


def test_applied_control_moves_the_volume_by_the_shift_over_the_slab(tmp_path):
    named = 'control = {{ shots = "control.xyz", columns = "ENZ", apply = {} }}'
    plain = check(tmp_path)
    told = check(tmp_path, named.format("false"))
    applied = check(tmp_path, named.format("true"))
    assert told.concrete.volume == pytest.approx(plain.concrete.volume, abs=1e-9)
    shift = plain.concrete.volume - applied.concrete.volume
    assert shift == pytest.approx(0.012 * plain.slab.area, rel=1e-3)
    assert told.survey.datum_sigma == pytest.approx(0.012, abs=2e-4)
    assert applied.survey.datum_sigma < 2e-4
    assert "control-shift" in [note.code for note in applied.notes]


@pytest.mark.parametrize(("off", "is_told"), [(0.02, True), (0.008, False)])
def test_a_control_shot_on_which_the_volume_hangs_is_told_with_what_it_moves(
    tmp_path, off, is_told
):
    named = 'control = {{ shots = "control.xyz", columns = "ENZ", apply = {} }}'
    shots = shots_at()
    shots[2, 2] += off
    told = check(tmp_path, named.format("true"), shots)
    notes = [note for note in told.notes if note.code == "control-hangs-on-one"]
    assert len(notes) == is_told
    assert "control-hangs-on-one" not in [
        note.code for note in check(tmp_path, named.format("false"), shots).notes
    ]
    if notes:
        shift, volume = (measure.value for measure in notes[0].measures)
        without = check(tmp_path, named.format("true"), np.delete(shots, 2, axis=0))
        assert volume == pytest.approx(without.concrete.volume - told.concrete.volume, rel=2e-3)
        assert shift == pytest.approx(off / 5, rel=2e-3)
        assert "would stand {} lower, and the slab take {} more" in notes[0].text


def test_a_stated_datum_sigma_stands_beside_control(tmp_path):
    control = 'control = { shots = "control.xyz", columns = "ENZ" }\ndatum_sigma = 0.003'
    assert check(tmp_path, control).survey.datum_sigma == 0.003


@pytest.mark.parametrize("cell", [0.3, 0.4, 0.5])
def test_control_is_compared_however_wide_the_squares_are(cell):
    east, north = (axis.ravel() for axis in np.mgrid[0.1:10:cell, 0.1:8:cell])
    cloud = np.column_stack([east, north, 20 + 0.03 * east - 0.02 * north - 0.012])
    tie = compare_control(cloud, shots_at(), cell=cell)
    assert tie.is_on.all()
    assert_allclose(tie.difference, 0.012, rtol=0, atol=1e-9)


def test_a_phones_scan_in_wide_squares_is_hung_on_its_control(tmp_path):
    random = np.random.default_rng(7)
    places = random.uniform(-0.5, [10.5, 8.5], (30_000, 2))
    z = 20 + random.normal(0, 0.008, len(places)) - 0.03
    np.savetxt(tmp_path / "scan.xyz", np.column_stack([places, z]), fmt="%.3f")
    (tmp_path / "control.csv").write_text(
        "point,easting,northing,elevation\n"
        + "".join(f"K{at},{e},{n},20\n" for at, (e, n) in enumerate(PLACES))
    )
    (tmp_path / "job.toml").write_text(
        'units = "m"\n[base]\ncloud = "scan.xyz"\n'
        'control = { shots = "control.csv", apply = true }\n[slab]\n'
        "edge = [[0, 0], [10, 0], [10, 8], [0, 8]]\nthickness = 0.15\n[top]\nlevel = 20.15\n"
    )
    result = check_job(read_job(tmp_path / "job.toml"))
    assert result.survey.grain is not None
    assert result.survey.grain.cell > 0.3
    assert result.concrete.volume == pytest.approx(12, abs=0.1)
    assert "control-off-cloud" not in {note.code for note in result.notes}
