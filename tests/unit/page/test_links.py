"""The page stands alone, in its order, and no text of a file becomes markup."""

import re
from dataclasses import replace

from gradevol.answer.statement import Figure
from gradevol.ground.notes import Note
from gradevol.out.pages.markup import Marker, Table, say
from tests.unit.page.conftest import page_of, plan_of, read, with_interval

SVG = "http://www.w3.org/2000/svg"


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
