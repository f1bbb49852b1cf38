"""Ground outside the forms, and trenches, that a cloud shows beside the base."""

import laspy
import numpy as np
import pytest
import shapely

from gradevol.files.clouds.bins import bin_points, coarsen_bins
from gradevol.files.clouds.cut_squares import split_at_edge
from gradevol.files.clouds.stored import store_points
from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.runs.check import check_job
from gradevol.site.beside import _find_stretches

pytestmark = pytest.mark.usefixtures("unsimulated")

WIDE, LONG = 6.0, 8.0
JOB = """
units = "m"
[base]
cloud = "scan.xyz"
{base}
[slab]
edge = [[500, 800], [506, 800], [506, 808], [500, 808]]
thickness = 0.15
[top]
level = 20.15
"""


def scan(step, *, around=1.0, fall=0.0, dense=100):
    """An invented base at 20 m, as a scanner of 5 mm sees it; ground a `step` off beside it.

    `dense`: points to the m². The ground filter needs more of them than all else.
    """
    random = np.random.default_rng(11)
    count = round((WIDE + 2 * around) * (LONG + 2 * around) * dense)
    east = random.uniform(-around, WIDE + around, count)
    north = random.uniform(-around, LONG + around, count)
    is_off = (east < 0) | (east > WIDE) | (north < 0) | (north > LONG)
    level = 20 - fall * east + random.normal(0, 0.005, count) + np.where(is_off, step, 0.0)
    return np.column_stack([east + 500, north + 800, level])


def check(folder, points, base="cell = 0.25\nground = false", job=JOB):
    np.savetxt(folder / "scan.xyz", points, fmt="%.4f")
    (folder / "job.toml").write_text(job.format(base=base))
    return check_job(read_job(folder / "job.toml"))


def codes(result):
    return {note.code for note in result.notes}


@pytest.mark.parametrize(
    ("step", "base"),
    [
        *((step, "cell = 0.25\nground = false") for step in (-0.3, -0.03, 0.03, 0.15)),
        *((step, base) for step in (-0.3, 0.03) for base in ("", "cell = 0\nground = false")),
    ],
)
def test_ground_outside_the_forms_moves_no_volume(tmp_path, step, base):
    result = check(tmp_path, scan(step, dense=100 if base else 300), base)
    assert result.concrete.volume == pytest.approx(0.15 * WIDE * LONG, rel=0.003)
    assert result.interval is not None
    middle = (result.interval.low + result.interval.high) / 2
    assert middle == pytest.approx(0.15 * WIDE * LONG, rel=0.01)
    assert "cloud-beside" in codes(result)
    assert "beyond-survey" not in codes(result)


@pytest.mark.parametrize("fall", [0.0, 0.03])
def test_a_base_that_goes_on_beyond_the_edge_is_kept(tmp_path, fall):
    result = check(tmp_path, scan(0.0, fall=fall))
    assert "cloud-beside" not in codes(result)
    assert result.coverage == pytest.approx(1.0)


def test_the_note_says_how_far_it_stands_off_and_along_how_much_of_the_edge(tmp_path):
    points = scan(0.0)
    points[points[:, 0] > 500 + WIDE, 2] -= 0.2
    (note,) = (note for note in check(tmp_path, points).notes if note.code == "cloud-beside")
    length, low = note.measures[:2]
    assert length.value == pytest.approx(LONG, abs=1.5)
    assert low.value == pytest.approx(0.2, abs=0.01)
    assert "below" in note.text


@pytest.mark.parametrize("long", [LONG, LONG + 0.3])
def test_an_old_slab_along_one_side_stands_in_no_corner_of_the_new_one(tmp_path, long):
    points = scan(0.0, dense=300)
    points[points[:, 1] > 800 + long, 2] += 0.15  # at the top, and beyond both corners
    job = JOB.replace("808", f"{800 + long}")
    result = check(tmp_path, points, "cell = 0.2\nground = false", job)
    assert result.thickness.min == pytest.approx(0.15, abs=0.01)
    assert result.concrete.volume == pytest.approx(0.15 * WIDE * long, rel=0.002)


def test_a_place_just_beside_the_first_corner_lies_along_the_last_stretch_by_rounding():
    ring = shapely.LinearRing([(0, 0), (WIDE, 0), (WIDE, LONG), (0, LONG)])
    station = np.nextafter([0.001], 0.0)
    assert station[0] - 0.001 < 0
    assert (station[0] - 0.001) % ring.length == ring.length
    (before, after), lengths = _find_stretches(ring, station, 0.001)
    assert [*before, *after] == [len(lengths) - 1, 0]


def test_control_beside_the_forms_is_not_held_against_the_ground_outside(tmp_path):
    places = [(500.2, 801.0), (500.2, 806.0), (505.8, 804.0), (503.0, 800.2), (502.0, 804.0)]
    rows = [f"K{at},{e},{n},20.000" for at, (e, n) in enumerate(places)]
    (tmp_path / "control.csv").write_text("\n".join(["point,easting,northing,elevation", *rows]))
    base = 'cell = 0.3\nground = false\ncontrol = { shots = "control.csv", apply = true }'
    result = check(tmp_path, scan(-0.2), base)
    assert result.survey.shift is not None
    assert result.survey.shift.by == pytest.approx(0, abs=0.002)


def test_squares_that_the_edge_cuts_are_parted_and_others_are_not():
    random = np.random.default_rng(5)
    points = random.uniform(0, [3, 3, 1], (4000, 3))
    points[:, 2] = points[:, 0] > 1.105  # 25 mm within the edge
    fine = bin_points(store_points(points), 0.0125)
    bins = coarsen_bins(fine, 16, cell=0.2)
    edge = np.array([(-1, -1), (1.13, -1), (1.13, 4), (-1, 4)], float)
    means = np.vstack([part.means for part in split_at_edge(fine, bins, edge)])
    # but for the small squares that lie on the edge itself
    assert not np.any((means[:, 2] > 0.2) & (means[:, 2] < 0.8))
    assert np.any((bins.means[:, 2] > 0.2) & (bins.means[:, 2] < 0.8))
    assert len(means) > len(bins)
    far = np.abs(bins.means[:, 0] - 1.13) > 0.5
    known = {tuple(place) for place in means.tolist()}
    assert {tuple(place) for place in bins.means[far].tolist()} <= known


def test_a_strip_of_few_points_along_the_edge_is_no_square_of_its_own():
    points = np.random.default_rng(5).uniform(0, [3, 3, 0.01], (20_000, 3))
    fine = bin_points(store_points(points), 0.0125)
    bins = coarsen_bins(fine, 16, cell=0.2)
    edge = np.array([(-1, -1), (1.05, -1), (1.05, 4), (-1, 4)], float)  # just into a square
    on, off = split_at_edge(fine, bins, edge)
    assert on.count.min() > 0.25 * np.median(bins.count)
    assert on.count.sum() + off.count.sum() == len(points)


def test_ground_around_a_corner_does_not_stand_on_the_slab(tmp_path):
    points = scan(-0.2)
    points[:, :2] += 0.22  # one corner lies near the far corner of its square
    folder = tmp_path
    (folder / "job.toml").write_text(
        JOB.format(base="cell = 0.25\nground = false")
        .replace("500", "500.22")
        .replace("506", "506.22")
        .replace("800", "800.22")
        .replace("808", "808.22")
    )
    np.savetxt(folder / "scan.xyz", points, fmt="%.4f")
    result = check_job(read_job(folder / "job.toml"))
    assert result.thickness.max < 0.17
    assert "surface-spike" not in codes(result)


def test_ground_beyond_a_strip_that_was_not_seen_is_no_base_either(tmp_path):
    points = scan(-0.15)
    is_seen = (points[:, 0] < 504) | (points[:, 0] > 506)
    result = check(tmp_path, points[is_seen])
    assert result.concrete.volume == pytest.approx(0.15 * WIDE * LONG, rel=0.005)
    assert result.coverage == pytest.approx(4 / 6, abs=0.06)
    assert "beyond-survey" in codes(result)


TRENCH = """
[[thickening]]
name = "grade beam"
along = [[503, 800], [503, 808]]
width = 0.6
depth = 0.3
{surveyed}
"""


@pytest.mark.parametrize(
    ("surveyed", "dug", "is_told"),
    [("", 0.3, True), ("", 0.0, False), ("surveyed = true", 0.3, False)],
)
def test_a_trench_that_the_scan_shows_and_the_job_draws_as_well_is_told(
    tmp_path, surveyed, dug, is_told
):
    points = scan(0.0)
    points[(np.abs(points[:, 0] - 503) < 0.3) & (points[:, 1] > 800) & (points[:, 1] < 808), 2] -= (
        dug
    )
    np.savetxt(tmp_path / "scan.xyz", points, fmt="%.4f")
    job = JOB.format(base="cell = 0.1") + TRENCH.format(surveyed=surveyed)
    (tmp_path / "job.toml").write_text(job)
    result = check_job(read_job(tmp_path / "job.toml"))
    told = [note for note in result.notes if note.code == "shots-in-thickening"]
    assert bool(told) == is_told
    if told:
        assert "The scan shows grade beam as dug" in told[0].text
        assert told[0].measures[0].value == pytest.approx(0.6 * 0.3 * 8, rel=0.01)


def test_a_trench_of_a_scan_is_told_to_be_taken_as_it_is(tmp_path):
    points = scan(0.0)
    is_dug = (np.abs(points[:, 0] - 503.07) < 0.3) & (points[:, 1] > 800) & (points[:, 1] < 808)
    points[is_dug, 2] -= 0.3
    np.savetxt(tmp_path / "scan.xyz", points, fmt="%.4f")
    found = {}
    for surveyed in ('"departure"', "true"):
        drawn = TRENCH.format(surveyed=f"surveyed = {surveyed}").replace("[503,", "[503.07,")
        (tmp_path / "job.toml").write_text(JOB.format(base="cell = 0.25") + drawn)
        found[surveyed] = check_job(read_job(tmp_path / "job.toml"))
    assert "departure-of-scan" in codes(found['"departure"'])
    assert "departure-of-scan" not in codes(found["true"])
    assert found["true"].concrete.volume == pytest.approx(0.15 * 48 + 0.6 * 0.3 * 8, rel=0.01)


def test_a_cloud_of_which_the_ground_covers_too_little_is_told_by_its_classes(tmp_path):
    points = scan(0.0)
    cloud = laspy.LasData(laspy.LasHeader(point_format=6, version="1.4"))
    cloud.header.offsets, cloud.header.scales = points.min(axis=0), [0.001] * 3
    cloud.x, cloud.y, cloud.z = points.T
    cloud.classification = np.where(points[:, 0] < 502, 2, 1).astype(np.uint8)
    cloud.write(tmp_path / "scan.las")
    (tmp_path / "job.toml").write_text(JOB.format(base="").replace(".xyz", ".las"))
    with pytest.raises(InputError, match="by the classes that were kept") as caught:
        check_job(read_job(tmp_path / "job.toml"))
    assert "set base.ground = true" in str(caught.value)


def test_a_narrow_raised_base_that_the_filter_would_take_away_is_refused(tmp_path):
    points = scan(-0.2, dense=300)
    points[(points[:, 0] > 500.6) & (points[:, 0] < 506), 2] -= 0.2  # a strip 0.6 m wide is left
    (tmp_path / "job.toml").write_text(JOB.format(base="").replace("506", "500.6"))
    np.savetxt(tmp_path / "scan.xyz", points, fmt="%.4f")
    with pytest.raises(InputError, match=r"shows the base on .*% of the slab") as caught:
        check_job(read_job(tmp_path / "job.toml"))
    assert "base.ground = false" in str(caught.value)
    (tmp_path / "job.toml").write_text(JOB.format(base="ground = false").replace("506", "500.6"))
    result = check_job(read_job(tmp_path / "job.toml"))
    assert result.concrete.volume == pytest.approx(0.15 * 0.6 * 8, rel=0.02)
