"""Water on the top as the page tells it, from an invented pad with a bowl in its middle."""

import html
import re

import pytest

from gradevol.answer.data import present
from gradevol.answer.said.topics import tell_topics
from gradevol.check import check_job
from gradevol.job import read_job
from gradevol.out.pages.drains import compose_moves, compose_top
from gradevol.out.text.summary import compose_summary

JOB = """
units = "ft"
[base]
shots = "base.csv"
[slab]
edge = [[0, 0], [30, 0], [30, 20], [0, 20]]
thickness = 0.5
[top]
shots = "top.csv"
"""
#: A bowl: 100.05 in the middle, its lowest way out at 100.10 on the east side.
TOP = [(0, 0, 100.4), (15, 0, 100.3), (30, 0, 100.2), (0, 10, 100.3), (15, 10, 100.05),
       (30, 10, 100.1), (0, 20, 100.4), (15, 20, 100.3), (30, 20, 100.25)]  # fmt: skip


@pytest.fixture(scope="module")
def pond(tmp_path_factory):
    folder = tmp_path_factory.mktemp("pond")
    base = [(e, n, 99.5) for e in range(0, 31, 5) for n in range(0, 21, 5)]
    for name, letter, shots in (("base.csv", "B", base), ("top.csv", "T", TOP)):
        rows = [f"{letter}{i},{n},{e},{z}" for i, (e, n, z) in enumerate(shots, start=1)]
        (folder / name).write_text("\n".join(["P,N,E,Z", *rows]) + "\n")
    (folder / "job.toml").write_text(JOB)
    return check_job(read_job(folder / "job.toml"))


def words(markup):
    return html.unescape(re.sub(r"\s+", " ", re.sub("<[^>]*>", "", markup)))


def test_water_that_stands_is_told_with_the_points_it_hangs_on(pond):
    said = words(compose_top(present(pond), pond))

    assert "Holds water 5/8 in deep" in said  # 0.05 ft
    assert "Lowest at shot T5, runs over at shot T6." in said
    summary = " ".join(compose_summary(pond.title, tell_topics(pond)).split())
    assert "lowest at shot T5, runs over at shot T6" in summary


def test_a_move_of_the_top_says_how_the_top_would_fall(pond):
    view = present(pond)
    said = words(compose_moves(view, pond))

    assert said.count(" or more") == len(view["moves"]) == 10
    assert "no longer as measured along side 1, side 2, side 3 and side 4" in said
