"""The page for the day of the pour says what gradevol pour says, to the last digit."""

import re
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from gradevol.answer.said.slip import say_call_time
from gradevol.answer.said.step_words import StepWords
from gradevol.runs.check import check_job
from gradevol.runs.pour import know_job
from tests.conftest import leave_out_simulated
from tests.report.pour_page.conftest import READ, SAMPLES, Day

pytestmark = pytest.mark.browser

#: The apron's fronts are taped from the far end of two sides; the court's go around its corners.
FRONTS = {
    "apron": ("front_y_west_ft", "front_y_east_ft"),
    "yard": ("front_7_m", "front_1_m", "front_2_m", "front_5_m", "front_4_m", "front_3_m"),
}


SMALL = {"apron": ("equipment pad", "2 bollard base"), "yard": ("kerb", "post base")}


def tape(name: str, reach: float, rng: Any) -> list[str]:
    """Tapes of a front that has reached so far of its way, 0 to 1."""
    one, other = np.clip(reach + rng.normal(0, 0.03, 2), 0, 1)
    if rng.random() < 0.1:
        one = np.clip(one + 0.15, 0, 1)  # misread
    if name == "apron":
        told = [f"{80 * (1 - one):.2f}", f"{80 * (1 - other):.2f}"]
    else:
        ways = (12, 10, 3.1), (7, 7, 3)
        told = []
        for share, lengths in zip((one, other), ways, strict=True):
            begins = np.cumsum([0, *lengths[:-1]])
            on = int(np.searchsorted(begins, share * sum(lengths), side="right")) - 1
            at = f"{min(share * sum(lengths) - begins[on], lengths[on]):.2f}"
            told += [at if side == on else "" for side in range(3)]
    if rng.random() < 0.15:  # by one tape alone
        told[rng.choice([at for at, text in enumerate(told) if text])] = ""
    return told


def tickets_of(name: str, count: int, rng: Any, *, is_wrong: bool = False) -> str:
    """Invented tickets of so many loads, as the page of a job heads them; some wrong, if asked."""
    unit, each = ("yd3", 10.0) if name == "apron" else ("m3", 2.0)
    rows = [
        f"load,ticket,volume_{unit},finished,{','.join(FRONTS[name])},done,went_to,"
        f"returned_{unit},called_{unit}"
    ]
    reach = 0.0
    blank = "," * (len(FRONTS[name]) + 2)
    for load in range(1, count + 1):
        reach += rng.uniform(0.09, 0.16)
        is_told = load == 1 or rng.random() < 0.9
        fronts = tape(name, reach, rng) if is_told else [""] * len(FRONTS[name])
        out = f"{(21 + load // 3) % 24}:{(17 * load) % 60:02d}" if rng.random() < 0.8 else ""
        volume = each * (1 + 0.025 * rng.integers(-2, 3))
        if is_wrong and rng.random() < 0.25:
            volume *= rng.choice([0.1, 1.5])
        went = f"slab + {SMALL[name][rng.integers(2)]}" if rng.random() < 0.2 else ""
        back = rng.choice(["~0.3", "0.2"]) if rng.random() < 0.2 else ""
        rows.append(f"{load},,{volume:.2f},{out},{','.join(fronts)},,{went},{back},")
        if rng.random() < 0.08:
            rows.append(f",,,{out},{blank},{rng.integers(4, 40) / 4}")
    return "\n".join(rows) + "\n"


def assert_says_the_same(day: Day, page: Any, texts: Sequence[str]) -> list[dict[str, Any]]:
    found = page.evaluate(READ, list(texts))
    for text, told in zip(texts, found, strict=True):
        assert "read from" in told.pop("told"), text
        assert told == day.tell(text), text
    return found


@pytest.mark.parametrize("name", ["apron", "yard"])
def test_it_says_what_the_program_does_after_any_loads(days, open_page, name):
    rng = np.random.default_rng(11)
    texts = [tickets_of(name, count, rng) for count in (0, 1, 2, 4, 6, 8, 9) for _ in range(2)]
    unit, each = ("yd3", 10) if name == "apron" else ("m3", 2)
    head = (
        f"load,ticket,volume_{unit},finished,{','.join(FRONTS[name])},done,went_to,returned_{unit}"
    )
    blank = "," * len(FRONTS[name])
    texts.append(f"{head}\n1,,{each},8:00{blank},,,\n")
    noon = [
        f"{load},,{each},{out},{','.join(tape(name, 0.12 * load, rng))},,,"
        for load, out in enumerate(("11:50", "12:40", "1:25"), start=1)
    ]
    texts.append("\n".join([head, *noon]) + "\n")
    halves = {":50": ":50 am", ":40": ":40 PM", ":25": ":25p.m."}
    texts.append(re.sub(r":50|:40|:25", lambda found: halves[found[0]], texts[-1]))
    texts.append(f"{texts[7]}5,,{each},{blank},,,,\n6,,{each},{blank},,,,\n")
    texts.append(texts[7].replace("21:17", "17:17"))  # four hours
    texts.append(f"{head}\n1,,{each},14:00{blank},,,\n2,,{each},7:50{blank},,,\n")
    told = tape(name, 0.1, rng)
    went = SMALL[name][0]
    texts.append(f"{head}\n1,,{each / 10},8:00,{','.join(told)},,slab + {went},{each / 10}\n")
    found = assert_says_the_same(days[name], open_page(name), texts)
    said = " ".join(str(told) for told in found)
    for words in (
        *(" by ", "is ticketed than", "Elsewhere", "It feeds", "front of load"),
        *("No front is given for load 1: ", "load 5 and load 6: "),
        *("Called beside what was released: ", "released or called and not ticketed yet"),
        "\N{MINUS SIGN}",  # where all went back and a small pour is said to be filled
        *(" by its times: is one misread?", " h after load ", "before load "),
        ", taken to be of the next day: is one misread?",
    ):
        assert words in said
    # the court's trucks bring less than its crew places
    assert ("m³ an hour (as trucks come)" in said) == (name == "yard")
    assert ("(stated)" in said) == (name == "apron")


@pytest.mark.parametrize("name", ["apron", "yard", "few", "west", "halves"])
def test_it_says_before_the_first_load_what_the_order_does(days, open_page, name):
    day, page = days[name], open_page(name)
    known = know_job(day.job, day.folder)
    with leave_out_simulated():
        result = check_job(day.job)
    delivery = result.delivery
    order = delivery.part_orders[0] if name == "west" else delivery.order
    assert order is not None
    say = StepWords(order, day.job.units)
    unit = "m3" if day.job.units.is_metric else "yd3"
    text = ",".join(["load", f"volume_{unit}", *FRONTS.get(name, ()), "done"]) + "\n"
    (found,) = assert_says_the_same(day, page, [text])
    told = re.search(r"Still needed ([\d.]+) \S+ \(([\d.]+ to [\d.]+) at", found["now"][0])
    wanted = order.need
    between = wanted.find_range(order.level)
    assert told is not None
    assert between is not None
    assert told[1] == say.need(wanted.mean)
    assert told[2] == say.range(*between)
    if order.staged is None:  # nothing is held: all of it was called
        assert known.released == order.choice.volume
        assert found["now"][1].startswith("Call nothing more: ")
        return
    called = re.search(r"Call ([\d.]+) ", found["now"][1])
    assert called is not None
    assert called[1] == say.say(order.choice.volume - known.released)
    if by := re.search(r" by ([\d:]+)", found["now"][1]):
        assert say_call_time(order.staged, order.terms).startswith(by[0].strip())
    left = f"about {say.about(order.choice.left_over)} {say.symbol} left over."
    assert left in found["rests"][-1]


def test_it_says_what_the_program_does_of_wrong_tickets(days, open_page):
    rng = np.random.default_rng(4)
    for name, told in (
        ("apron", ("First check with", "more is ticketed than", "Both right? ")),
        ("yard", ("By the tickets as they stand", "bear it out", "and tape the front again")),
    ):
        texts = [
            tickets_of(name, count, rng, is_wrong=True) for count in (1, 3, 4, 6) for _ in range(4)
        ]
        blank = "," * (len(FRONTS[name]) + 5)
        more = "".join(f"{load},,9{blank}\n" for load in (7, 8, 9))  # no front, and no room
        texts += [
            tickets_of(name, 6, np.random.default_rng(9), is_wrong=is_wrong) + more
            for is_wrong in (False, name == "apron")
        ]
        said = str(assert_says_the_same(days[name], open_page(name), texts))
        for words in told:
            assert words in said


def test_it_says_what_the_program_does_after_each_load_of_the_invented_day(days, open_page):
    rows = [
        line.split(",") for line in (SAMPLES / "apron" / "tickets.csv").read_text().splitlines()
    ]
    head = f"load,ticket,volume_yd3,finished,{','.join(FRONTS['apron'])},done,went_to,returned_yd3"
    lines = [
        f"{load},,{volume},{out},{west},{east},,,"
        for load, _, _, _, out, volume, _, _, _, _, west, east, *_ in rows[1:]
    ]
    lines[-1] = lines[-1].replace(",,,", ",,slab + equipment pad + bollard base,~0.2")
    texts = ["\n".join([head, *lines[:count]]) + "\n" for count in range(9)]
    texts.append(f"{texts[-1]}9,,10,10:50,,,,,\n")
    texts.append(texts[4].replace(",10.0,", ",7.7,"))
    found = assert_says_the_same(days["apron"], open_page("apron"), texts)
    assert found[6]["now"][1].startswith("Call 8.25 yd³ by 9:10.")
    assert "now, if not called yet: 9:10 has gone by" in found[7]["now"][1]
    assert found[8]["now"] == ["The slab is full: it took 76.8 yd³."]
    assert "by the tickets as they stand it took 86.8 yd³" in found[9]["now"][0]
    assert "Look up load 9" in found[9]["alerts"][0]
    assert found[10]["alerts"][0].startswith("All fronts fit if the tickets are in m³, not yd³")


def test_it_takes_loads_by_their_numbers_and_none_twice(days, open_page):
    rng = np.random.default_rng(2)
    head, *rows = tickets_of("apron", 4, rng).splitlines()
    page = open_page("apron")
    mixed = "\n".join([head, *(rows[at] for at in (2, 0, 3, 1))]) + "\n"
    assert_says_the_same(days["apron"], page, [mixed])
    twice = "\n".join([head, *rows, rows[1]]) + "\n"
    tickets = "\n".join([head, *(row.replace(",,", ",501,", 1) for row in rows)]) + "\n"
    for text, told in ((twice, "Load 2 stands twice"), (tickets, "Ticket 501 stands twice")):
        assert told in page.evaluate(READ, [text])[0]["told"]


def test_it_names_no_more_loads_than_the_program_does(days, open_page):
    head = f"load,ticket,volume_yd3,finished,{','.join(FRONTS['apron'])}\n"
    text = head + "".join(f"{load},,6,,,\n" for load in range(1, 10))
    (told,) = assert_says_the_same(days["apron"], open_page("apron"), [text])
    assert "load 5, load 6 and 3 more" in str(told)


@pytest.mark.parametrize("name", ["apron", "yard"])
def test_it_says_what_the_program_does_of_small_pours(days, open_page, name):
    """More of them than there are, and a load for one alone that held more than it takes."""
    unit, each = ("yd3", 5) if name == "apron" else ("m3", 2)
    one, several = SMALL[name][0], SMALL[name][1].removeprefix("2 ")
    fronts = FRONTS[name]
    head = f"load,volume_{unit},{','.join(fronts)},done,went_to,returned_{unit}\n"
    blank = "," * len(fronts)
    texts = [
        f"{head}1,{each}{blank},,slab + 5 {several},\n",
        f"{head}1,{each}{blank},,slab + 2 {several},\n"
        f"2,{each}{blank},,slab + {several} + {one},\n"
        f"3,{each}{blank},,slab + 2 {several} + {one},\n",
        f"{head}1,{each}{blank},,{one},\n2,{each}{blank},,{one} + 2 {several},0.5\n",
        f"{head}1,{each}{blank},,{one},{each - 0.1}\n",
    ]
    found = assert_says_the_same(days[name], open_page(name), texts)
    assert [len(told["doubts"]) for told in found] == [1, 1, 2, 0]
    assert f"went to {one} and 2 {several} alone" in found[2]["doubts"][1]


def test_it_says_what_the_program_does_of_panels_and_halves(days, open_page):
    head = "load,ticket,volume_yd3,finished,done,went_to,returned_yd3\n"
    rows = ["1,,0.9,,A1,,\n", "2,,0.6,,west half,,\n", "3,,1.4,,east half,,\n"]
    texts = [head + "".join(rows[:count]) for count in range(4)]
    # what is left is now and then a small load, which pays a fee
    texts += [f"{head}1,,1.4,,west half,,\n2,,{0.1 * more:.1f},,,,\n" for more in range(1, 13)]
    count = len(texts)
    texts += [  # what tells of nothing more, a ticket that is missing, one that is there twice
        f"{head}1,,0.9,,A1,,\n2,,0.6,,A1,,\n3,,0.5,,west half + A1,,\n4,,0.4,,west half,,\n",
        f"{head}1,,0.3,,A1,,\n2,,0.3,,west half,,\n",
        f"{head}1,,0.3,,A1,,\n2,,0.3,,west half,,\n3,,0.3,,east half,,\n",
        f"{head}1,,2,,,,\n2,,0.4,,A1,,\n3,,0.5,,west half,,\n",
        f"{head}1,,2,,,,\n2,,2.4,,,,\n3,,0.5,,A1,,\n",
        f"{head}1,,0.2,,west half,,\n",
        f"{head}1,,0.9,,A1,,\n2,,0.6,,west half,,\n3,,9,,,,\n",
        f"{head}1,,1.78,,west half,,\n2,,1.69,,east half,,\n",
    ]
    found = assert_says_the_same(days["halves"], open_page("halves"), texts)
    assert len({told["now"][1] for told in found[4:count]}) > 3
    said = str(found[count:])
    for words in (
        *("is ticketed than what is done", "modelled in what is done", "Look what is done"),
        *(", and look what is done.", "If less is done than is told", "Ticket or panel wrong?"),
        *("It is no slip in what is done", "Nothing more is put down as done with load 4: counted"),
        *("Look up load 3, with nothing more put down as done", "All that is done fits if the"),
    ):
        assert words in said
