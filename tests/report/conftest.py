"""A browser without a screen, and pages of invented jobs to open in it."""

import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import sync_playwright

from gradevol.answer.compose import Answer, compose_answer
from gradevol.answer.result import Result
from gradevol.out.json import compose_json
from gradevol.out.pages.page import compose_page
from gradevol.out.pictures.plan import draw_plan
from gradevol.out.whole import write_text

pytest.register_assert_rewrite("tests.report.reading")

PHONE = {"viewport": {"width": 390, "height": 844}, "device_scale_factor": 2, "has_touch": True}
DESKTOP = {"viewport": {"width": 1280, "height": 900}}
_BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser")
SIZES = pytest.mark.parametrize("size", [PHONE, DESKTOP], ids=["phone", "desktop"])
_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-extensions",
    "--disable-features=Translate,OptimizationHints,MediaRouter",
    "--in-process-gpu",
    "--font-render-hinting=slight",  # where letters stand does not hang on the machine
    "--js-flags=--no-opt --single-threaded",  # compiling anew for each load takes a fifth of it
]


@dataclass(frozen=True)
class Report:
    """A result, what is told of it, its plain data, and the folder of its page and JSON."""

    result: Result
    answer: Answer
    view: dict[str, Any]
    folder: Path

    @property
    def url(self) -> str:
        return (self.folder / "report.html").as_uri()


def write_report(result: Result, folder: Path, *, has_picture: bool = False) -> Report:
    answer = compose_answer(result)
    view = answer.plain()
    picture = folder / "plan.png" if has_picture else None
    if picture:
        draw_plan(answer.drawing, picture)
    write_text(folder / "report.html", compose_page(answer, picture=picture))
    write_text(folder / "result.json", compose_json(view))
    return Report(result, answer, view, folder)


@pytest.fixture(scope="session")
def browser():
    """Return Debian's chromium, driven by Playwright: the one without windows, which is quicker."""
    found = next(filter(None, map(shutil.which, _BROWSERS)), None)
    if found is None:
        pytest.skip("chromium is not installed: apt-get install chromium")
    # its node wants a library that a bare Debian lacks, and then says only that it is closed
    asked = [sys.executable, "-m", "playwright", "--version"]
    if subprocess.run(asked, check=False, capture_output=True).returncode:
        pytest.skip("Playwright does not start: apt-get install libatomic1")
    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=found, args=_FLAGS)
        yield opened
        opened.close()


class Screens:
    """Pages kept open, one for each kind of screen; what goes wrong in them is noted."""

    def __init__(self, browser: Any) -> None:
        self.browser = browser
        self.pages: dict[str, Any] = {}
        self.wrong: list[str] = []
        self.allowed = {"data:,"}

    def open(self, options: dict[str, Any]) -> Any:
        """Open a page, or find the one with the same options, whatever its size and colours."""
        kind = repr(sorted(options.items()))
        if kind not in self.pages:
            page = self.pages[kind] = self.browser.new_context(**options).new_page()
            page.on("console", lambda message: self.wrong.append(f"console: {message.text}"))
            page.on("pageerror", lambda error: self.wrong.append(f"error: {error}"))
            page.on("dialog", lambda dialog: self.wrong.append(f"dialog: {dialog.message}"))
            page.on("request", lambda request: self.note(request.url))
        return self.pages[kind]

    def note(self, url: str) -> None:
        """Note a request that leaves the page."""
        if url not in self.allowed:
            self.wrong.append(f"request: {url}")


@pytest.fixture(scope="session")
def screens(browser) -> Iterator[Screens]:
    """Pages that serve the tests one after the other."""
    held = Screens(browser)
    yield held
    for page in held.pages.values():
        page.context.close()


@pytest.fixture
def show(screens) -> Iterator[Callable[..., Any]]:
    """Load a report; the test fails on a console message, an error, or a request that leaves it."""
    screens.wrong.clear()
    used: list[Any] = []

    def run(report: Report, *, color_scheme: str = "light", **options: Any) -> Any:
        size = options.pop("viewport", DESKTOP["viewport"])
        page = screens.open(options)
        screens.allowed.add(report.url)
        if page.viewport_size != size:
            page.goto("about:blank")  # what is there would be drawn again
            page.set_viewport_size(size)
        page.emulate_media(media="screen", color_scheme=color_scheme, reduced_motion="reduce")
        page.bring_to_front()  # a page that has not the focus may not copy
        page.goto(report.url)
        used.append(page)
        return page

    yield run
    for page in used:
        # what was said before this has been heard by now; what was typed goes to no other test
        page.evaluate("try { localStorage.clear(); } catch { /* refused */ }")
    assert screens.wrong == []


@pytest.fixture(scope="session")
def apron(check_sample, tmp_path_factory) -> Report:
    """Return the apron of the samples: feet, a suspect shot, thickenings, a conduit."""
    folder = tmp_path_factory.mktemp("apron")
    return write_report(check_sample("apron/job.toml"), folder, has_picture=True)


@pytest.fixture(scope="session")
def drive(check_sample, tmp_path_factory) -> Report:
    """Return the drive of the samples: feet, curves and a rounded corner."""
    return write_report(check_sample("drive/job.toml"), tmp_path_factory.mktemp("drive"))


@pytest.fixture(scope="session")
def courtyard(check_sample, tmp_path_factory) -> Report:
    """Return the courtyard of the samples: metres, turned, a national grid, an opening."""
    return write_report(check_sample("courtyard/job.toml"), tmp_path_factory.mktemp("courtyard"))
