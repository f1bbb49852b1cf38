"""A cloud's squares held against the slab and against what was dug in its base."""

import numpy as np
import pytest

from gradevol.answer.compose import compose_answer
from gradevol.ground.errors import GeometryError
from gradevol.job import read_job
from gradevol.out.text.summary import compose_summary
from gradevol.runs.check import check_job

pytestmark = pytest.mark.usefixtures("unsimulated")

WIDE, LONG, TRENCH = 6.0, 9.0, 0.4
BEAM = '[[thickening]]\nname = "beam"\nsides = [4]\nwidth = 0.4\ndepth = 0.2\nsurveyed = true\n'


@pytest.fixture(scope="module")
def cloud():
    """Points 50 mm apart on an invented base that a beam of 0.4 m is dug along."""
    east, north = np.meshgrid(np.arange(-0.5, 6.5, 0.05), np.arange(-0.5, 9.5, 0.05))
    level = 9.85 - 0.2 * ((east >= 0) & (east <= TRENCH))
    rows = np.column_stack([east.ravel(), north.ravel(), level.ravel()])
    return "".join(f"{e:.3f} {n:.3f} {z:.3f}\n" for e, n, z in rows.tolist())


def check(folder, cloud, cell, parts=""):
    (folder / "scan.xyz").write_text(cloud)
    (folder / "job.toml").write_text(
        f'units = "m"\n[base]\ncloud = "scan.xyz"\n{cell}[slab]\n'
        f"edge = [[0, 0], [{WIDE}, 0], [{WIDE}, {LONG}], [0, {LONG}]]\nthickness = 0.15\n"
        f"[top]\nlevel = 10\n{parts}"
    )
    return check_job(read_job(folder / "job.toml"))


def summarize(result):
    answer = compose_answer(result)
    return compose_summary(answer.title, answer.topics)


def codes(result):
    return [note.code for note in result.notes]


def test_squares_that_level_out_what_is_narrower_are_told(tmp_path, cloud):
    result = check(tmp_path, cloud, "cell = 1\n")
    assert "cell-coarse" in codes(result)
    summary = " ".join(summarize(result).split())
    assert "A hump or rut narrower than 1.0 m, the scan's squares, is levelled out" in summary


def test_squares_as_they_are_chosen_are_not(tmp_path, cloud):
    assert "cell-coarse" not in codes(check(tmp_path, cloud, "", BEAM))
    assert "cell-coarse" not in codes(check(tmp_path, cloud, "cell = 0.5\n"))


def test_a_square_as_wide_as_what_was_dug_is_taken_though_inches_are_rounded(tmp_path, cloud):
    beam = BEAM.replace("width = 0.4", 'width = "18 in"')  # 0.4572 m, and 1.5 ft a hair more
    result = check(tmp_path, cloud, 'cell = "1.5 ft"\n', beam)
    assert "cell-coarse" not in codes(result)


def test_fewer_than_three_squares_across_the_slab_are_refused(tmp_path, cloud):
    with pytest.raises(
        GeometryError, match=r"base\.cell is 2\.10 m, and the slab is 6\.00 m across"
    ):
        check(tmp_path, cloud, "cell = 2.1\n")


def test_a_square_wider_than_a_trench_that_it_must_show_is_refused(tmp_path, cloud):
    with pytest.raises(
        GeometryError, match=r"beam, which the scan is said to show, is 0\.40 m wide"
    ):
        check(tmp_path, cloud, "cell = 0.5\n", BEAM)
    drawn = BEAM.replace("surveyed = true", "surveyed = false")
    check(tmp_path, cloud, "cell = 0.5\n", drawn)
