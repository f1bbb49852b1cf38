"""A page read back: its tags, its text and its data."""

import json
import re
from dataclasses import replace
from html.parser import HTMLParser

from gradevol.answer.compose import compose_answer
from gradevol.out.pages.page import compose_page
from gradevol.uncertainty.interval import Interval
from gradevol.uncertainty.mixture import Mixture


class Reader(HTMLParser):
    """Elements of a page, the figures it tells, and its text."""

    def __init__(self):
        super().__init__()
        self.tags, self.figures, self.open, self.text = [], [], None, ""

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))
        if tag == "data":
            self.open = dict(attrs)
            self.open["text"] = ""

    def handle_endtag(self, tag):
        if tag == "data":
            self.figures.append(self.open)
            self.open = None

    def handle_data(self, data):
        self.text += data
        if self.open is not None:
            self.open["text"] += data


def read(page):
    reader = Reader()
    reader.feed(page)
    return reader


def page_of(result):
    return compose_page(compose_answer(result))


def plan_of(page):
    match = re.search(r'<script type="application/json" id="plan-data">(.*?)</script>', page, re.S)
    assert match
    return json.loads(match[1])


def with_interval(result, half):
    """The result with an interval of a half width, m³."""
    volume = result.concrete.volume
    spread = Mixture.of_one(volume, half / 2)
    ends = volume - half, volume + half
    interval = Interval(0.9, *ends, 0.11, 0.22, 0.33, 0.44, volume, spread)
    return replace(result, interval=interval), interval
