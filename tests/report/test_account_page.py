"""The page after a pour in chromium: it fits, is read in both colours, its tables are copied."""

from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import pytest
from playwright.sync_api import expect

from gradevol.answer.account import compose_account
from gradevol.answer.accounts import compose_accounts
from gradevol.answer.job_account import JobAccount, take_account
from gradevol.answer.said.learned import LEARNED, list_cells
from gradevol.files.learned import read_past
from gradevol.out.pages.account import compose_account_page
from gradevol.out.pages.accounts import compose_accounts_page
from gradevol.out.whole import write_text
from tests.after_pour import CORES, TOP_SHOTS, reconciled

from .conftest import DESKTOP, SIZES
from .reading import look_for_barriers

pytestmark = pytest.mark.browser


@dataclass(frozen=True)
class Account:
    """A page, as `show` takes one."""

    path: Path

    @property
    def url(self) -> str:
        return self.path.as_uri()


@pytest.fixture(scope="module")
def account(check_sample, tmp_path_factory):
    path = tmp_path_factory.mktemp("account") / "reconcile.html"
    done = reconciled(check_sample, top_shots=TOP_SHOTS, cores=CORES)
    own = read_past(LEARNED, [list_cells(done.learned)])
    before = {"title": "Shed floor with a long name", "factor": 1.031, "base_low_m": -0.0041}
    write_text(path, compose_account_page(compose_account(replace(done, past=(before, *own)))))
    return Account(path)


@pytest.fixture(scope="module")
def accounts(check_sample, tmp_path_factory):
    """The page of several jobs: one with its top shot, one without, one that failed."""
    path = tmp_path_factory.mktemp("accounts") / "reconcile_jobs.html"
    jobs = [
        take_account("north/job.toml", reconciled(check_sample, top_shots=TOP_SHOTS)),
        take_account("a_long_name_of_a_folder/job.toml", reconciled(check_sample)),
        JobAccount("broken/job.toml", problem="shots.csv: there is no such file"),
    ]
    write_text(path, compose_accounts_page(compose_accounts(jobs)))
    return Account(path)


@SIZES
def test_the_page_of_several_jobs_fits_and_is_read_in_both_colours(accounts, show, size):
    page = show(accounts, **size)
    assert page.evaluate("document.documentElement.scrollWidth") <= size["viewport"]["width"]
    assert_bars_nobody_in_both_colours(page, contrast=size is DESKTOP)


def assert_bars_nobody_in_both_colours(page, *, contrast=True):
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        found = look_for_barriers(page, contrast=contrast)
        assert len(found["passes"]) > 10
        assert found["violations"] == [], scheme


@SIZES
def test_no_word_of_the_account_is_torn_runs_off_or_stands_on_another(account, show, size):
    page = show(account, **size)
    assert page.evaluate("document.documentElement.scrollWidth") <= size["viewport"]["width"]
    torn, over = page.evaluate("""() => {
      const cells = [...document.querySelectorAll("table.account th, table.account td")]
        .filter((one) => one.textContent && one.getClientRects().length);
      const box = (one) => {
        const range = document.createRange();
        range.selectNodeContents(one);
        return [one.textContent, range.getBoundingClientRect(), one.getBoundingClientRect()];
      };
      const boxes = cells.map(box);
      const torn = boxes.filter(([, at, cell]) => at.right > cell.right + 1).map(([text]) => text);
      const over = [];
      for (let a = 0; a < boxes.length; a++) for (let b = a + 1; b < boxes.length; b++) {
        const [one, other] = [boxes[a][1], boxes[b][1]];
        if (Math.min(one.right, other.right) - Math.max(one.left, other.left) > 1 &&
            Math.min(one.bottom, other.bottom) - Math.max(one.top, other.top) > 1)
          over.push([boxes[a][0], boxes[b][0]]);
      }
      return [torn, over];
    }""")
    assert torn == []
    assert over == []


def test_who_hears_the_page_or_sees_little_can_read_it(account, show):
    assert_bars_nobody_in_both_colours(show(account))


@SIZES
def test_the_account_is_copied_for_a_spreadsheet(account, show, size):
    page = show(account, **size, permissions=["clipboard-read", "clipboard-write"])
    page.locator("#account .copy").click()
    expect(page.locator("#account .copy")).to_contain_text("Copied")
    copied = page.evaluate("navigator.clipboard.readText()")
    header, ticketed, *rows = (row.split("\t") for row in copied.replace("\r", "").split("\n"))
    assert header[:2] == ["row", "volume_yd3"]
    total = sum(float(row[1].lstrip("'")) for row in rows)
    assert total == pytest.approx(float(ticketed[1]), abs=5e-4)


def test_a_bar_reaches_as_far_as_its_volume(account, show):
    page = show(account)
    bars = page.evaluate("""() => [...document.querySelectorAll(".bars .track i:not(.spread)")]
      .map((one) => one.getBoundingClientRect()).map((at) => [at.left, at.right])""")
    for (_, end), (start, _) in pairwise(bars[:-1]):
        assert start == pytest.approx(end, abs=2)  # all rows of the apron take concrete
    assert bars[-1][1] == pytest.approx(bars[-2][1], abs=2)
