"""The words of the page and of the sheet, of one sample, against kept ones."""

import os
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.out.pages.page import compose_page
from gradevol.out.paper.words import SheetWords, list_cautions

HERE = Path(__file__).parent
#: Elements after which a line ends, those that are one cell of a line, and those not read.
LINES = {"h1", "h2", "h3", "h4", "p", "li", "tr", "div", "caption"}
CELLS = {"th", "td", "dt", "dd", "small"}
UNREAD = {"script", "style", "head", "button", "nav", "noscript"}


class Reader(HTMLParser):
    """Text of a page as it is read, a line for each paragraph or row."""

    def __init__(self):
        super().__init__()
        self.text, self.unread = "", 0

    def handle_starttag(self, tag, _attrs):
        self.unread += tag in UNREAD
        self.text += "\n\n# " if tag in {"h1", "h2"} else "  " if tag in CELLS else ""

    def handle_endtag(self, tag):
        self.unread -= tag in UNREAD
        self.text += "\n" if tag in LINES and not self.unread else ""

    def handle_data(self, data):
        if not self.unread:
            self.text += re.sub(r"\s+", " ", data)


def read_page(answer):
    reader = Reader()
    reader.feed(compose_page(answer))
    lines = [re.sub(r" {2,}", "  ", line).strip() for line in reader.text.split("\n")]
    return re.sub(r"\n{2,}", "\n", "\n".join(lines)).replace("\n# ", "\n\n# ").strip() + "\n"


def read_sheet(answer):
    words = SheetWords(answer.topics, answer.drawing.slab.names)
    big, figures = words.list_figures()
    blocks = {
        words.say_survey()[0]: [],
        big: figures,
        "Fix list": words.list_fixes(most=10),
        "Not shot": words.list_unmeasured(),
        "Notes": words.list_notes(most=4),
        "Before you rely on this": list_cautions(),
    }
    return "\n".join(
        "\n".join([f"# {head}", *(_line(item) for item in items), ""])
        for head, items in blocks.items()
    )


def _line(item):
    return " ".join(filter(None, (f"({item.number})" * bool(item.number), item.lead, item.text)))


@pytest.fixture(scope="module")
def answer(check_sample):
    return compose_answer(check_sample("apron/job_costs.toml"))


@pytest.mark.parametrize(("name", "read"), [("page", read_page), ("sheet", read_sheet)])
def test_the_words_are_those_kept(answer, name, read):
    kept = HERE / f"{name}_of_the_apron.txt"
    said = read(answer)
    if os.environ.get("GRADEVOL_KEEP_PICTURES"):
        kept.write_text(said, encoding="utf-8", newline="\n")
    assert said == kept.read_text(encoding="utf-8")
