"""What is told after a pour, on page and paper: numbers that are there, words that find room."""

import re
from dataclasses import replace
from html import escape
from itertools import combinations

import numpy as np
import pypdf
import pytest

from gradevol.answer.account import compose_account
from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.drawing.account import draw_bars
from gradevol.answer.statement import Statement, Weight, words
from gradevol.out.pages.account import compose_account_page
from gradevol.out.pages.markup import Marker
from gradevol.out.pages.topics import compose_topics
from gradevol.out.paper.account import draw_account_paper, write_account_paper
from gradevol.out.paper.as_built import draw_built_paper
from gradevol.out.paper.paper import PAPERS
from gradevol.out.tables.cells import guard
from gradevol.out.text.account import compose_account_text
from tests.after_pour import CORES, TOP_SHOTS, reconciled
from tests.lettering import find_overlaps, words_on


@pytest.fixture(scope="module")
def done(check_sample):
    return reconciled(check_sample, top_shots=TOP_SHOTS, cores=CORES)


@pytest.fixture(scope="module")
def answer(done):
    return compose_account(done)


@pytest.fixture(scope="module")
def bare(check_sample):
    """The account alone: no shots on the top, no cores."""
    return compose_account(reconciled(check_sample))


@pytest.fixture(scope="module")
def page(answer):
    return compose_account_page(answer)


@pytest.fixture(scope="module")
def paper(answer, tmp_path_factory):
    path = tmp_path_factory.mktemp("paper") / "reconcile.pdf"
    write_account_paper(path, answer)
    return path


def test_each_bar_begins_where_the_one_before_it_ends(answer):
    first, *rest, last = answer.bars.bars
    at = first.end
    for bar in rest:
        assert bar.start == pytest.approx(at)
        at = bar.end
    assert at == pytest.approx(last.end)


def test_all_bars_lie_on_the_axis_and_it_says_that_it_begins_at_no_nought(answer, bare):
    for bars in (answer.bars, bare.bars):
        for bar in bars.bars:
            assert bars.low <= min(bar.low, bar.start, bar.end)
            assert max(bar.high, bar.start, bar.end) <= bars.high
        assert all(bars.low < mark <= bars.high for mark in bars.marks)
        assert f"begins at {bars.low:g}" in bars.foot


def test_a_row_that_gives_is_named_for_it_and_runs_back(done):
    account = done.found.account
    rows = tuple(
        replace(row, volume=-row.volume) if row.key == "base" else row for row in account.rows
    )
    turned = replace(done, found=replace(done.found, account=replace(account, rows=rows)))
    base = next(bar for bar in draw_bars(turned).bars if bar.key == "base")
    assert (base.label, base.end < base.start) == ("Base high", True)


@pytest.mark.parametrize(("sign", "is_told"), [(1, True), (-1, False)])
def test_a_base_that_gave_way_is_thought_of_where_concrete_is_missing(done, sign, is_told):
    account = done.found.account
    rows = tuple(
        replace(row, volume=sign * row.volume) if row.key == "unresolved" else row
        for row in account.rows
    )
    turned = replace(done, found=replace(done.found, account=replace(account, rows=rows)))
    page = compose_account_page(compose_account(turned))
    assert "survey and assumptions leave open" in page
    assert ("base that gave way" in page) is is_told


def test_the_page_asks_nothing_of_a_network_and_marks_its_numbers(page):
    assert not re.search(r"""(?:src|href)=["'](?!data:|#)""", page)
    assert 'data-key="rows.9.volume"' in page
    for caution in CAUTIONS:
        assert escape(caution) in page
    assert page.count("<img") == 1


def test_a_page_without_a_finished_top_has_no_map_and_says_what_is_lacking(bare):
    page = compose_account_page(bare)
    assert "<img" not in page
    assert "nobody shot the finished top" in page


def test_words_of_a_job_can_not_become_markup(answer):
    title = '<script>alert("x")</script>'
    page = compose_account_page(replace(answer, title=title))
    assert title not in page
    assert "&lt;script&gt;alert" in page
    assert guard("=1+1").startswith("'")


@pytest.mark.parametrize("size", [PAPERS["letter"], PAPERS["a4"]], ids=["letter", "a4"])
def test_words_on_paper_stand_apart_and_within_the_margins(answer, bare, size):
    built = draw_built_paper(answer, size)
    assert built is not None
    for sheet in (draw_account_paper(answer, size), draw_account_paper(bare, size), built):
        words = words_on(sheet)
        assert len(words) > 50
        for word in words:
            west, south, east, north = word.box.bounds
            assert west > 0.3
            assert east < sheet.width - 0.3
            assert south > 0.3
            assert north < sheet.height - 0.3
        assert find_overlaps(words) == []


def test_the_paper_has_the_rows_and_the_slab_as_built(answer, bare, paper, tmp_path):
    account, built = (" ".join(p.extract_text().split()) for p in pypdf.PdfReader(paper).pages)
    for bar in answer.bars.bars:
        assert bar.label in account
        assert bar.volume in account
    for text in ("C1: 6 3/8", "C4:", "Numbers: thickness at the shots on the top, in"):
        assert text in built
    assert account.count("Unresolved") >= 2
    write_account_paper(tmp_path / "bare.pdf", bare)
    assert len(pypdf.PdfReader(tmp_path / "bare.pdf").pages) == 1


def test_a_thin_place_of_the_finished_slab_is_told_by_tape_on_screen_and_page(answer):
    said = "4 3/8 in at its thinnest"
    thin = Statement("", Weight.DETAILS, "Thin place 1", short=words(said), where="at side 1")
    topic = replace(answer.pick("as_built"), statements=(thin,))
    screen = compose_account_text(replace(answer, topics=(topic,)))
    page = re.sub("<[^>]+>", "", compose_topics([topic], Marker({})))
    for told in (screen, page.replace("\N{NO-BREAK SPACE}", " ")):
        assert f"Thin place 1: {said}; at side 1" in told


def test_equal_answers_make_equal_papers(answer, paper, tmp_path):
    write_account_paper(tmp_path / "again.pdf", answer)
    assert (tmp_path / "again.pdf").read_bytes() == paper.read_bytes()


def test_the_paper_is_black_and_grey(answer):
    sheet = draw_account_paper(answer, PAPERS["letter"])
    for drawn in (*sheet.axes.collections, *sheet.axes.patches):
        for colours in (drawn.get_facecolor(), drawn.get_edgecolor()):
            shades = np.atleast_2d(np.asarray(colours, float))
            if shades.size:
                assert (shades[:, :3] == shades[:, :1]).all()


def test_textures_of_what_a_row_rests_on_differ_without_colour(answer, page):
    bases = {bar.basis for bar in answer.bars.bars}
    assert bases == {"measured", "stated", "assumed", "rest"}
    rules = [re.findall(rf"\.bars i\.{base} {{([^}}]*)}}", page) for base in sorted(bases)]
    assert all(rules)
    for one, other in combinations(rules, 2):
        assert one != other
