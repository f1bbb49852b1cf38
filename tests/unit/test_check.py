"""A whole job through the library: what it tells, and that its parts agree."""

import json
from dataclasses import fields, replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import GeometryError, InputError
from gradevol.ground.units import CUBIC_YARD, METRES
from gradevol.job import read_job
from gradevol.runs.check import LEAST_COVERAGE, check_job
from tests.small_job import EDGE, HEADER, JOB, SHOTS, lattice_shots, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

FOOT = METRES["ft"]


@pytest.fixture
def check(tmp_path):
    def run(job=JOB, shots=SHOTS, **rest):
        return check_job(read_job(write_job(tmp_path, job=job, shots=shots)), **rest)

    return run


def level_shots(level):
    return HEADER + "".join(
        f"{k},{4 * (k % 5)},{3 * (k // 5)},{level}\n" for k in range(20)
    )  # fmt: skip


def test_a_level_base_under_a_level_top_is_area_times_height(check):
    result = check(shots=level_shots(99.45))
    assert_allclose(result.concrete.volume / CUBIC_YARD, 16 * 9 * 0.55 / 27)
    assert_allclose(result.concrete.over_nominal / CUBIC_YARD, 16 * 9 * 0.05 / 27)
    assert_allclose((result.thickness.mean, result.thickness.sd), (0.55 * FOOT, 0), atol=1e-9)
    assert_allclose(result.grading.fill / CUBIC_YARD, 16 * 9 * 0.05 / 27)
    assert result.coverage == pytest.approx(1)


def test_one_shot_off_changes_the_volume_by_its_pyramid(check):
    plain = check(shots=level_shots(99.5))
    low = check(shots=level_shots(99.5).replace("\n12,8,6,99.5", "\n12,8,6,99.2"))
    assert plain.concrete.volume != low.concrete.volume
    # of each of the four cells about it: a quarter at its corner in the fan's two outer triangles,
    # and the middle a quarter as low
    volume = 4 * (4 * 3) * 0.3 / 4
    assert_allclose((low.concrete.volume - plain.concrete.volume) / CUBIC_YARD, volume / 27)


def test_the_pieces_are_the_whole(check):
    beam = '[[thickening]]\nname = "beam"\nsides = [1]\nwidth = "1 ft"\ndepth = "6 in"\n'
    void = '[[void]]\nname = "block"\nvolume = 0.2\n'
    result = check(JOB + beam + void)
    concrete, field = result.concrete, result.field
    assert_allclose(concrete.volume, concrete.slab + concrete.thickenings - concrete.voids)
    assert_allclose(concrete.volume - concrete.slab, sum(part for _, part in concrete.parts))
    assert_allclose(field.area.sum(), result.slab.area)
    assert_allclose(concrete.slab - concrete.overlap, result.thickness.mean * result.slab.area)
    assert_allclose(result.grading.net, concrete.over_nominal, atol=1e-12)


def test_the_volume_without_suspects_is_that_of_a_survey_without_them(check):
    booked = SHOTS.replace("\n6,4.0000,3.0000,99.5", "\n6,4.0000,3.0000,99.8")
    result = check(shots=booked)
    assert [result.survey.name(suspect.index) for suspect in result.suspects] == ["6"]
    without = check(
        shots="".join(line for line in booked.splitlines(keepends=True) if line[:2] != "6,")
    )
    assert_allclose(result.volume_without_suspects, without.concrete.volume)
    assert result.volume_without_suspects != result.concrete.volume


def test_no_suspects_no_volume_without_them(check):
    assert check().volume_without_suspects is None


def test_a_job_in_metres_gives_the_same(check):
    text = JOB.replace('"ft"', '"m"').replace("level = 100", "level = 30.48")
    corners = [[round(FOOT * e, 4), round(FOOT * n, 4)] for e, n in json.loads(EDGE)]
    metric = check(text.replace(EDGE, str(corners)), lattice_shots(scale=FOOT))
    feet = check()
    # the shots were booked to a tenth of a millimetre
    assert_allclose(metric.concrete.volume, feet.concrete.volume, rtol=2e-4)
    assert metric.units.volume == "m3"
    assert feet.units.volume == "yd3"


def test_coverage_is_the_share_within_the_shots(check):
    result = check(JOB.replace(EDGE, "[[0, 0], [16, 0], [16, 12], [0, 12]]"))
    assert_allclose(result.coverage, 0.75)


@pytest.mark.parametrize("wide", [31, 33])
def test_a_survey_of_less_than_half_of_the_slab_is_refused(check, wide):
    text = JOB.replace(EDGE, f"[[0, 0], [{wide}, 0], [{wide}, 9], [0, 9]]")
    share = 16 / wide
    if share >= LEAST_COVERAGE:
        assert_allclose(check(text).coverage, share)
        return
    with pytest.raises(InputError, match=r"covers 48 % of the slab.* as far off the drawing as"):
        check(text)
    allowed = check(text.replace("[base]", "[base]\nallow_gaps = true"))
    assert_allclose(allowed.coverage, share)


def test_beyond_the_shots_the_base_is_level_with_the_nearest(check):
    text = JOB.replace(EDGE, "[[0, 0], [20, 0], [20, 9], [0, 9]]")
    result = check(text, level_shots(99.45))
    assert_allclose(result.concrete.volume / CUBIC_YARD, 20 * 9 * 0.55 / 27)
    assert_allclose(result.concrete.beyond_survey / CUBIC_YARD, 4 * 9 * 0.55 / 27)


def test_a_place_in_an_error_is_in_the_job_s_coordinates(check):
    far = HEADER + "".join(
        f"{k},{2_000_000 + 4 * (k % 5)},{700_000 + 3 * (k // 5)},99.5\n" for k in range(20)
    )  # fmt: skip
    text = JOB.replace(
        EDGE,
        "[[2000000, 700000], [2000016, 700000], [2000016, 700009], [2000000, 700009]]\n"
        "openings = [[[2000030, 700030], [2000032, 700030], [2000032, 700032]]]",
    )
    with pytest.raises(GeometryError, match=r"near E 20000\d\d\.\d\d, N 70003\d\.\d\d ft"):
        check(text, far)


def test_progress_is_told_in_shares(check):
    told = []
    check(progress=lambda what, share: told.append((what, share)))
    assert all(0 <= share <= 1 for _, share in told)
    for name in {what for what, _ in told}:
        shares = [share for what, share in told if what == name]
        assert shares == sorted(shares)


def test_shots_twice_at_one_place_count_once(check):
    result = check(shots=SHOTS + SHOTS.split("\n", 1)[1])
    assert (len(result.survey.points), result.used) == (40, 20)
    assert_allclose(result.concrete.volume, check().concrete.volume)


def test_what_was_measured_cannot_be_changed(check):
    result = check()
    arrays = [getattr(result.field, item.name) for item in fields(result.field)]
    assert len(arrays) > 3
    for array in (*arrays, result.survey.points):
        assert isinstance(array, np.ndarray)
        assert not array.flags.writeable


def test_the_widest_gap_is_the_circle_that_no_shot_lies_in(check):
    # in a lattice of 4 by 3 ft it goes through the corners of a cell
    assert_allclose(check().widest_gap, 5 * FOOT)


def test_a_job_can_be_changed_and_run_again(tmp_path):
    job = read_job(write_job(tmp_path))
    thick = replace(job, slab=replace(job.slab, thickness=0.2))
    assert_allclose(check_job(thick).concrete.volume, check_job(job).concrete.volume)
    assert check_job(thick).concrete.over_nominal < check_job(job).concrete.over_nominal


def test_progress_names_what_is_being_done_through_all_of_a_check(check):
    told = []
    check(progress=lambda what, _: told.append(what))
    assert list(dict.fromkeys(told)) == [
        *("reading", "surface", "suspect shots", "overlay", "thin, high and low spots"),
        *("weighing once more", "margin", "fix list", "figures", "next shots", "doubts"),
    ]
