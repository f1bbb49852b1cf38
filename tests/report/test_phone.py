"""The page in the hand: thumbs, sun, large letters, forced colours."""

import pytest

from .conftest import PHONE
from .reading import find_faint, unfold, words

pytestmark = pytest.mark.browser

WIDTHS = (320, 360, 390)
#: What a thumb is too wide for: all that is pressed, but for what lies on the plan.
TOO_SMALL = """() => [...document.querySelectorAll("a, button, input, select, summary, .tick")]
  .filter((one) => one.checkVisibility() && !one.closest("#map") && !one.matches(".skip, .tick *"))
  .map((one) => [one.outerHTML.slice(0, 80), one.getBoundingClientRect()])
  .filter(([, at]) => Math.min(at.width, at.height) < 43.9)
  .map(([text, at]) => `${text} ${at.width} x ${at.height}`)"""


def wide(page):
    return page.evaluate("document.documentElement.scrollWidth")


def test_a_page_fits_every_phone_and_can_be_touched_and_read_in_the_sun(apron, show):
    page = show(apron, **PHONE)
    unfold(page)
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 700})
        assert wide(page) == width
        assert page.evaluate(TOO_SMALL) == [], width
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert find_faint(page) == [], scheme
    page.evaluate("document.documentElement.style.fontSize = '150%'")
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 700})
        page.evaluate("new Promise((done) => requestAnimationFrame(() => setTimeout(done)))")
        assert wide(page) == width, "150 %"
        assert page.evaluate(TOO_SMALL) == [], width
    page.set_viewport_size({"width": 320, "height": 700})
    for button in ("thickness", "moves", "shots", "plain"):
        page.locator(f'button[data-mode="{button}"]').click(timeout=2000)  # nothing lies over it
    page.locator('button[data-zoom="in"]').click(timeout=2000)
    page.locator("#theme").click(timeout=2000)


def test_on_a_phone_what_to_do_comes_first_then_the_plan_and_the_rest_is_folded_up(apron, show):
    page = show(apron, **PHONE)
    order = [
        page.locator(part).first.bounding_box()["y"]
        for part in (".before", ".big", "#suspects", "#work", "#map", "#parts")
    ]

    assert order == sorted(order)
    assert not page.locator("#parts table").is_visible()
    page.locator("#parts summary").click()
    assert page.locator("#parts table").is_visible()


def test_the_name_of_a_suspect_shot_lies_over_nothing(apron, show):
    page = show(apron, **PHONE)
    for name in ("41", "55/35", "GRID-BASE-NORTHEAST-1041", "N" * 40):
        shot = page.locator("#suspects .rank.shot")
        shot.evaluate("(one, name) => (one.textContent = name)", name)
        badge, said = (
            page.locator(part).first.bounding_box()
            for part in ("#suspects .rank.shot", "#suspects td summary b")
        )
        assert badge["x"] + badge["width"] < said["x"], name
        assert said["width"] > 60, name
        assert wide(page) == page.viewport_size["width"], name


def test_a_tap_on_a_row_opens_it_and_the_plan_shows_its_place(apron, show):
    page = show(apron, **PHONE)
    field = page.locator("#spot-2 input.read").first
    assert not field.is_visible()
    page.locator("#spot-2 summary").first.tap()

    assert field.is_visible()
    assert page.locator("#spot-2 .tick").is_visible()
    assert words(page, "#spot-2 td:last-child").startswith("10 ft 0 in from side 2")
    assert words(page, "#about").startswith("Place 2")
    assert not page.locator("#spot-3 input.read").first.is_visible()
    page.locator("#suspects summary").tap()
    assert page.locator("#suspects input.read").is_visible()
    assert words(page, "#about") == "Here"
    page.locator("#spot-2 summary").first.tap()
    assert not field.is_visible()


def test_a_row_is_opened_and_filled_by_keys(apron, show):
    page = show(apron, **PHONE)
    page.locator("#spot-2 .rank").focus()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    page.keyboard.type("5.75")

    assert page.locator("#spot-2 .tick input").is_checked()
    assert page.locator("#spot-2 input.read").first.input_value() == "5.75"


def test_rows_stand_open_without_scripts_on_paper_and_at_a_desk(apron, show):
    where = "#spot-2 td:last-child"
    page = show(apron, **PHONE)
    assert not page.locator(where).is_visible()
    page.emulate_media(media="print")
    assert page.locator(where).is_visible()
    assert page.locator("#spot-2 small").first.is_visible()
    page.emulate_media(media="screen")
    page.set_viewport_size({"width": 1280, "height": 900})
    page.locator("#spot-2 small").first.wait_for(state="visible", timeout=2000)
    page.locator("#spot-2 summary").first.click()  # shows the place, and folds nothing
    assert words(page, "#about").startswith("Place 2")
    assert page.locator("#spot-2 small").first.is_visible()
    page = show(apron, **PHONE, java_script_enabled=False)
    for part in (where, "#spot-2 small", "#work .aside ul"):
        assert page.locator(part).first.is_visible(), part


def test_a_desk_shows_all_and_a_link_opens_what_is_folded_up(apron, show):
    assert show(apron).locator("#parts table").is_visible()
    page = show(apron, **PHONE)
    page.evaluate("location.hash = '#parts'")
    page.locator("#parts table").wait_for(state="visible", timeout=2000)


def test_the_view_that_is_chosen_is_seen_in_forced_colours(apron, show):
    page = show(apron, **PHONE)
    page.emulate_media(forced_colors="active")
    try:
        page.locator('button[data-mode="moves"]').click()
        colours = page.eval_on_selector_all(
            "[data-mode]",
            "all => all.map((x) => [x.dataset.mode, getComputedStyle(x).backgroundColor])",
        )
    finally:
        page.emulate_media(forced_colors="none")
    chosen = dict(colours).pop("moves")

    assert len(colours) == 4
    assert chosen not in [colour for mode, colour in colours if mode != "moves"]


def test_a_thumb_beside_a_number_means_it(apron, show):
    page = show(apron, **PHONE)
    page.locator("#map").scroll_into_view_if_needed()
    at = page.locator("#map g[data-spot='3'] circle").bounding_box()
    page.touchscreen.tap(at["x"] + at["width"] / 2 + 17, at["y"] + at["height"] / 2)

    assert words(page, "#about").startswith("Place 3")
