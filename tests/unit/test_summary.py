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
from gradevol.out.text.summary import COLUMNS, LINES, compose_summary, write_summary

SAMPLES = Path(__file__).parents[2] / "sample_surveys"

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
    return compose_summary("Pad", [VOLUME, *topics]).split("\n\n")[2].splitlines()


def works(count, *, weight=Weight.TELLS, text="Shave: up to 5 mm"):
    """A work list of so many lines."""
    lines = tuple(
        Statement(f"fix.{n}", weight, short=words(text), mark=f"{n}", cells=(f"{n}",))
        for n in range(1, count + 1)
    )
    return Topic("work", "Work list", "First", lines, ("place",))


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
First       1. Shave: up to 5 mm; 3 x 2 m; at side 4, 12 ft 4 in from side 1
            Regrading all saves $720. It costs $980.
Label       A sentence that goes on and on. A sentence that goes on and on. A
            sentence that goes on and on.

An estimate from the points given; it is only as good as they are.
Thickness and structure are the engineer's; local code and the project
specification govern.
Call before you dig or cut: have buried lines marked.
"""
    )


def test_what_weighs_less_than_a_small_screen_is_told_is_left_to_roomier_pages():
    assert body(topic("top", "Fits.", weight=Weight.DETAILS)) == body()


def test_a_list_is_cut_before_other_things_and_says_so():
    lines = body(works(12), topic("top", *"abcdefghijkl"), topic("notes", *"mnopqrst"))

    assert lines[1].startswith("First       1. Shave")
    assert "            7 more: see fix_list.csv" in lines
    assert [line[-1] for line in lines if re.fullmatch(r"\w* +[A-L]", line)] == list("ABCDEFGHIJKL")
    assert "            3 more: see report.html" in lines
    assert lines[-2].endswith(" Q")


def test_what_follows_a_topics_first_paragraph_gives_way_before_lists_lose_their_third_line():
    lines = body(*(topic(f"t{n}", "First.", "Second.") for n in range(14)), works(12))

    assert sum(line.endswith("First.") for line in lines) == 14
    assert sum(line.endswith("Second.") for line in lines) == 12
    assert "            3. Shave: up to 5 mm" in lines
    assert lines[2].endswith("Second.")  # the last go first


def test_chances_that_cores_fail_give_way_before_anything_else_but_the_ends_of_lists():
    lines = body(topic("tests", "2 % chance to fail"), topic("top", *"ab" * 15))

    assert not [line for line in lines if "chance" in line]
    assert sum(line.endswith((" A", " B")) for line in lines) == 30


def test_what_decides_and_what_is_to_be_done_first_stays():
    many = topic("survey", *(f"Sentence {n}." for n in range(50)))
    must = works(6, weight=Weight.ACTS)
    head = topic("order", "77 m³", weight=Weight.DECIDES)
    lines = body(many, must, head)

    assert len(lines) <= LINES - 9
    assert sum("Shave" in line for line in lines) == 6
    assert lines[-1].endswith("77 m³")


def test_more_to_be_done_first_than_a_screen_holds_is_cut_and_said_so():
    lines = body(works(60, weight=Weight.ACTS))

    assert len(lines) == LINES - 9
    assert lines[1].startswith("First       1. ")
    assert re.fullmatch(r" +\d+ more: see fix_list.csv", lines[-1])


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

    assert lines[:4] == ["Loading apron (invented)", "", "  69.9 yd³ of concrete", ""]
    assert round(apron.concrete.volume / 0.9144**3, 1) == 69.9


def test_a_metric_job_is_told_in_metres(apron):
    text = flowed(replace(apron, units=Units.of_job("m")))

    assert "53.5 m³ of concrete" in text
    assert "Least 126 mm: 3.11 m from side 2" in text
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
    text = compose_summary(busy.title, [*tell_topics(busy), works(40)])
    lines = text.splitlines()

    assert 25 <= len(lines) <= LINES
    assert max(len(line) for line in lines) <= COLUMNS
    assert "see fix_list.csv" in text
    assert "away first: the base stands above the top" in text
    assert lines[-1].startswith("Call before you dig")
    assert max(len(line) for line in told(apron).splitlines()) <= COLUMNS


@pytest.mark.parametrize("job", ["job.toml", "job_costs.toml"])
def test_three_lines_of_work_find_room_beside_suspect_shots_and_cover(job):
    result = check_job(read_job(SAMPLES / "apron" / job))
    work = works(3, text="Shave: up to 5/8 in, 33 x 12 ft, to 3; " + "10 ft 0 in from side 2, " * 4)
    topics = [shown for shown in tell_topics(result) if shown.key != "work"]
    text = compose_summary(result.title, [*topics, work])

    assert len(text.splitlines()) <= LINES
    for number in (1, 2, 3):
        assert re.search(rf"^(First)? +{number}\. ", text, re.MULTILINE)
    assert "Shot 41: 0.10 ft above its neighbours" in text
    assert "conduit: least cover 3 1/4 in" in text


def test_text_of_a_file_can_not_drive_a_terminal_or_break_a_line(apron):
    nasty = replace(
        apron,
        title="Apron\x1b[2J\r\nof ours\ttoo",
        cover=(replace(apron.cover[0], name="pipe\x1b[31m\nred"),),
    )

    assert told(nasty).splitlines()[0] == "Apron [2J of ours too"
    assert "Cover       pipe [31m red: least cover" in told(nasty)
    assert "\x1b" not in told(nasty)


def test_a_measure_is_never_broken_over_two_lines(apron):
    for line in told(apron).splitlines():
        assert not line.endswith((" ft", "side", "corner"))
        assert not line.strip().startswith(("yd³", "ft²", "in "))


def test_points_of_a_cloud_are_not_called_shots(make_result):
    plan = np.array([[0, 0], [10, 0], [10, 10], [0, 10], [5, 5.0]])
    level = np.column_stack([plan, np.full(5, 100.0)])
    text = flowed(make_result(level, plan[:4], 100.15, ids=False))

    assert "5 points; all of the slab within them" in text
    assert "None seen under 131 mm at the points" in text
    assert "shot" not in text.replace("Not shot", "")


def test_a_file_is_utf8_with_plain_newlines(apron, tmp_path):
    write_summary(tmp_path / "summary.txt", apron.title, tell_topics(apron))

    assert (tmp_path / "summary.txt").read_bytes() == told(apron).encode("utf-8")
    assert "\r" not in told(apron)
    assert set(told(apron)) - set("²³") <= {chr(code) for code in range(128)}
