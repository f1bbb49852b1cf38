"""What sections of the page say of what was not seen, not stated, or ordered."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.answer.statement import Figure, Statement, Topic, Weight, words
from gradevol.job import read_job
from gradevol.measures.spots import Spots
from gradevol.out.pages.markup import Marker, halve
from gradevol.out.pages.page import compose_page
from gradevol.out.pages.sections import compose_sections
from gradevol.plan.fixes.outcome import Outcome
from gradevol.runs.check import check_job
from tests.unit.page.conftest import page_of, read


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
    sample = Path(__file__).parents[3] / "sample_surveys" / "apron"
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
