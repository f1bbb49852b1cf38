"""Figures and words of the page are those of the result."""

import re
from dataclasses import replace

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.answer.said.margin import say_ends, say_level_of, say_like_stated, say_spread
from gradevol.ground.units import Units
from gradevol.out.pages.page import compose_page
from gradevol.site.metadata import Credits
from tests.unit.page.conftest import page_of, read, with_interval


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


def test_the_interval_is_said_as_in_the_summary_and_on_the_sheet(apron):
    result, interval = with_interval(apron, 1.234)
    reader = read(page_of(result))
    text = " ".join(reader.text.replace("\u00a0", " ").split())

    ends = " to ".join(say_ends(interval, result.units))
    assert f"{say_level_of(interval)}: {ends}" in text
    told: dict[str, set[str]] = {}
    for figure in reader.figures:
        told.setdefault(figure["data-key"], set()).add(figure["text"].replace("\u00a0", " "))
    assert told["concrete.volume"] == {say_like_stated(interval.stated, interval, result.units)}
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
