"""What finds room on a small screen, and in which order."""

import re
from dataclasses import replace

from gradevol.answer.statement import Figure, Statement, Topic, Weight, words
from gradevol.out.paper.words import SheetWords
from gradevol.out.text.summary import LINES, compose_summary
from tests.unit.summary.conftest import topic, works

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


def body(*topics):
    """Lines between the volume and the cautions."""
    return compose_summary("Pad", [VOLUME, *topics]).split("\n\n")[1].splitlines()


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


def test_how_much_is_thin_finds_room_before_a_long_list_of_what_must_be_done():
    thin = topic("thin", "296 ft² in 40 spots " + "that go on " * 8, weight=Weight.MATTERS)
    lines = body(thin, works(30, weight=Weight.ACTS))

    assert any("296 ft² in 40 spots" in line for line in lines)
    assert any(re.fullmatch(r" +\d+ more: see fix_list.csv", line) for line in lines)


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


def test_what_comes_before_all_else_stands_in_one_order_on_screen_and_sheet():
    def topic_of(topic, *keys):
        told = [Statement(key, Weight.DECIDES, short=words(f"See to {key}")) for key in keys]
        return Topic(topic, topic, topic, tuple(told))

    # as an order names them, whichever was found first
    reshoot = topic_of("suspects", "suspects.reshoot")
    notes = topic_of("notes", "note.forms-off-top", "note.run-step")
    ordered = ["note.run-step", "note.forms-off-top", "suspects.reshoot"]
    text = compose_summary("Pad", [VOLUME, reshoot, notes])

    assert re.findall("See to (.*)", text) == ordered
    said = SheetWords([VOLUME, reshoot, notes]).say_first()
    assert [item.lead for item in said] == [f"See to {key}." for key in ordered]


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
