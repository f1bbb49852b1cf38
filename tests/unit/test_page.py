"""The page without a browser: what it holds, and that nothing in it can harm."""

import json
import re
from base64 import b64decode
from dataclasses import replace
from functools import partial
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.compose import compose_answer
from gradevol.answer.drawing import spots
from gradevol.answer.said.margin import say_ends, say_level_of, say_spread, say_stated
from gradevol.answer.statement import Figure, Statement, Topic, Weight, words
from gradevol.check import check_job
from gradevol.ground.notes import Note
from gradevol.ground.units import METRES, Units
from gradevol.job import read_job
from gradevol.measures.spots import Spots
from gradevol.out.pages import plan_data
from gradevol.out.pages.markup import Marker, Table, halve, say
from gradevol.out.pages.packing import LEVEL, PLAN, pack_field
from gradevol.out.pages.page import compose_page, write_page
from gradevol.out.pages.sections import compose_sections
from gradevol.plan.fixes.outcome import Outcome
from gradevol.site.metadata import Credits
from gradevol.uncertainty.interval import Interval
from gradevol.uncertainty.mixture import Mixture

SVG = "http://www.w3.org/2000/svg"


class Reader(HTMLParser):
    """Elements of a page, the figures it tells, and its text."""

    def __init__(self):
        super().__init__()
        self.tags, self.figures, self.open, self.text = [], [], None, ""

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag == "data":
            self.open = dict(attrs)
            self.open["text"] = ""

    def handle_endtag(self, tag):
        if tag == "data":
            self.figures.append(self.open)
            self.open = None

    def handle_data(self, data):
        self.text += data
        if self.open is not None:
            self.open["text"] += data


def read(page):
    reader = Reader()
    reader.feed(page)
    return reader


def page_of(result):
    return compose_page(compose_answer(result))


def plan_of(page):
    match = re.search(r'<script type="application/json" id="plan-data">(.*?)</script>', page, re.S)
    assert match
    return json.loads(match[1])


def at(view, key):
    for part in key.split("."):
        view = view[int(part)] if isinstance(view, list) else view[part]
    return view


def value_of(text):
    """A figure as a person reads it, in the job's units, and half of its last digit."""
    bare = text.replace("\u00a0", " ").replace("−", "-").replace(",", "")
    match = re.match(r"([+-]?)(?:(\d+) )?(\d+)/(\d+) in", bare)
    if match:
        sign, whole, over, under = match.groups()
        inches = int(whole or 0) + int(over) / int(under)
        return (-1 if sign == "-" else 1) * inches / 12, 1 / 96
    if match := re.match(r"(-?\d+) ft (\d+) in", bare):
        return int(match[1]) + int(match[2]) / 12, 1 / 24
    match = re.match(r"([+-]?[\d.]+) ?(\S*)", bare)
    assert match, text
    scale = {"in": 1 / 12, "mm": 1e-3, "%": 1e-2}.get(match[2], 1.0)
    decimals = len(match[1].partition(".")[2])
    last = 0.125 if match[2] == "in" else 10.0**-decimals
    return float(match[1]) * scale, last * scale


@pytest.mark.parametrize("unit", ["ft", "m"])
def test_every_figure_of_the_page_is_that_of_the_result(apron, unit):
    result = replace(apron, units=Units.of_job(unit))
    answer = compose_answer(result)
    view = answer.plain()
    figures = read(compose_page(answer)).figures

    assert len(figures) > 40
    for figure in figures:
        number = at(view, figure["data-key"])
        assert figure["value"] == str(number)
        if figure["text"] == "none\u00a0seen":
            assert number == 0
            continue
        told, last = value_of(figure["text"])
        # least thickness, cover and coverage are rounded down, so a whole digit may lack
        assert abs(abs(told) - abs(number)) <= last + 1e-6, figure


def test_only_what_the_volume_rests_on_comes_before_it(apron):
    page = page_of(apron)
    before, first, *_ = read(page).figures

    assert re.search(r'<p class="before"><a href="#suspects">Reshoot [\w, ]+ first', page)
    assert before["data-key"] == "survey.volume_without_suspects"
    assert first["data-key"] == "concrete.volume"
    assert first["text"] == "69.9\u00a0yd³"


def with_interval(result, half):
    """The result with an interval of a half width, m³."""
    volume = result.concrete.volume
    spread = Mixture.of_one(volume, half / 2)
    ends = volume - half, volume + half
    interval = Interval(0.9, *ends, 0.11, 0.22, 0.33, 0.44, volume, spread)
    return replace(result, interval=interval), interval


def test_the_interval_is_said_as_in_the_summary_and_on_the_sheet(apron):
    result, interval = with_interval(apron, 1.234)
    reader = read(page_of(result))
    text = " ".join(reader.text.replace("\u00a0", " ").split())

    ends = " to ".join(say_ends(interval, result.units))
    assert f"{say_level_of(interval)}: {ends}" in text
    told: dict[str, set[str]] = {}
    for figure in reader.figures:
        told.setdefault(figure["data-key"], set()).add(figure["text"].replace("\u00a0", " "))
    assert told["concrete.volume"] == {say_stated(interval, result.units)}
    for key in ("shots", "between_shots", "datum", "top"):
        sd = getattr(interval, key)
        assert told[f"concrete.interval.{key}"] == {say_spread(sd, result.units)}
    low, high = say_ends(interval, result.units)
    assert told["concrete.interval.low"] == {low}
    assert told["concrete.interval.high"] == {high}


def test_a_wide_interval_takes_digits_off_the_volume_wherever_it_is_told(apron):
    result, _ = with_interval(apron, 6.0)
    figures = read(page_of(result)).figures

    told = {one["text"] for one in figures if one["data-key"] == "concrete.volume"}
    assert told == {"70\u00a0yd³"}


def test_the_page_says_who_measured_and_leaves_out_what_is_not_told(apron):
    credits = Credits(by="R. Vale", date="2026-05-12", benchmark="BM 3 <100.00>")
    with_credits, without = page_of(replace(apron, credits=credits)), page_of(apron)
    for text in ("R. Vale", "2026-05-12", "BM 3 &lt;100.00&gt;"):
        assert text in with_credits
        assert text not in without
    assert "<dt>Bench mark</dt>" in with_credits
    assert "<dt>Instrument</dt>" not in with_credits


def test_the_page_asks_nothing_of_a_network(apron):
    page = page_of(apron)

    assert set(re.findall(r"\b(?:https?|wss?|ftp):[^\s\"']*", page)) == {SVG}
    for word in (
        "fetch(",
        "XMLHttpRequest",
        "WebSocket",
        "sendBeacon",
        "@import",
        "import(",
    ):
        assert word not in page
    assert not re.search(r"url\((?!#)", page)
    tags = read(page).tags
    assert not [tag for tag, attrs in tags if "src" in attrs]
    assert [attrs["href"] for tag, attrs in tags if tag == "link"] == ["data:,"]
    links = [attrs["href"] for tag, attrs in tags if tag == "a"]
    assert links
    assert all(link.startswith("#") for link in links)
    policy = next(attrs["content"] for tag, attrs in tags if tag == "meta" and "content" in attrs)
    assert policy.startswith("default-src 'none'")


def test_every_link_of_the_page_leads_somewhere(apron):
    tags = read(page_of(apron)).tags
    ids = [attrs["id"] for _, attrs in tags if "id" in attrs]

    assert len(ids) == len(set(ids))
    for tag, attrs in tags:
        if tag == "a":
            assert attrs["href"][1:] in ids


def test_what_to_do_comes_before_the_plan_and_the_rest_is_linked_and_folded_up(apron):
    page = page_of(apron)
    contents = re.search(r'<nav aria-label="On this page">(.*?)</nav>', page, re.S)
    assert contents
    linked = re.findall(r'href="#([\w-]+)"', contents[1])
    made = re.findall(r'<section id="([\w-]+)"', page)

    assert 4 < len(linked) < 12  # as many as can be scanned
    assert ["answer", "suspects", "work", "rechecks", "plan", *linked] == made
    assert page.count("<details><summary><h2") == len(linked)


def test_a_job_of_sixty_shots_makes_a_page_far_below_two_megabytes(check_sample):
    result = check_sample("apron/job_costs.toml")
    assert len(result.survey.ids) == 60
    assert len(page_of(result).encode()) < 400_000


def test_text_of_files_can_not_become_markup(apron):
    nasty = '</script><script>alert(1)</script><img src=x onerror="alert(2)">{}$plan'
    void = replace(apron.slab.voids[0], name=nasty)
    part = replace(apron.slab.thickenings[0], name=nasty)
    survey = replace(apron.survey, ids=tuple(f"{nasty}{i}" for i in apron.survey.ids))
    slab = replace(apron.slab, side_names=(nasty,) * 4, voids=(void,), thickenings=(part,))
    hurt = replace(
        apron,
        title=nasty,
        slab=slab,
        survey=survey,
        cover=tuple(replace(cover, name=nasty) for cover in apron.cover),
        concrete=replace(apron.concrete, parts=((nasty, 1.0),)),
        notes=(Note("other", nasty.replace("{}", "")),),
    )
    page = page_of(hurt)
    clean = page_of(apron)

    assert page.lower().count("<script") == clean.lower().count("<script") == 2
    assert "<img" not in page
    tags = read(page).tags
    assert not [attrs for _, attrs in tags if any(name.startswith("on") for name in attrs)]
    assert plan_of(page)["names"] == [nasty] * 4
    assert nasty in read(page).text


def test_control_characters_of_a_title_are_left_out(apron):
    page = page_of(replace(apron, title="Apron\x00\u202e\r\nno. 3"))

    assert "<title>Apron no. 3: base check</title>" in page


def test_measures_are_held_together_and_fractions_marked():
    assert say("5 3/8 in from side 2") == (
        '5\u00a0<span class="frac">3/8</span>\u00a0in from side\u00a02'
    )
    assert say("33 x 12 ft") == "33\u00a0x\u00a012\u00a0ft"
    assert say("12 ft 4 in") == "12\u00a0ft\u00a04\u00a0in"
    assert say("<b>&") == "&lt;b&gt;&amp;"


def test_a_figure_below_nought_has_a_whole_minus():
    assert Marker({}).mark(Figure("-0.03 yd³")) == "\N{MINUS SIGN}0.03\u00a0yd³"
    assert Marker({}).mark(Figure("0.03 yd³")) == "0.03\u00a0yd³"


def test_a_cause_of_the_interval_is_never_told_as_nought(apron):
    result, interval = with_interval(apron, 1.0)
    tiny = replace(result, interval=replace(interval, shots=1e-5, datum=0.0))
    text = " ".join(read(page_of(tiny)).text.split())

    assert re.search(r"Single shots ?less than 0.01 yd³", text)
    assert re.search(r"Instrument height and rod foot ?0.00 yd³", text)


def test_a_copied_cell_is_never_a_formula():
    table = Table("list", ["a"], [["x"]], [["shot"], ["=1+1"], ["two\tcells"]])
    copied = next(attrs["data-copy"] for tag, attrs in read(table.markup()).tags if tag == "table")

    assert copied.split("\n") == ["shot", "'=1+1", "two cells"]


def test_the_work_list_is_copied_with_all_it_tells(apron):
    tags = read(page_of(apron)).tags
    tables = [attrs for tag, attrs in tags if tag == "table" and "work" in attrs["class"]]
    rows = [row.split("\t") for row in tables[-1]["data-copy"].split("\n")]

    assert rows[0][:4] == ["rank", "kind", "do", "cut_or_fill"]
    assert len(rows) == 1 + len(apron.work.fixes) > 3
    assert {len(row) for row in rows} == {len(rows[0])}


def decode(text, kind):
    return np.frombuffer(b64decode(text), kind)


def unpack_pieces(packed):
    nodes = decode(packed["nodes"], "<i4").reshape(-1, 4) * [PLAN, PLAN, LEVEL, LEVEL]
    faces = decode(packed["faces"], "<u4" if packed["wide"] else "<u2").reshape(-1, 3)
    return nodes[faces]


def test_a_small_field_is_packed_as_it_is(apron):
    packed = pack_field(apron.field)
    pieces = unpack_pieces(packed)

    assert packed["kind"] == "exact"
    assert_allclose(pieces[..., :2], apron.field.corners, atol=0.51 * PLAN)
    assert_allclose(pieces[..., 2], apron.field.thickness, atol=0.51 * LEVEL)
    assert_allclose(pieces[..., 3], apron.field.base, atol=0.51 * LEVEL)
    flags = decode(packed["flags"], "u1")
    assert_allclose(flags & 1, apron.field.is_surveyed)
    assert 0 < (flags & 1).sum() < len(flags)


def test_an_eighth_of_an_inch_is_a_whole_number_of_what_is_packed():
    assert METRES["in"] / 8 / LEVEL == pytest.approx(3175, abs=1e-9)


def cells_of(packed, name):
    grid = decode(packed[name]["values"], "<i2").reshape(packed["rows"], packed["columns"])
    return grid > -32768, packed[name]["least"] + packed[name]["unit"] * grid


def test_a_large_field_becomes_a_grid_of_the_surface_itself(make_result):
    # a plane, whose thickness is known everywhere
    rng = np.random.default_rng(3)
    corners = np.array([[0, 0], [30, 0], [30, 20], [0, 20.0]])
    plan = np.concatenate([rng.uniform(0, [30, 20], (400, 2)), corners])
    shots = np.column_stack([plan, 100 - 0.002 * plan[:, 0] + 0.001 * plan[:, 1]])
    edge = np.array([[2.0, 2], [28, 2], [28, 18], [2, 18]])
    opening = np.array([[10.0, 8], [14, 8], [14, 12], [10, 12]])
    result = make_result(shots, edge, 100.15, openings=(opening,), ids=False)
    packed = pack_field(result.field, most=100)

    assert packed["kind"] == "grid"
    assert 150_000 < packed["rows"] * packed["columns"] < 210_000
    is_slab, thickness = cells_of(packed, "thickness")
    row, column = np.nonzero(is_slab)
    east = packed["west"] + (column + 0.5) * packed["cell"]
    north = packed["south"] + (row + 0.5) * packed["cell"]
    expected = 0.15 + 0.002 * east - 0.001 * north
    assert_allclose(thickness[is_slab], expected, atol=0.51 * packed["thickness"]["unit"])
    assert packed["thickness"]["unit"] == 1e-4
    assert is_slab.sum() * packed["cell"] ** 2 == pytest.approx(result.slab.area, rel=2e-3)
    _, base = cells_of(packed, "base")
    assert_allclose((thickness + base)[is_slab], 100.15 - result.survey.origin[2], atol=1.1e-4)


def test_a_page_is_bounded_whatever_the_field(make_result, monkeypatch):
    rng = np.random.default_rng(5)
    plan = rng.uniform(0, 20, (6000, 2))
    shots = np.column_stack([plan, 100 + 0.01 * rng.standard_normal(6000)])
    edge = np.array([[0.5, 0.5], [19.5, 0.5], [19.5, 19.5], [0.5, 19.5]])
    noisy = {"base_high": 0.004, "base_low": 0.004, "least_thickness": 0.148}
    result = make_result(shots, edge, 100.15, ids=False, **noisy)
    monkeypatch.setattr(plan_data, "pack_field", partial(pack_field, most=1000))
    monkeypatch.setattr(spots, "MOST_CORNERS", 1000)
    page = page_of(result)

    plan = plan_of(page)
    assert plan["field"]["kind"] == "grid"
    assert plan["shots"] is None
    assert len(page) < 2_000_000
    outlines = [spot["rings"] for spot in plan["spots"]] + plan["thin"]
    drawn = sum(len(ring) for rings in outlines for ring in rings)
    assert 0 < drawn <= 1000
    held = [*result.work.fixes, *result.thin.listed]
    assert sum(len(ring) for one in held for ring in one.rings) > 2000
    fixes = [fix for fix in result.work.fixes if fix.rings]
    assert sum(bool(spot["rings"]) for spot in plan["spots"]) == len(fixes)  # none is lost
    assert "at the middle of the nearest square" in read(page).text


def test_a_page_of_sixty_shots_is_small(apron):
    page = page_of(apron)

    assert len(apron.survey.points) >= 55
    assert len(page.encode()) < 500_000
    assert "A touch reads the very surface" in read(page).text


def test_shots_carry_what_their_base_lacks(apron):
    shots = plan_of(page_of(apron))["shots"]
    moves = decode(shots["moves"], "<i4") * LEVEL
    index = [apron.survey.ids.index(name) for name in shots["names"]]
    design = 100 * METRES["ft"] - apron.slab.thickness - apron.survey.origin[2]

    assert len(index) == len(apron.survey.ids)
    assert_allclose(moves, apron.survey.points[index, 2] - design, atol=LEVEL)
    assert shots["suspects"].count(True) == len(apron.suspects) > 0


def grey(colour):
    return sum(int(colour[k : k + 2], 16) * w for k, w in ((1, 0.2126), (3, 0.7152), (5, 0.0722)))


def test_cut_and_fill_darken_with_their_size_and_differ_in_hue(apron):
    moves = plan_of(page_of(apron))["moves"]
    greys = [grey(colour) for colour in moves["colours"]]
    on_grade = greys.index(max(greys))

    assert 0 < on_grade < len(greys) - 1
    assert [label[0] for label in moves["labels"]] == ["C"] * on_grade + ["F"] * (
        len(greys) - on_grade - 1
    )
    assert greys[: on_grade + 1] == sorted(greys[: on_grade + 1])
    assert greys[on_grade:] == sorted(greys[on_grade:], reverse=True)
    cut, fill = moves["colours"][0], moves["colours"][-1]
    assert int(cut[1:3], 16) > int(cut[5:7], 16)  # more red than blue
    assert int(fill[1:3], 16) < int(fill[5:7], 16)


def test_no_thin_spot_seen_is_not_told_as_none(apron):
    clean = replace(
        apron,
        thin=Spots(0.0, ()),
        work=replace(apron.work, fixes=(), hauls=()),
        outcome=Outcome(),
        suspects=(),
        coverage=1.0,
    )
    text = " ".join(read(page_of(clean)).text.split())

    assert "none seen" in text
    assert "A hump narrower than 11 ft could be missed" in text
    assert "Look between the shots as well" in text
    assert "no thin" not in text.lower()


def test_a_thin_spot_too_small_for_the_digits_is_not_told_as_nought(apron):
    small = replace(apron, thin=replace(apron.thin, area=1e-3))
    text = " ".join(read(page_of(small)).text.split())

    assert re.search(r"Thin ?less than 1 ft² ?under", text)


def test_a_limit_that_the_job_does_not_state_is_told_in_words(apron):
    open_ended = replace(apron, slab=replace(apron.slab, base_high=None, base_low=None))
    text = " ".join(read(page_of(open_ended)).text.split())

    assert (
        "gives no tolerance (slab.base_high, slab.base_low): high and low spots were not looked"
        in text
    )


@pytest.mark.usefixtures("unsimulated")
def test_an_order_is_told_and_its_words_can_be_copied(tmp_path):
    sample = Path(__file__).parents[2] / "sample_surveys" / "apron"
    shots = (sample / "shots.csv").as_posix()
    job = (sample / "job.toml").read_text(encoding="utf-8").replace("shots.csv", shots)
    (tmp_path / "job.toml").write_text(f"{job}\n[order]\nwaste = 0.03\nrisk = 0.1\ntruck = 10\n")
    result = check_job(read_job(tmp_path / "job.toml"))
    answer = compose_answer(result)
    page, order = read(compose_page(answer)), answer.plain()["order"]
    copied = [attrs["data-copy"] for tag, attrs in page.tags if tag == "p" and "data-copy" in attrs]

    assert copied == [order["slip"]]
    text = " ".join(page.text.split())
    (topic,) = answer.pick("order")
    said = topic.find("order.volume")
    assert said is not None
    ordered, comes_of_it = halve(said.short, "; ")
    assert f"Order {ordered}{comes_of_it}" in text  # on a line each
    assert all(" ".join(said.split()) in text for said in order["rests_on"].values())
    told = {figure["data-key"] for figure in page.figures}
    for choice in ("order", "order.runner_up"):
        for key in ("volume", "chance_short", "chance_unused", "expected_left_over"):
            assert f"{choice}.{key}" in told
    assert "not what to order: see the order" in text


def test_pours_stand_each_with_what_it_needs():
    def tell(key, name, cells=()):
        said = Statement(f"{key}.one", Weight.TELLS, "slab", Figure("1 m³"), cells=cells)
        return Topic(key, key.title(), "", (said,), ("part", "volume_m3") if cells else (), name)

    topics = [tell("order", "west"), tell("order", "east")]
    topics += [tell("need", name, ("slab", "1.00")) for name in ("west", "east")]
    heads = re.findall(r"<h(\d)[^>]*>(\w+)</h", compose_sections(topics, Marker({})))

    assert heads == [
        ("2", "Order"), ("3", "west"), ("4", "Need"), ("3", "east"), ("4", "Need"),
    ]  # fmt: skip


def test_a_topic_that_no_section_is_made_for_is_told_last(apron):
    answer = compose_answer(apron)
    new = Topic("new", "Something new", "", (Statement("new.1", short=words("It is told")),))
    page = compose_sections((new, *answer.topics), Marker(answer.plain()))

    last = page.rpartition("<section")[2]
    assert 'id="new"' in last
    assert "It is told." in last


def test_the_total_of_a_table_that_adds_up_is_its_last_row(apron):
    page = page_of(apron)
    sums = re.findall(r'<table class="sums".*?</table>', page, re.S)

    assert sums
    assert all("Concrete in place" in table.rpartition("<tr")[2] for table in sums)


def test_the_page_is_written_as_it_is_composed(apron, tmp_path):
    answer = compose_answer(apron)
    write_page(tmp_path / "report.html", answer)

    assert (tmp_path / "report.html").read_text(encoding="utf-8") == compose_page(answer)
