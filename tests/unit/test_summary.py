import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from gradevol.answer.said.topics import tell_topics
from gradevol.answer.statement import Figure, Statement, Topic, Weight, words
from gradevol.check import check_job
from gradevol.ground.notes import Note
from gradevol.ground.units import Units
from gradevol.job import read_job
from gradevol.out.starter import WAYS, write_starter
from gradevol.out.text.summary import LINES, compose_summary, write_summary
from gradevol.out.text.wrapping import COLUMNS

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "sample_surveys"

VOLUME = Topic(
    "volume",
    "Concrete in place",
    "Margin",
    (
        Statement(
            "concrete.volume", Weight.DECIDES, figure=Figure("7.2 m³"), short=words("7.2 m³ of it")
        ),
        Statement("concrete.interval", Weight.DECIDES, "90 % sure", short=words("7.0 to 7.5 m³")),
    ),
)


def told(result):
    return compose_summary(result.title, tell_topics(result))


def flowed(result):
    """The summary as one line, as if no line were broken."""
    return " ".join(told(result).split())


def body(*topics):
    """Lines between the volume and the cautions."""
    return compose_summary("Pad", [VOLUME, *topics]).split("\n\n")[1].splitlines()


def works(count, *, weight=Weight.TELLS, text="Shave: up to 5 mm"):
    """A fix list of so many rows."""
    lines = tuple(
        Statement(f"fix.{n}", weight, short=words(text), mark=f"{n}", cells=(f"{n}",))
        for n in range(1, count + 1)
    )
    return Topic("work", "Fix list", "Fix list", lines, ("place",))


def topic(key, *sentences, label="Label", weight=Weight.TELLS):
    said = (Statement(f"{key}.{n}", weight, short=words(s)) for n, s in enumerate(sentences))
    return Topic(key, key.capitalize(), label, tuple(said))


def test_topics_are_laid_out_in_their_order_with_labels_in_the_margin():
    rest = Statement("work.rest", short=words("Regrading all saves $720. It costs $980"))
    work = works(1)
    work = replace(
        work,
        statements=(
            replace(work.statements[0], size="3 x 2 m", where="at side 4, 12 ft 4 in from side 1"),
            rest,
        ),
    )
    facts = Topic(
        "thickness",
        "Thickness",
        "Thickness",
        (
            Statement("least", Weight.DECIDES, "Least", Figure("98 mm"), where="at side 1"),
            Statement("mean", label="Mean", figure=Figure("152 mm")),
            Statement("sd", Weight.DETAILS, "Spread", Figure("9 mm")),
        ),
    )
    thin = Topic(
        "thin", "Thin", "Thin", (Statement("thin.area", label="Thin", short=words("none seen")),)
    )
    orders = [
        Topic("order", "Order", "Order", (Statement("o", label="Order", short=words(n)),), group=n)
        for n in ("West", "East")
    ]
    silent = topic("moves", "the whole top up", label="")
    long = topic("notes", ("A sentence that goes on and on. " * 3).strip())

    assert compose_summary("Pad", [VOLUME, *orders, facts, thin, work, silent, long]) == (
        """Pad
  7.2 m³ of it

Margin      90 % sure: 7.0 to 7.5 m³
Order       West: West
            East: East
Thickness   Least 98 mm: at side 1; Mean 152 mm
Thin        None seen
Fix list    1. Shave: up to 5 mm; 3 x 2 m; at side 4, 12 ft 4 in from side 1
            Regrading all saves $720. It costs $980.
Label       A sentence that goes on and on. A sentence that goes on and on. A
            sentence that goes on and on.

An estimate, as good as its points. Thickness and structure are the engineer's;
code and specification govern. Call before you dig or cut: have lines marked.
"""
    )


def test_what_weighs_less_than_a_small_screen_is_told_is_left_to_roomier_pages():
    assert body(topic("top", "Fits.", weight=Weight.DETAILS)) == body()


def test_the_ends_of_lists_find_room_after_other_things_of_their_weight():
    lines = body(works(12), topic("top", *"abcdefghijkl"))

    assert lines[1].startswith("Fix list    1. Shave")
    assert [line[-1] for line in lines if re.fullmatch(r"\w* +[A-L]", line)] == list("ABCDEFGHIJKL")
    assert any(re.fullmatch(r" +\d more: see fix_list.csv", line) for line in lines)
    assert sum("Shave" in line for line in lines) >= 4


def test_what_weighs_more_finds_room_first():
    light, heavy = (
        topic("survey", *"abcdefghijklmnopqrstuv"),
        topic("top", "X", weight=Weight.MATTERS),
    )
    lines = body(light, heavy)

    assert any(line.endswith(" X") for line in lines)
    assert sum(re.fullmatch(r"\w* +[A-V]", line) is not None for line in lines) < 22


def test_what_is_left_out_is_told_by_its_labels():
    rest = [topic(f"t{n}", *"ab" * 6, label=f"Label {n}") for n in range(3)]
    lines = body(*rest, topic("end", "Last.", label="The end"))

    assert lines[-1] == "More        with --all: label 2, the end"


def test_chances_that_cores_fail_find_room_after_all_else():
    lines = body(topic("tests", "2 % chance to fail"), topic("top", *"ab" * 10))

    assert not [line for line in lines if "chance" in line]
    assert sum(line.endswith((" A", " B")) for line in lines) == 18


def test_a_list_is_as_heavy_before_a_row_as_that_row_and_has_no_gap():
    light, heavy = works(3), works(3, weight=Weight.ACTS)
    work = replace(light, statements=(*light.statements[:2], heavy.statements[2]))
    lines = body(topic("top", *"abcdefghijklmnopqrst", weight=Weight.MATTERS), work)

    assert sum("Shave" in line for line in lines) == 3


def test_what_decides_and_what_is_to_be_done_first_stays():
    many = topic("survey", *(f"Sentence {n}." for n in range(50)))
    must = works(6, weight=Weight.ACTS)
    head = topic("order", "77 m³", weight=Weight.DECIDES)
    lines = body(many, must, head)

    assert len(lines) <= LINES - 6
    assert sum("Shave" in line for line in lines) == 6
    assert any(line.endswith("77 m³") for line in lines)


def test_more_to_be_done_first_than_a_screen_holds_is_cut_and_said_so():
    lines = body(works(60, weight=Weight.ACTS))

    assert len(lines) <= LINES - 6
    assert lines[1].startswith("Fix list    1. ")
    assert re.fullmatch(r" +\d+ more: see fix_list.csv", lines[-1])


def test_all_is_told_where_it_is_asked_for():
    notes = topic("notes", *(f"Sentence {n}. " * 40 for n in range(50)))
    text = compose_summary(
        "Pad", [VOLUME, notes, topic("top", "Fits", weight=Weight.DETAILS)], is_all=True
    )

    assert "Sentence 49" in text
    assert "Fits" in text
    assert " ..." not in text
    assert "local code and the project" in text


def test_what_comes_before_all_else_stands_above_the_volume():
    said = Statement("suspects.reshoot", Weight.DECIDES, short=words("Reshoot 41 first"))
    text = compose_summary("Pad", [VOLUME, Topic("suspects", "Suspect shots", "Suspect", (said,))])

    assert text.startswith("Pad\n  Reshoot 41 first\n  7.2 m³ of it\n\nMargin ")


def test_the_name_of_a_side_is_told_once():
    lines = body(topic("top", "at side 1 (wall)", "at side 1 (wall), 2 m from side 2 (form)"))

    assert lines[1].endswith("At side 1 (wall)")
    assert lines[2].endswith("At side 1, 2 m from side 2 (form)")


def test_a_place_that_is_a_row_of_the_fix_list_is_called_by_it():
    where = "12 ft 4 in from side 1"
    least = Statement("min", Weight.DECIDES, "Least", Figure("9 mm"), where=where, doubt="suspect")
    facts = Topic("thickness", "Thickness", "Thickness", (least,))
    work = works(1)
    row = replace(work.statements[0], where=where)
    lines = body(facts, replace(work, statements=(row,)))

    assert lines[1] == "Thickness   Least 9 mm (suspect), at row 1"
    assert lines[2].endswith("up to 5 mm; 12 ft 4 in from side 1")


def test_nothing_is_left_out_that_saves_no_line():
    facts = Topic(
        "thickness",
        "Thickness",
        "Thickness",
        (
            Statement("min", Weight.DECIDES, "Least", Figure("9 mm")),
            Statement("max", label="Most", figure=Figure("11 mm")),
        ),
    )
    assert "Thickness   Least 9 mm; Most 11 mm" in body(facts, topic("top", *"abcd" * 20))


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
STARTERS = [(units, way) for units in ("feet", "metres") for way in WAYS]


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


def test_a_file_is_utf8_with_plain_newlines(apron, tmp_path):
    write_summary(tmp_path / "summary.txt", apron.title, tell_topics(apron))

    assert (tmp_path / "summary.txt").read_bytes() == told(apron).encode("utf-8")
    assert "\r" not in told(apron)
    assert set(told(apron)) - set("²³") <= {chr(code) for code in range(128)}
