"""What is told of clouds that carry no classes, as text and PLY. All files are invented."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.doubts.described import take_inventory
from gradevol.files.clouds import text as text_cloud
from gradevol.files.clouds.tally import PointTally, find_share
from gradevol.ground.errors import InputError

N = 3000


def points_of(n=N):
    """Points 45 by 80 about E 5000 N 2000, on a gentle slope, scattered a little."""
    rng = np.random.default_rng(3)
    east, north = 5000 + rng.uniform(0, 45, n), 2000 + rng.uniform(0, 80, n)
    return np.column_stack([east, north, 100 + 0.01 * (east - 5000) + rng.normal(0, 0.005, n)])


def xyz(path, points, *, digits=3, first="", ending="\n"):
    rows = [" ".join(f"{value:.{digits}f}" for value in point) for point in points]
    path.write_text(f"{first}{ending.join(rows)}{ending}", newline="")
    return path


def ply(path, points, *, kind="double", lost=0, n_declared=None):
    head = ["ply", "format binary_little_endian 1.0"]
    head += [f"element vertex {n_declared or len(points)}"]
    head += [f"property {kind} {axis}" for axis in "xyz"] + ["end_header", ""]
    content = np.asarray(points).astype("<f8" if kind == "double" else "<f4").tobytes()
    path.write_bytes("\n".join(head).encode() + content[: len(content) - lost])
    return path


def fact(inventory, key):
    (found,) = [each for each in inventory.facts if each.key == key]
    return found.value


def codes(inventory):
    return [finding.code for finding in inventory.findings]


def test_text_and_ply_of_the_same_points_are_told_alike(tmp_path):
    points = np.round(points_of(), 3)
    text = take_inventory(xyz(tmp_path / "a.xyz", points), unit="ft")
    mesh = take_inventory(ply(tmp_path / "a.ply", points), unit="ft")
    for inventory in (text, mesh):
        assert inventory.kind == "cloud"
        assert codes(inventory) == []
        assert fact(inventory, "points")["count"] == N
        assert_allclose(fact(inventory, "density")["density"], N / (45 * 80), rtol=0.01)
    for key in ("easting", "northing", "elevation", "most_elevations", "density"):
        assert fact(text, key) == fact(mesh, key)


def test_progress_is_told_and_ends_at_one(tmp_path, monkeypatch):
    monkeypatch.setattr(text_cloud, "_BLOCK", 20_000)
    seen = []
    path = xyz(tmp_path / "a.xyz", points_of())
    take_inventory(path, progress=lambda what, share: seen.append((what, share)))
    assert len(seen) > 2
    assert seen[-1] == ("reading a.xyz", 1.0)
    assert seen == sorted(seen)


def test_every_bad_row_is_counted_and_three_are_quoted(tmp_path):
    path = xyz(tmp_path / "a.xyz", points_of())
    lines = path.read_text().splitlines()
    for at in (4, 899, 1200, 1300):
        lines[at] = "wet 1 2"
    path.write_text("\n".join(lines) + "\n")
    inventory = take_inventory(path)
    assert codes(inventory) == ["bad-rows"]
    assert inventory.findings[0].lines == (5, 900, 1201, 1301)
    assert "line 5, 'wet 1 2': 'wet' is not a number" in inventory.findings[0].text
    assert "and 1 more" in inventory.findings[0].text
    assert fact(inventory, "points") == {"count": N - 4, "declared": None, "bad": 4}


def test_two_datums_in_a_cloud_are_seen(tmp_path):
    points = points_of()
    points[: N // 3, 2] += 20
    inventory = take_inventory(xyz(tmp_path / "a.pts", points, first=f"{N}\n"))
    assert codes(inventory) == ["two-groups"]
    assert "33% of the points from 120.00" in inventory.findings[0].text
    assert fact(inventory, "points")["declared"] == N


def test_a_point_at_the_end_of_all_numbers_is_described_without_a_warning(tmp_path):
    points = points_of()
    points[3, :2] = 1e200, -1e200
    inventory = take_inventory(xyz(tmp_path / "a.xyz", points), unit="ft")
    assert "density" not in [each.key for each in inventory.facts]


def test_points_far_above_are_seen_with_their_ends(tmp_path):
    points = points_of()
    points[:20, 2] += 6
    inventory = take_inventory(ply(tmp_path / "a.ply", points), unit="ft")
    assert codes(inventory) == ["stray-points"]
    assert f"to {points[:, 2].max():.2f}" in inventory.findings[0].text


@pytest.mark.parametrize("order", [[0, 2, 1], [2, 1, 0]])
def test_elevations_that_are_a_place_are_too_steep(tmp_path, order):
    points = points_of() - [5000, 2000, 0]
    assert codes(take_inventory(ply(tmp_path / "a.ply", points))) == []
    swapped = take_inventory(ply(tmp_path / "b.ply", points[:, order]))
    assert codes(swapped) == ["steep-elevations"]


def test_elevations_in_millimetres_over_places_in_metres_are_too_steep(tmp_path):
    points = points_of() * [1, 1, 1000]
    assert "steep-elevations" in codes(take_inventory(xyz(tmp_path / "a.xyz", points)))


def test_degrees_are_told_and_not_called_steep(tmp_path):
    points = points_of() * [1e-5, 1e-5, 1]
    inventory = take_inventory(xyz(tmp_path / "a.xyz", points, digits=7))
    assert codes(inventory) == ["looks-like-degrees"]


def test_single_precision_far_out_is_seen(tmp_path):
    far = points_of() + np.array([500_000, 4_000_000, 0])
    inventory = take_inventory(ply(tmp_path / "a.ply", far, kind="float"), unit="ft")
    assert codes(inventory) == ["rounded-coordinates"]


def test_a_ply_cut_short_is_refused_with_both_counts(tmp_path):
    path = ply(tmp_path / "a.ply", points_of(), lost=1000)
    with pytest.raises(InputError, match=r"declares 3,000 of 'vertex', but has 2,958\."):
        take_inventory(path)


def test_a_pts_that_declares_more_is_refused_with_both_counts(tmp_path):
    path = xyz(tmp_path / "a.pts", points_of(), first="3100\n")
    with pytest.raises(InputError, match=r"declares 3,100 points, but 3,000 could be read"):
        take_inventory(path)


def test_a_header_says_columns_and_unit(tmp_path):
    path = xyz(tmp_path / "a.xyz", points_of()[:, [1, 0, 2]], first="y_ft x_ft z_ft\n")
    inventory = take_inventory(path)
    assert (fact(inventory, "columns"), fact(inventory, "unit")) == ("NEZ", "ft")
    assert 2000 <= fact(inventory, "northing")["low"] < 2001


def test_shots_with_ids_in_an_xyz_stay_shots(tmp_path):
    rows = [f"{k + 1} {n:.3f} {e:.3f} {z:.3f}" for k, (e, n, z) in enumerate(points_of(40))]
    path = tmp_path / "a.xyz"
    path.write_text("\n".join(rows) + "\n")
    assert take_inventory(path, columns="PNEZ").kind == "points"


@pytest.mark.parametrize("at_once", [1000, 70_000, 1_000_000])
def test_the_sample_is_spread_over_all_points_whatever_the_chunks(at_once):
    rng = np.random.default_rng(8)
    points = rng.uniform(0, 1, (1_000_000, 3))
    points = points[np.argsort(points[:, 0])]  # in the order in which a scanner sweeps
    tally = PointTally()
    for start in range(0, len(points), at_once):
        tally.add(points[start : start + at_once])
    assert 100_000 < len(tally.sampled) <= 400_000
    assert_allclose(np.quantile(tally.sampled[:, 0], [0.1, 0.5, 0.9]), [0.1, 0.5, 0.9], atol=0.01)
    assert find_share(tally) == 1.0


def test_a_half_that_is_empty_is_not_covered():
    tally = PointTally()
    points = np.random.default_rng(9).uniform(0, 1, (100_000, 3))
    tally.add(points[(points[:, 0] < 0.5) | (points[:, 1] < 0.02)])
    assert_allclose(find_share(tally), 0.51, atol=0.02)
