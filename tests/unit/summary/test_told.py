"""What the summary tells of a result: the apron, the samples, the starters."""

import re
from dataclasses import replace
from itertools import cycle
from pathlib import Path

import numpy as np
import pytest

from gradevol.answer.said.topics import tell_topics
from gradevol.ground.notes import Note
from gradevol.ground.units import Units
from gradevol.job import read_job
from gradevol.out.starter import WAYS, write_starter
from gradevol.out.text.summary import LINES, compose_summary
from gradevol.out.text.wrapping import COLUMNS
from gradevol.runs.check import check_job
from tests.unit.summary.conftest import works

ROOT = Path(__file__).parents[3]


SAMPLES = ROOT / "sample_surveys"


def told(result):
    return compose_summary(result.title, tell_topics(result))


def flowed(result):
    """The summary as one line, as if no line were broken."""
    return " ".join(told(result).split())


def test_a_note_that_asks_ends_with_its_question(apron):
    asked = Note("file-looks-wrong", "1 shot has one decimal more. Does a digit stand twice?")
    topics = tell_topics(replace(apron, notes=(asked,)))
    said = " ".join(compose_summary(apron.title, topics, is_all=True).split())
    assert "Does a digit stand twice? " in said


def test_the_volume_comes_first_on_a_line_of_its_own(apron):
    lines = told(apron).splitlines()

    assert lines[0] == "Loading apron (invented)"
    assert lines[1].startswith("  Reshoot 51 first")
    assert lines[2:4] == ["  69.9 yd³ of concrete", ""]
    assert round(apron.concrete.volume / 0.9144**3, 1) == 69.9


def test_a_metric_job_is_told_in_metres(apron):
    text = flowed(replace(apron, units=Units.of_job("m")))

    assert "53.5 m³ of concrete" in text
    assert "Least 126 mm" in text
    assert "3.11 m from side 2" in text
    assert not re.search(r"\d (?:yd|ft|in)", text)
    assert re.search(r"\d (?:yd|ft|in)", flowed(apron))


def test_cautions_are_at_the_foot(apron):
    foot = told(apron).split("\n\n")[-1]

    assert "estimate" in foot
    assert "code and specification govern" in foot
    assert foot.endswith("Call before you dig or cut: have lines marked.\n")
    assert len(foot.splitlines()) == 2


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
    text = compose_summary(busy.title, [*tell_topics(busy), works(40)])
    lines = text.splitlines()

    assert 24 <= len(lines) <= LINES
    assert max(len(line) for line in lines) <= COLUMNS
    assert "see fix_list.csv" in text
    assert "first: the base is above the top of slab" in text
    assert "Call before you dig" in lines[-1]
    assert max(len(line) for line in told(apron).splitlines()) <= COLUMNS


SAMPLE_JOBS = sorted(SAMPLES.glob("*/job*.toml"))


#: Each way, in feet and metres by turns.
STARTERS = list(zip(cycle(("feet", "metres")), WAYS))


@pytest.mark.parametrize(("units", "way"), STARTERS)
def test_every_starter_fits_one_screen_with_what_matters(units, way, tmp_path):
    assert_fits(check_job(read_job(write_starter(tmp_path / "job", units, way))))


@pytest.mark.parametrize("job", SAMPLE_JOBS, ids=lambda job: f"{job.parent.name}-{job.stem}")
def test_every_sample_fits_one_screen_with_what_matters(job, check_sample):
    assert_fits(check_sample(job.relative_to(SAMPLES).as_posix()))


def assert_fits(result):
    topics = tell_topics(result)
    text = compose_summary("Pad", topics)
    flow, lines = " ".join(text.split()), text.splitlines()

    assert len(lines) <= 26
    assert max(map(len, lines)) <= 80
    by_key = {said.key: said for topic in topics for said in topic.statements}
    assert "could be missed" in flow
    for key in ("after_work.volume", "work.none"):
        assert key not in by_key or str(by_key[key].short).split(":")[0] in flow
    must = [said for said in by_key.values() if said.is_must and said.key.startswith("fix.")]
    assert all(f" {said.mark}. {str(said.short)[:20]}" in flow for said in must)
    if reshoot := by_key.get("suspects.reshoot"):
        assert str(reshoot.short) in " ".join(lines[1:3])


def test_text_of_a_file_can_not_drive_a_terminal_or_break_a_line(apron):
    nasty = replace(
        apron,
        title="Apron\x1b[2J\r\nof ours\ttoo",
        cover=(replace(apron.cover[0], name="pipe\x1b[31m\nred"),),
    )

    assert told(nasty).splitlines()[0] == "Apron [2J of ours too"
    everything = compose_summary(nasty.title, tell_topics(nasty), is_all=True)
    assert "Cover       pipe [31m red: least cover" in everything
    assert "\x1b" not in everything + told(nasty)


def test_a_measure_is_never_broken_over_two_lines(apron):
    for line in told(apron).splitlines():
        assert not line.endswith((" ft", "side", "corner"))
        assert not line.strip().startswith(("yd³", "ft²", "in "))


def test_points_of_a_cloud_are_not_called_shots(make_result):
    plan = np.array([[0, 0], [10, 0], [10, 10], [0, 10], [5, 5.0]])
    level = np.column_stack([plan, np.full(5, 100.0)])
    text = flowed(make_result(level, plan[:4], 100.15, ids=False))

    assert "5 points; all of the slab inside them" in text
    assert "None seen under 131 mm at the points" in text
    assert "shot" not in text.replace("Not shot", "")


def test_it_is_plain_text(apron):
    assert set(told(apron)) - set("²³−") <= {chr(code) for code in range(128)}
