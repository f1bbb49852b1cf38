"""What the page for the day of the pour keeps: over a reload, in two tabs, in its tickets file."""

import pytest

from tests.report.pour_page.conftest import PHONE, text_of, type_load

pytestmark = pytest.mark.browser

#: Fills what the browser keeps for a page to the last character.
FILL = """() => {
  let [text, at] = ["x".repeat(1 << 20), 0];
  for (; text; text = text.slice(text.length / 2 + 0.5)) {
    try { for (;;) { localStorage.setItem(`filled ${at}`, text); at += 1; } } catch { /* full */ }
  }
}"""


@pytest.fixture
def open_at(days, browser):
    """Open the apron's page in a browser whose clock stands."""
    context = browser.new_context(viewport=PHONE)

    def run(clock):
        page = context.new_page()
        page.clock.set_fixed_time(f"2026-05-12T{clock:0>5}:00")
        page.goto(days["apron"].url)
        return page

    yield run
    context.close()


def loads_of(page):
    return page.locator("#loads li").count()


def type_out(page, out, *fields):
    """Type a load with its time, and press the key for it."""
    page.evaluate("document.getElementById('more').open = true")
    page.fill("#out", out)
    type_load(page, *fields)


def test_loads_that_fit_no_more_are_not_dropped_in_silence(open_page):
    page = open_page("apron")
    type_load(page, "10", "71", "70")
    page.evaluate("""() => {
      const key = Object.keys(localStorage).find((name) => localStorage[name].includes('"71"'));
      localStorage[key] = localStorage[key].replace('"71"', '"7.1.1"');
    }""")
    page.reload()
    assert page.locator("#loads li").count() == 0
    assert "do not fit this page" in text_of(page, "#told")
    assert page.evaluate("Object.values(localStorage).some((kept) => kept.includes('7.1.1'))")


def test_a_browser_that_keeps_nothing_says_so(days, browser):
    context = browser.new_context()
    context.add_init_script(
        "Object.defineProperty(window, 'localStorage', { get() { throw new Error('refused'); } })"
    )
    page = context.new_page()
    page.goto(days["apron"].url)
    assert "This browser keeps no entries" in text_of(page, "#kept")
    type_load(page, "10", "71", "70")
    assert page.locator("#loads li").count() == 1
    context.close()


def test_loads_that_fit_no_more_stay_where_there_is_no_room_to_lay_them_aside(open_page):
    page = open_page("apron")
    type_load(page, "10", "71", "70")
    page.evaluate("""() => {
      const [key] = Object.keys(localStorage);
      localStorage[key] = localStorage[key].replace('"71"', '"7.1.1"');
    }""")
    page.evaluate(FILL)
    page.reload()
    assert "do not fit this page" in text_of(page, "#told")
    assert "7.1.1" in page.evaluate(
        "localStorage[Object.keys(localStorage).find((k) => k.startsWith('gradevol'))]"
    )


def test_a_browser_without_room_says_so_until_it_has_some(open_page):
    page = open_page("apron")
    page.evaluate(FILL)
    type_load(page, "10", "71", "70")
    assert "or has no room for them" in text_of(page, "#kept")
    assert loads_of(page) == 1
    page.evaluate("localStorage.clear()")  # as a hand clears it, under an open page
    type_load(page, "10", "60", "60")
    assert "are kept in this browser" in text_of(page, "#kept")
    page.reload()
    assert loads_of(page) == 2


def test_a_load_that_is_being_typed_outlives_a_reload_and_no_more(open_page):
    page = open_page("apron")
    page.fill("#volume", "9.5")
    page.fill("#tape-1", "70' 6")
    page.reload()
    assert (page.input_value("#volume"), page.input_value("#tape-1")) == ("9.5", "70' 6")
    assert loads_of(page) == 0
    page.click("#save")
    assert loads_of(page) == 1
    page.click("#loads li button")  # a load that is changed is not the next one
    page.reload()
    assert (page.input_value("#volume"), page.input_value("#tape-1")) == ("", "")
    assert text_of(page, "#load") == "Load 2"


def test_two_tabs_hold_the_same_pour(days, browser):
    context = browser.new_context(viewport=PHONE)
    one, other = context.new_page(), context.new_page()
    for page in (one, other):
        page.goto(days["apron"].url)
    # as a phone does with the tab behind: it is told of nothing
    other.evaluate(
        "window.addEventListener('storage', (event) => event.stopImmediatePropagation(), true)"
    )
    type_load(one, "10", "71", "70")
    type_load(other, "9", "60", "60")
    if loads_of(other) == 1:  # nothing is lost: the load that is typed is asked for again
        assert "Another tab of this page has changed the loads" in text_of(other, "#fault")
        assert other.input_value("#volume") == "9"
        other.click("#save")
    assert loads_of(other) == 2
    one.wait_for_selector("#loads li >> nth=1")
    assert text_of(one, "#still") == text_of(other, "#still")
    context.close()


def test_what_was_called_is_on_its_way_here_and_in_the_file(days, open_page, tmp_path):
    page = open_page("apron")
    advised = text_of(page, "#calls b >> nth=0")
    page.click("#keys button >> nth=0")  # a load that is being typed
    page.click("#call")
    assert f"{page.input_value('#called')} yd³" == advised
    page.click("#save")
    assert text_of(page, "#calls").startswith("Call nothing more")
    assert page.input_value("#volume") == "7"
    page.reload()
    assert text_of(page, "#calls").startswith("Call nothing more")
    assert "Called 7 yd³" in text_of(page, "#loads li")
    assert text_of(page, "#load") == "Load 1"

    with page.expect_download() as held:
        page.click("#download")
    file = tmp_path / held.value.suggested_filename
    held.value.save_as(file)
    told = days["apron"].tell(file.read_text())
    assert told["now"][1] == text_of(page, "#calls")
    page.click("#clear")
    page.set_input_files("#read", file)
    page.wait_for_selector("#loads li")
    assert told["now"][1] == text_of(page, "#calls")

    page.click("#loads li button")
    page.locator("#keys button", has_text="Delete").click()
    page.click("#save")
    assert "Type what was called" in text_of(page, "#fault")
    type_load(page, "2")
    assert "Called 2 yd³" in text_of(page, "#loads li")
    assert text_of(page, "#calls").startswith("Call 5 yd³")
    page.click("#loads li button")
    page.click("#drop")
    assert text_of(page, "#calls b >> nth=0") == advised


def test_a_load_for_a_small_pour_alone_is_given_out_as_it_was_read_in(open_page, tmp_path):
    page = open_page("apron")
    file = tmp_path / "tickets.csv"
    file.write_text("load,volume_yd3,went_to\n1,5,equipment pad\n2,5,slab + equipment pad\n")
    page.set_input_files("#read", file)
    page.wait_for_selector("#loads li")
    assert "Load 1 went to equipment pad alone" in text_of(page, "#doubts")
    with page.expect_download() as held:
        page.click("#download")
    held.value.save_as(file)
    _, *rows = file.read_text().splitlines()
    assert [row.split(",")[-3] for row in rows] == ["equipment pad", "slab + equipment pad"]


@pytest.mark.parametrize("typed", ["745", "0745", "7.45am", "7:45 A.M.", "7h45"])
def test_a_time_is_given_out_as_the_program_reads_it(days, open_at, typed):
    page = open_at("8:00")
    type_out(page, typed, "10", "71", "70")
    text = page.evaluate("""async () => {
      const held = new Promise((done) => {
        URL.createObjectURL = (file) => { done(file); return "#"; };
      });
      document.getElementById("download").click();
      return (await held).text();
    }""")
    assert ",7:45," in text
    assert "Out at 7:45" in str(days["apron"].tell(text)["rests"])


def test_a_time_that_is_still_to_come_is_asked_about_once(open_at):
    page = open_at("7:50")
    type_out(page, "17:46", "10", "71", "70")
    assert "17:46 is still to come: it is 7:50 by the clock here" in text_of(page, "#fault")
    assert loads_of(page) == 0
    page.click("#save")
    assert loads_of(page) == 1
    assert "Load 1 was out 10.8 h after the job's start by its times" in text_of(page, "#doubts")


def test_a_time_that_would_be_of_the_next_day_is_asked_about_once(open_at):
    page = open_at("18:00")
    type_out(page, "14:00", "10", "71", "70")
    page.click("#save")  # long after the job's start, asked about as well
    type_out(page, "7:50", "10", "60", "60")
    assert text_of(page, "#fault") == (
        "Load 2 was out 17.8 h after load 1 by its times, taken to be of the next day: is one "
        "misread? By when to call rests on them. Press again if it is right."
    )
    assert loads_of(page) == 1
    page.click("#save")
    assert loads_of(page) == 2
    assert "taken to be of the next day" in text_of(page, "#doubts")


def test_loads_typed_in_the_wrong_order_stand_in_that_of_their_times(open_at):
    page = open_at("18:00")
    rows = (("7:27", "71"), ("8:06", "49"), ("7:46", "60.5"))
    for out, front in rows:
        type_out(page, out, "10", front, front)
    assert "By its time that is load 2" in text_of(page, "#fault")
    assert [text_of(page, f"#loads li >> nth={at}")[:1] for at in range(3)] == ["1", "2", "3"]
    assert "60.5" in text_of(page, "#loads li >> nth=1")
    assert text_of(page, "#alerts") == ""
    page.click("#loads li >> nth=1 >> button")  # its time was wrong
    page.click("#more summary")
    page.fill("#out", "8:27")
    page.click("#save")
    assert "60.5" in text_of(page, "#loads li >> nth=2")
