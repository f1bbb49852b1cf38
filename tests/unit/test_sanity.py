import re

import numpy as np
import pytest

from gradevol.doubts.runs_of_shots import remark_on_runs
from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.runs.check import check_job
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey

pytestmark = pytest.mark.usefixtures("unsimulated")


@pytest.fixture
def check(tmp_path):
    """Result for rows (e, n, z, setup) of a pad of 12 by 9 ft whose top is at 100.5 ft."""

    def run(rows, *, units="ft", extra="", top=100.5, beam=""):
        text = "point,easting,northing,elevation,setup\n" + "".join(
            f"{number},{e:g},{n:g},{z},{setup}\n" for number, (e, n, z, setup) in enumerate(rows, 1)
        )
        (tmp_path / "shots.csv").write_text(text)
        (tmp_path / "job.toml").write_text(
            f'units = "{units}"\n[base]\nshots = "shots.csv"\n{extra}\n[slab]\n'
            f"edge = [[0, 0], [12, 0], [12, 9], [0, 9]]\nthickness = 0.5\n[top]\nlevel = {top}\n"
            f"{beam}"
        )
        return check_job(read_job(tmp_path / "job.toml"))

    return run


def lattice(level, *, setup=lambda _: "1"):
    rng = np.random.default_rng(4)
    return [
        (e, n, f"{level(e) + rng.normal(0, 0.004):.3f}", setup(e))
        for e in (0, 3, 6, 9, 12)
        for n in (0, 3, 6, 9)
    ]


def codes(result):
    return {note.code for note in result.notes}


def test_a_plain_survey_raises_no_oddity(check):
    odd = {"two-datums", "setup-step", "base-uneven", "base-above-forms"}
    assert not odd & codes(check(lattice(lambda _: 100.0)))


def test_two_groups_of_elevations_are_told_with_their_shots(check):
    result = check(lattice(lambda e: 100.0 if e < 12 else 98.0))
    note = next(note for note in result.notes if note.code == "two-datums")
    assert "4 shots are 2.00 ft below all others" in note.say(result.units)
    assert note.points == ("17", "18", "19", "20")


def test_a_trench_that_was_dug_and_shot_as_drawn_is_no_second_datum(check):
    dug = lattice(lambda e: 100.0 if e < 12 else 98.0)
    beam = "[[thickening]]\nsides = [2]\nwidth = 1\ndepth = 2\nsurveyed = true\n"
    assert not {"two-datums", "run-step", "base-uneven"} & codes(check(dug, beam=beam))


def test_a_row_of_shots_down_the_middle_tells_no_fall_across_it(check):
    rng = np.random.default_rng(3)
    aside = rng.normal(0, 0.05, 25)
    rows = [
        (e, 4.5 + off, f"{100 + off / 10 + rng.normal(0, 0.001):.4f}", "1")
        for e, off in zip(np.linspace(0, 12, 25), aside, strict=True)
    ]
    assert "base-uneven" not in codes(check(rows, extra="allow_gaps = true"))


def test_a_base_that_tilts_against_the_top_is_told_with_its_fall_and_bearing(check):
    result = check(lattice(lambda e: 100.0 + 0.08 * e))
    note = next(note for note in result.notes if note.code == "base-uneven")
    assert re.search(r"falls by 8\.[01] % towards bearing 2(69|70|71)", note.text)


def test_a_base_that_leaves_the_design_by_more_than_the_slab_is_told(check):
    rng = np.random.default_rng(2)
    result = check(lattice(lambda _: 100.0 + rng.normal(0, 0.8)))
    note = next(note for note in result.notes if note.code == "base-uneven")
    assert "up and down" in note.text
    assert note.measures[0].value > result.slab.thickness


@pytest.mark.parametrize("level", [lambda e: 100 + 0.01 * e, lambda e: 99.9 + 0.2 * (e == 6)])
def test_a_base_graded_roughly_is_not_told(check, level):
    assert "base-uneven" not in codes(check(lattice(level)))


def test_a_ridge_is_not_two_datums(check):
    assert "two-datums" not in codes(check(lattice(lambda e: 100.0 + 0.2 * (e == 6))))


def test_a_setup_that_stands_off_the_other_is_told(check):
    rows = lattice(lambda e: 100.0 + 0.2 * (e > 6), setup=lambda e: "A" if e <= 6 else "B")
    result = check(rows)
    note = next(note for note in result.notes if note.code == "setup-step")
    assert "setup B are 0.20 ft above" in note.say(result.units)  # the one off the design


def bumpy(setup_off):
    """A base that tilts and is rough, half of it shot from a setup that is so far off."""
    rng = np.random.default_rng(3)
    places = [(e, n) for e in np.linspace(0, 12, 7) for n in np.linspace(0, 9, 6)]
    return [
        (e, n, f"{100 + 0.01 * e - 0.005 * n + rng.normal(0, 0.02) + setup_off * (e > 6):.2f}",
         "A" if e <= 6 else "B")
        for e, n in places
    ]  # fmt: skip


@pytest.mark.parametrize("stray", [[], [(5e5, 5e6, 100, "B")], [(-1e7, 1e7, 100, "B")]])
def test_a_backsight_misread_by_a_tenth_is_told_beside_the_tilt_of_the_base(check, stray):
    # nor does a shot that was booked in other coordinates hide it
    said = [note for note in check([*bumpy(-0.10), *stray]).notes if note.code == "setup-step"]
    assert len(said) == 1
    assert said[0].measures[0].value == pytest.approx(0.10 * 0.3048, abs=0.03 * 0.3048)


def test_a_tilt_and_roughness_alone_are_no_step_of_a_setup(check):
    assert "setup-step" not in codes(check(bumpy(0.0)))


def test_two_setups_on_two_datums_are_told_once(check):
    rows = lattice(lambda e: 100.0 - 2.0 * (e > 6), setup=lambda e: "A" if e <= 6 else "B")
    found = codes(check(rows))
    assert "setup-step" in found
    assert "two-datums" not in found


def test_a_base_above_the_forms_is_told(check):
    assert "base-above-forms" in codes(check(lattice(lambda _: 101.0)))


def _booked(readings):
    return [(e, n, text, s) for (e, n, _, s), text in zip(lattice(lambda _: 0), readings,
                                                          strict=True)]  # fmt: skip


def test_inches_booked_as_decimals_are_told(check):
    inches = [0, 2, 4, 6, 8, 11, 1, 3, 5, 7, 9, 10, 0, 2, 4, 6, 8, 11, 3, 5]
    rows = _booked(f"{99 + i % 2}.{inch:02d}" for i, inch in enumerate(inches))
    assert "inches-for-tenths" in codes(check(rows))


def test_a_flat_base_just_over_a_whole_foot_is_not_told_to_be_inches(check):
    assert "inches-for-tenths" not in codes(check(_booked(f"100.{i % 12:02d}" for i in range(20))))


def test_depths_booked_with_a_minus_sign_are_told(tmp_path):
    rows = "1,0,0,-.5\n2,12,0,-.51\n3,12,9,-.49\n4,0,9,-.5\n5,6,4,-.5\n"
    (tmp_path / "depths.csv").write_text("point,e,n,depth\n" + rows)
    (tmp_path / "job.toml").write_text(
        'units = "ft"\n[base]\ndepths = "depths.csv"\n[slab]\n'
        "edge = [[0, 0], [12, 0], [12, 9], [0, 9]]\nthickness = 0.5\n[top]\nlevel = 100\n"
    )
    result = check_job(read_job(tmp_path / "job.toml"))
    (note,) = (note for note in result.notes if note.code == "base-above-forms")
    assert "booked with a minus sign" in note.text


def two_datums(result):
    (note,) = (note for note in result.notes if note.code == "two-datums")
    return note.say(result.units)


def test_shots_without_an_elevation_are_told_as_such(check):
    rows = [(e, n, "0" if e == 6 and n > 0 else z, s) for e, n, z, s in lattice(lambda _: 4.0)]
    assert "their elevation is 0, as where none was booked" in two_datums(check(rows, top=4.5))


def test_a_few_shots_in_another_unit_are_told_with_it(check):
    rows = [
        (e, n, f"{float(z) * 0.3048:.3f}" if e == 6 else z, s)
        for e, n, z, s in lattice(lambda _: 10.0)
    ]
    assert "in metres they would fit. Two units in one file?" in two_datums(check(rows, top=10.5))


def test_one_shot_far_away_does_not_tilt_the_base(check):
    rows = [*lattice(lambda _: 100.0), (5000, 9000, "100.0", "1")]
    assert "base-uneven" not in codes(check(rows))


def test_one_reading_on_many_shots_is_told_with_them(check):
    rows = lattice(lambda _: 100.0)
    assert "one-reading" not in codes(check(rows))
    copied = [
        (e, n, "100.012" if number < 12 else z, s) for number, (e, n, z, s) in enumerate(rows)
    ]
    note = next(note for note in check(copied).notes if note.code == "one-reading")
    assert "12 of 20 shots read exactly 100.012" in note.text
    assert note.points == tuple(str(number) for number in range(1, 13))


def test_readings_in_coarse_steps_are_not_one_reading(check):
    rows = [(e, n, f"{round(float(z), 2):.2f}", s) for e, n, z, s in lattice(lambda _: 100.0)]
    assert "one-reading" not in codes(check(rows))


@pytest.mark.parametrize(
    ("height", "said"),
    [
        (104.6, "look like elevations, not like rod readings"),
        (5.1, "The instrument height looks like that above the mark"),
    ],
)
def test_a_sheet_that_cannot_be_rod_readings_is_told_what_it_may_be(tmp_path, height, said):
    level = 99.5 if height > 100 else 5.1
    rows = "".join(f"{north},{level},{level + 0.02},{level - 0.01}\n" for north in (0, 6, 12))
    (tmp_path / "rods.csv").write_text(f",0,8,16\n{rows}")
    (tmp_path / "job.toml").write_text(
        f'units = "ft"\n[base]\nrods = "rods.csv"\ninstrument_height = {height}\n[slab]\n'
        'edge = [[0, 0], [16, 0], [16, 12], [0, 12]]\nthickness = "6 in"\n[top]\nlevel = 100\n'
    )
    with pytest.raises(InputError, match=said):
        check_job(read_job(tmp_path / "job.toml"))


def in_turn(run=slice(0), off=0.0):
    """An even base shot to and fro from one setup, some shots off by so much."""
    rng = np.random.default_rng(11)
    rows = [[(e, n) for e in np.linspace(0, 12, 7)] for n in np.linspace(0, 9, 6)]
    places = [each for at, row in enumerate(rows) for each in row[:: 1 - 2 * (at % 2)]]
    level = np.array([100 + 0.02 * np.sin(e / 3) + 0.01 * n for e, n in places])
    level += rng.normal(0, 0.006, len(level))
    level[run] += off
    return [(e, n, f"{z:.2f}", "1") for (e, n), z in zip(places, level, strict=True)]


@pytest.mark.parametrize(
    ("run", "said"),
    [
        (slice(23, None), "19 shots taken one after the other (24 to 42) stand 0.10 ft below"),
        (slice(10, 16), "6 shots taken one after the other (11 to 16) stand 0.10 ft below"),
    ],
)
def test_shots_after_a_bump_are_told_by_name(check, run, said):
    result = check(in_turn(run, -0.10))
    note = next(note for note in result.notes if note.code == "run-step")
    assert said in note.say(result.units)
    assert note.points == tuple(str(at + 1) for at in range(42)[run])


def test_a_base_that_was_shot_again_after_it_was_cut_is_told(check):
    first = in_turn()
    again = [(e + 0.3, n - 0.2, f"{float(z) - 0.12:.2f}", s) for e, n, z, s in first[15:27]]
    note = next(note for note in check(first + again).notes if note.code == "run-step")
    assert set(note.points) == {str(at) for at in range(43, 55)}


@pytest.mark.parametrize(
    "rows",
    [
        in_turn(),
        in_turn(slice(20, 22), 1.0),  # two slips, each suspect by itself
        in_turn(slice(21, 42), -0.10),  # a step of the base between two rows
    ],
)
def test_clean_shots_and_what_may_be_the_base_are_no_run(check, rows):
    assert "run-step" not in codes(check(rows))


def test_a_sheet_that_was_read_down_its_columns_is_looked_over_so(check):
    down = sorted(in_turn(), key=lambda each: each[:2])
    off = [(e, n, f"{float(z) - 0.1 * (at > 20):.2f}", s) for at, (e, n, z, s) in enumerate(down)]
    by_rows = sorted(off, key=lambda each: (each[1], each[0]))
    note = next(note for note in check(by_rows).notes if note.code == "run-step")
    assert "21 shots taken one after the other" in note.text


@pytest.mark.parametrize("first", [30, 33, 37])
def test_a_run_to_the_end_of_a_sheet_is_named_in_the_sheet_s_order(first):
    # to and fro the same shots are a run from 30 to 36, or from 42 to 37
    rows = sorted(in_turn(), key=lambda each: (each[1], each[0]))
    points = 0.3048 * np.array([(e, n, float(z)) for e, n, z, _ in rows])
    points[first - 1 :, 2] += 0.08
    survey = Survey.about_local_origin(points, ids=tuple(str(at + 1) for at in range(42)))
    slab = Slab(0.3048 * np.array([[0, 0], [12, 0], [12, 9], [0, 9.0]]), (), 0.15, 0.13)
    (note,) = remark_on_runs(survey, slab, survey.points[:, 2])
    assert f"{43 - first} shots taken one after the other ({first} to 42)" in note.text


@pytest.mark.parametrize(("off", "is_told"), [(-0.2, True), (-0.1, False), (0.0, False)])
def test_of_many_shots_a_few_in_turn_count_as_one(off, is_told):
    rng = np.random.default_rng(3)
    plan = np.stack(np.meshgrid(np.arange(32.0), np.arange(20.0)), axis=-1)
    plan[1::2] = plan[1::2, ::-1]  # to and fro
    plan = plan.reshape(-1, 2)
    level = 0.01 * np.sin(plan[:, 0] / 5) + 0.002 * rng.standard_normal(640)
    level[250:] += 0.3048 * off
    survey = Survey(np.column_stack([plan, level]), np.zeros(3), ids=tuple(map(str, range(640))))
    slab = Slab(np.array([[0, 0], [31, 0], [31, 19], [0, 19.0]]), (), 0.15, 0.13)
    notes = remark_on_runs(survey, slab, level)
    assert [note.points for note in notes] == [tuple(map(str, range(250)))] * is_told
