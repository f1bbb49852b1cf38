"""The whole page in a browser: what it tells is the result, on a screen, on paper, by keys."""

import json
import re
from dataclasses import replace
from typing import Any

import pytest
from playwright.sync_api import expect

from .conftest import DESKTOP, PHONE, SIZES, write_report
from .reading import find_barriers, unfold, words

pytestmark = pytest.mark.browser


@SIZES
def test_the_page_tells_the_figures_of_the_json_and_cuts_no_mark_off(apron, show, size):
    page = show(apron, **size)
    assert words(page, ".big") == "72.7 yd³ of concrete"
    assert page.locator("#map canvas").bounding_box()["width"] > 300
    page.click("[data-mode=shots]")
    marks = page.evaluate("""() => {
      const sides = document.querySelector("#map").getBoundingClientRect();
      return [...document.querySelectorAll("#map svg text")]
        .filter((mark) => /^([CF] |G)/.test(mark.textContent))
        .map((mark) => [mark.textContent, mark.getBoundingClientRect()])
        .map(([text, at]) => [text, at.left - sides.left, sides.right - at.right]);
    }""")
    assert len(marks) > 20
    assert [mark for mark in marks if min(mark[1:]) < 0] == []
    unfold(page)
    told = json.loads((apron.folder / "result.json").read_text(encoding="utf-8"))
    figures = page.eval_on_selector_all(
        "data", "all => all.map((one) => [one.dataset.key, one.value, one.innerText])"
    )
    assert len(figures) > 60
    for key, value, text in figures:
        number: Any = told
        for part in key.split("."):
            number = number[int(part)] if isinstance(number, list) else number[part]
        assert float(value) == number
        assert text.strip()


@SIZES
def test_tables_are_copied_for_a_spreadsheet(apron, show, size):
    page = show(apron, **size, permissions=["clipboard-read", "clipboard-write"])
    page.locator("#work .copy").click()
    expect(page.locator("#work .copy")).to_contain_text("Copied")
    copied = page.evaluate("navigator.clipboard.readText()")
    rows = [row.split("\t") for row in copied.replace("\r", "").split("\n")]

    assert rows[0][0] == "rank"
    assert [row[0] for row in rows[1:]] == [str(fix.rank) for fix in apron.result.work.fixes]


def background(page):
    colour = page.evaluate("getComputedStyle(document.body).backgroundColor")
    return sum(map(int, re.findall(r"\d+", colour)[:3]))


@pytest.fixture(scope="module")
def priced(check_sample, tmp_path_factory):
    """The apron with an order and costs."""
    return write_report(check_sample("apron/job_costs.toml"), tmp_path_factory.mktemp("priced"))


@SIZES
def test_buttons_that_copy_keep_off_the_headings(priced, show, size):
    page = show(priced, **size)
    unfold(page)
    count, over = page.evaluate("""() => {
      const boxes = (what) => [...document.querySelectorAll(what)].map((one) => {
        const range = document.createRange();
        range.selectNodeContents(one);
        return [one.textContent, range.getBoundingClientRect()];
      });
      const heads = boxes("thead th").filter(([, at]) => at.height > 1);
      const all = [...document.querySelectorAll(".copy")];
      const buttons = all.map((one) => one.getBoundingClientRect());
      const isOver = (at) => buttons.some((one) =>
        Math.min(one.right, at.right) - Math.max(one.left, at.left) > -3 &&
        Math.min(one.bottom, at.bottom) - Math.max(one.top, at.top) > -3);
      return [heads.length, heads.filter(([, at]) => isOver(at)).map(([text]) => text)];
    }""")
    assert count > 5
    assert over == []


def test_dark_and_light_follow_the_reader_and_can_be_turned(apron, show):
    for scheme in ("light", "dark"):
        page = show(apron, color_scheme=scheme)
        for is_dark in (scheme == "dark", scheme == "light"):
            assert background(page) < 150 if is_dark else background(page) > 600
            page.locator("#theme").click()


def test_paper_gets_no_buttons_and_no_darkness(apron, show):
    page = show(apron, color_scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")

    assert background(page) == 3 * 255
    for button in ("#theme", ".switch", ".copy", ".zoom", "#kind", ".tick", "input.read"):
        assert not page.locator(button).first.is_visible()
    assert page.locator("#still").bounding_box()["height"] > 800
    assert not page.locator("#map").is_visible()  # the size of this screen is not the paper's
    assert len(page.pdf(format="A4")) > 10_000


def test_without_scripts_all_figures_are_there(apron, show):
    page = show(apron, java_script_enabled=False)

    assert words(page, ".big") == "72.7 yd³ of concrete"
    assert "needs scripts" in words(page, "noscript")
    assert page.locator("#still").bounding_box()["width"] > 600
    assert page.locator("#still").evaluate("still => still.naturalWidth") > 900
    assert page.locator("#work tbody tr").count() == len(apron.result.work.fixes)
    assert not page.locator(".copy").first.is_visible()


@pytest.mark.parametrize(
    ("look", "faint"),
    [({**PHONE, "color_scheme": "dark"}, "moves"), (DESKTOP, "shots")],
    ids=["phone-dark", "desktop-light"],
)
def test_nothing_serious_is_found_for_those_who_see_or_move_otherwise(apron, show, look, faint):
    page = show(apron, **look)
    for mode in ("moves", "shots"):  # the pages of samples are tried as they open
        page.locator(f'button[data-mode="{mode}"]').click()
        assert find_barriers(page, "#plan", least=7, contrast=mode == faint) == [], mode


def test_every_control_can_be_reached_by_keys_and_shows_it(apron, show):
    page = show(apron)
    reached = []
    for _ in range(40):
        page.keyboard.press("Tab")
        reached.append(
            page.evaluate(
                """() => {
                  const at = document.activeElement;
                  const style = getComputedStyle(at);
                  return [at.id || at.dataset.mode || at.dataset.spot || at.className,
                          style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2];
                }"""
            )
        )
    names = [name for name, _ in reached]

    assert {"map", "theme", "thickness", "moves", "shots", "1", "2", "copy"} <= set(names)
    assert all(is_seen for name, is_seen in reached if name)


def test_a_title_of_markup_is_shown_and_not_run(apron, tmp_path, show):
    title = "</script><script>alert(1)</script><img src=x onerror=alert(2)>"
    page = show(write_report(replace(apron.result, title=title), tmp_path))

    assert words(page, "h1") == title
    assert words(page, "#thick")  # the plan runs
