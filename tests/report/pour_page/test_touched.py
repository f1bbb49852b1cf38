"""The page for the day of the pour under a thumb: what is typed, asked, kept and seen."""

import re

import pytest
from playwright.sync_api import expect

from tests.report.pour_page.conftest import PHONE, READ, start_anew, text_of, type_load
from tests.report.reading import look_for_barriers

pytestmark = pytest.mark.browser

#: What a thumb in a glove may miss.
SMALL_TARGETS = """() =>
  [...document.querySelectorAll("button, input:not(.unseen), select, .button, summary")]
    .map((one) => [one.getBoundingClientRect(), one.id || one.textContent])
    .filter(([box]) => box.width && (box.height < 44 || box.width < 44))
    .map(([, name]) => name)"""


def test_loads_are_typed_by_its_keys_kept_changed_and_given_out(days, open_page, tmp_path):
    page = open_page("apron")
    for key in ("1", "0", "#next", "7", "1", "#next", "7", "0", "ft", "6", "#save"):
        is_key = not key.startswith("#")  # a thumb finds them, and nothing lies over them
        (page.locator("#keys button", has_text=key).first if is_key else page.locator(key)).click()
    type_load(page, "10", "60.5", "60")
    first = text_of(page, "#still")
    assert "Bulkhead 70' 6" in text_of(page, "#loads li >> nth=0")
    assert re.search(r"out \d+:\d\d", text_of(page, "#loads li >> nth=0"))

    page.click("#loads li >> nth=1 >> button")
    page.locator("#keys button", has_text="Delete").click()
    page.locator("#keys button", has_text="Delete").click()
    type_load(page, "9.5")
    assert "9.5 yd" in text_of(page, "#loads li >> nth=1")
    assert text_of(page, "#still") != first
    page.click("#undo")
    assert text_of(page, "#still") == first

    type_load(page, "10", "50", "50")
    page.click("#loads li >> nth=2 >> button")
    page.click("#drop")
    assert text_of(page, "#still") == first

    page.reload()
    assert text_of(page, "#still") == first
    with page.expect_download() as held:
        page.click("#download")
    file = tmp_path / held.value.suggested_filename
    held.value.save_as(file)
    assert file.name == "cider-house-loading-apron-tickets.csv"
    assert days["apron"].tell(file.read_text())["now"][0] == first
    page.click("#copy")
    expect(page.locator("#told")).to_have_text(re.compile("^The tickets are copied"))
    page.evaluate("""navigator.clipboard.writeText = () => Promise.reject();
      document.execCommand = () => false""")
    page.click("#copy")
    expect(page.locator("#told")).to_have_text(re.compile("^Could not copy"))
    page.click("#clear")
    assert page.locator("#loads li").count() == 0
    page.set_input_files("#read", file)
    page.wait_for_selector("#loads li")
    assert text_of(page, "#still") == first


def test_what_cannot_be_is_asked_about_and_not_counted(open_page):
    page = open_page("apron")
    for fields, said in (
        (("", "71"), "Type the volume"),
        (("100", "71"), "more than a truck holds"),
        (("10", "91", "70"), "West form: 91 is beyond its end, it is 80 ft 0 in long"),
        (("10", "7.1.1", "70"), "is no tape, such as 70.5"),
        (("10", "70'13", "70"), "is no tape"),
        (("9.5.1", "71", "70"), '"9.5.1" is no number of yd³'),
    ):
        type_load(page, *fields)
        assert said in text_of(page, "#fault")
        assert page.locator("#loads li").count() == 0
        start_anew(page)
    told = page.evaluate(READ, ["load,ticket_yd\n1,10\n", "", "load,volume_yd3\n1,ten\n"])
    assert "ticket_yd is no heading" in told[0]["told"]
    assert "tickets files that it gives out" in told[1]["told"]
    assert 'Load 1: "ten" is no number of yd³' in told[2]["told"]


def test_a_tape_beyond_the_part_that_is_poured_is_asked_about(open_page):
    page = open_page("west")
    type_load(page, "0.7", "12", "4")
    said = "12 is beyond what is poured, which ends there at 8 ft 0 in. Read the tape again."
    assert said in text_of(page, "#fault")
    assert page.locator("#loads li").count() == 0
    start_anew(page)
    type_load(page, "0.7", "8.1", "4")
    assert page.locator("#loads li").count() == 1
    page = open_page("east")
    type_load(page, "0.7", "4", "4")
    said = "4 is outside what is poured, which begins there at 8 ft 0 in."
    assert said in text_of(page, "#fault")


def test_a_ticket_that_another_load_has_is_asked_about(open_page):
    page = open_page("apron")
    for tapes in (("71", "70"), ("60", "60")):
        page.evaluate("document.getElementById('more').open = true")
        page.fill("#ticket", "501")
        type_load(page, "10", *tapes)
    assert "Ticket 501 is that of load 1" in text_of(page, "#fault")
    assert page.locator("#loads li").count() == 1
    page.click("#loads li >> nth=0 >> button")
    page.click("#save")  # the same load again
    assert text_of(page, "#fault") == ""


@pytest.mark.parametrize("name", ["apron", "halves"])
def test_it_is_made_for_a_thumb_and_the_sun(open_page, name):
    page = open_page(name)
    head = "load,ticket,volume_yd3,finished,done,went_to,returned_yd3\n1,,0.9,10:00,A1,,\n"
    page.evaluate(READ, [head])
    page.click("#more summary")
    for wide, large in ((320, 1), (360, 1), (390, 1), (390, 1.5), (320, 1.5)):
        page.set_viewport_size({"width": wide, "height": 844})
        page.evaluate(
            "(large) => { document.documentElement.style.fontSize = `${16 * large}px`; }", large
        )
        assert page.evaluate("document.documentElement.scrollWidth") <= wide, (wide, large)
        assert page.evaluate(SMALL_TARGETS) == [], (wide, large)
    page.evaluate("document.documentElement.style.fontSize = ''")
    page.set_viewport_size(PHONE)
    keys = page.locator("#keys button")
    assert min(keys.nth(at).bounding_box()["height"] for at in range(keys.count())) >= 48
    save = page.locator("#save").bounding_box()
    assert save["y"] + save["height"] <= PHONE["height"]  # without scrolling
    for scheme, forced in (("light", "none"), ("dark", "none"), ("light", "active")):
        page.emulate_media(color_scheme=scheme, forced_colors=forced)
        # of the other job the same colours are seen
        found = look_for_barriers(page, contrast=name == "apron")
        assert len(found["passes"]) > 15
        assert [one["id"] for one in found["violations"]] == []
    page.emulate_media(forced_colors="none")
