import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from gradevol.answer.data import present
from gradevol.check import check_job
from gradevol.ground.notes import Note
from gradevol.ground.units import METRES, Units
from gradevol.job import read_job
from gradevol.measures.spots import Spots
from gradevol.out.text.summary import COLUMNS, LINES, compose_summary, write_summary

SAMPLES = Path(__file__).parents[2] / "sample_surveys"


def told(result):
    return compose_summary(present(result), result)


def flowed(result):
    """The summary as one line, as if no line were broken."""
    return " ".join(told(result).split())


def test_the_volume_comes_first_on_a_line_of_its_own(apron):
    lines = told(apron).splitlines()

    assert lines[:4] == ["Loading apron (invented)", "", "  69.9 yd³ of concrete", ""]
    assert round(apron.concrete.volume / 0.9144**3, 1) == 69.9


def test_it_says_what_the_volume_is_made_of_and_what_is_not_in_it(apron):
    text = flowed(apron)

    assert "slab 69.4 yd³, south beam 0.56 yd³, conduit -0.05 yd³" in text
    assert "3,600 ft² x 6 in = 66.7 yd³; over the base as graded the slab takes 2.77 yd³ more" in (
        text
    )
    assert "an order needs an allowance for waste and yield" in text
    assert "no margin" in text


def test_the_least_thickness_is_rounded_down_and_taped(apron):
    assert apron.thickness.min / METRES["in"] == pytest.approx(4.967, abs=5e-4)
    assert "least 4 7/8 in: 10 ft 2 in from side 2 (bulkhead)" in flowed(apron)


def test_a_base_above_the_top_is_said_to_be_cut_first(apron):
    high = replace(
        apron,
        thickness=replace(apron.thickness, min=-0.02),
        concrete=replace(apron.concrete, overlap=0.1),
    )

    assert "least -7/8 in" in flowed(high)  # -0.79 in, rounded down
    assert "stands above the top: 0.13 yd³ to cut away first" in flowed(high)


def test_no_thin_spot_seen_is_not_told_as_none(apron):
    clean = replace(apron, thin=Spots(0.0, ()))
    text = flowed(clean)

    assert (
        "none seen under 5 1/4 in at the shots; a ridge narrower than 11 ft 2 in between shots "
        "would not show" in text
    )
    assert "no thin" not in text.lower()
    assert "a ridge between shots would not show" in flowed(replace(clean, widest_gap=None))


def test_thin_spots_are_told_and_the_first_of_the_work(apron):
    text = flowed(apron)

    assert "25 ft² under 5 1/4 in in 2 spots" in text
    assert (
        "First 1. Reshoot 51; if right, shave: up to 1 in, 8 x 7 ft; 10 ft 2 in from side 2 "
        "(bulkhead)" in text
    )
    assert "3. Fill or pour: up to 1 3/4 in, 17 x 16 ft; 9 ft 7 in from side 3" in text


def test_suspect_shots_are_told_with_the_slip_and_the_volume_without_them(apron):
    text = flowed(apron)

    assert "shot 51 is 0.11 ft above its neighbours: reads like a tenth of a foot misread" in text
    assert "Reshoot before you cut. Without them: 70.2 yd³." in text
    assert "Suspect" not in told(replace(apron, suspects=(), volume_without_suspects=None))


def test_what_rests_on_extrapolation_is_told(apron):
    assert "86.5 % of the slab lies within them" in flowed(apron)
    assert "9.56 yd³ rests on that" in flowed(apron)
    assert "99.9 % of the slab" in flowed(replace(apron, coverage=0.99999))  # never rounded up
    assert "all of the slab lies within them" in flowed(replace(apron, coverage=1.0))


def test_grading_is_bank_measure_and_within_the_stated_tolerances(apron):
    assert "cut 0.45 yd³, fill 3.22 yd³ to the design base (bank measure)" in flowed(apron)
    assert "high by over 3/8 in: 172 ft² in 2 spots" in flowed(apron)
    assert "low by over" not in flowed(replace(apron, low=None))


def test_cover_is_rounded_down(apron):
    cover = replace(apron.cover[0], least=3.99 * METRES["in"], short=2 * METRES["ft"])
    text = flowed(replace(apron, cover=(cover,)))

    assert "conduit: least 3 7/8 in, 4 in required, short on 2 ft 0 in" in text


def test_a_metric_job_is_told_in_metres(apron):
    text = flowed(replace(apron, units=Units.of_job("m")))

    assert "53.5 m³ of concrete" in text
    assert "least 126 mm: 3.11 m from side 2" in text
    assert not re.search(r"\d (?:yd|ft|in)", text)
    assert re.search(r"\d (?:yd|ft|in)", flowed(apron))


def test_cautions_are_at_the_foot(apron):
    foot = told(apron).split("\n\n")[-1]

    assert "estimate" in foot
    assert "local code and the project\nspecification govern" in foot
    assert foot.endswith("Call before you dig or cut: have buried lines marked.\n")


def test_it_fits_one_screen_whatever_there_is_to_tell(apron):
    spots = apron.thin.listed * 30
    long_name = "the edge of the old slab beside the cider house, " * 4
    busy = replace(
        apron,
        title=f"A pour with a name that goes on {long_name}",
        slab=replace(apron.slab, side_names=(long_name,) * 4),
        thin=replace(apron.thin, listed=spots, unlisted=40),
        suspects=apron.suspects * 10,
        cover=apron.cover * 9,
        notes=tuple(Note(f"note-{n}", "Something to say. " * 30) for n in range(12)),
        concrete=replace(
            apron.concrete, parts=tuple((f"beam {n}", 0.5) for n in range(20)), overlap=0.1
        ),
        thickness=replace(apron.thickness, min=-0.01),
    )
    lines = told(busy).splitlines()

    assert 25 <= len(lines) <= LINES
    assert max(len(line) for line in lines) <= COLUMNS
    assert "more in fix_list.csv" in told(busy)
    assert lines[-1].startswith("Call before you dig")
    assert max(len(line) for line in told(apron).splitlines()) <= COLUMNS


@pytest.mark.parametrize("job", ["job.toml", "job_costs.toml"])
def test_three_lines_of_work_find_room_before_what_the_margin_is_made_of(job):
    result = check_job(read_job(SAMPLES / "apron" / job))
    assert sum(fix.call != "leave" for fix in result.work.fixes) == 3
    text = compose_summary(present(result), result)
    assert len(text.splitlines()) <= LINES
    for number in (1, 2, 3):
        assert re.search(rf"^(First)? +{number}\. ", text, re.MULTILINE)
    assert "shot 41 is 0.11 ft above its neighbours" in text
    assert "conduit: least 3 1/4 in" in text


def test_text_of_a_file_can_not_drive_a_terminal_or_break_a_line(apron):
    nasty = replace(apron, title="Apron\x1b[2J\r\nof ours\ttoo")

    assert told(nasty).splitlines()[0] == "Apron [2J of ours too"


def test_a_measure_is_never_broken_over_two_lines(apron):
    for line in told(apron).splitlines():
        assert not line.endswith((" ft", "side", "corner"))
        assert not line.strip().startswith(("yd³", "ft²", "in "))


def test_points_of_a_cloud_are_not_called_shots(make_result):
    plan = np.array([[0, 0], [10, 0], [10, 10], [0, 10], [5, 5.0]])
    level = np.column_stack([plan, np.full(5, 100.0)])
    text = flowed(make_result(level, plan[:4], 100.15, ids=False))

    assert "5 points; all of the slab lies within them" in text
    assert "none seen under 131 mm at the points" in text
    assert "shot" not in text


def test_a_file_is_utf8_with_plain_newlines(apron, tmp_path):
    write_summary(tmp_path / "summary.txt", present(apron), apron)

    assert (tmp_path / "summary.txt").read_bytes() == told(apron).encode("utf-8")
    assert "\r" not in told(apron)
    assert set(told(apron)) - set("²³") <= {chr(code) for code in range(128)}
