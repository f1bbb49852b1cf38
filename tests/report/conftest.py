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
from gradevol.check import check_job
from gradevol.job import read_job
from gradevol.out.json import write_json
from gradevol.out.pages.page import write_page

SAMPLES = Path(__file__).parents[2] / "sample_surveys"
PHONE = {"viewport": {"width": 390, "height": 844}, "device_scale_factor": 2, "has_touch": True}
DESKTOP = {"viewport": {"width": 1280, "height": 900}}
_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
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


def write_report(job: Path, folder: Path) -> Report:
    result = check_job(read_job(job))
    answer = compose_answer(result)
    view = answer.plain()
    write_page(folder / "report.html", answer)
    write_json(folder / "result.json", view)
    return Report(result, answer, view, folder)


@pytest.fixture(scope="session")
def browser():
    """Return Debian's chromium, driven by Playwright."""
    found = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
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


@pytest.fixture(scope="session")
def apron(tmp_path_factory) -> Report:
    """Return the apron of the samples: feet, a suspect shot, thickenings, a conduit."""
    folder = tmp_path_factory.mktemp("apron")
    return write_report(SAMPLES / "apron" / "job.toml", folder)


@pytest.fixture(scope="session")
def courtyard(tmp_path_factory) -> Report:
    """Return the courtyard of the samples: metres, turned, a national grid, an opening."""
    folder = tmp_path_factory.mktemp("courtyard")
    return write_report(SAMPLES / "courtyard" / "job.toml", folder)


@pytest.fixture
def show(browser) -> Iterator[Callable[..., Any]]:
    """Open a page; the test fails on a console message, an error, or a request that leaves it."""
    contexts: list[Any] = []
    wrong: list[str] = []

    def note(url: str, report: Report) -> None:
        if url not in {report.url, "data:,"}:
            wrong.append(f"request: {url}")

    def run(report: Report, **options: Any) -> Any:
        context = browser.new_context(**{**DESKTOP, "reduced_motion": "reduce", **options})
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: wrong.append(f"console: {message.text}"))
        page.on("pageerror", lambda error: wrong.append(f"error: {error}"))
        page.on("dialog", lambda dialog: wrong.append(f"dialog: {dialog.message}"))
        page.on("request", lambda request: note(request.url, report))
        page.goto(report.url)
        return page

    yield run
    for context in contexts:
        context.close()
    assert wrong == []
