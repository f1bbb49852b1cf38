"""Water on the top as it is told, from an invented pad with a bowl in its middle."""

from dataclasses import replace

import pytest

from gradevol.answer.said.moves import tell_moves
from gradevol.answer.said.top import tell_top
from gradevol.answer.statement import Weight
from gradevol.job import read_job
from gradevol.measures.drainage import FlatPlace
from gradevol.runs.check import check_job

pytestmark = pytest.mark.usefixtures("unsimulated")

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


def test_water_that_stands_is_told_with_the_points_it_hangs_on(pond):
    (topic,) = tell_top(pond)
    said = {one.key: one for one in topic.statements}["top.ponding.0"]

    assert str(said.full).startswith("holds water 5/8 in deep over ")  # 0.05 ft
    assert str(said.full).endswith("lowest at shot T5, spills at shot T6")
    assert said.place == pytest.approx(pond.drainage.ponds[0].at[:2])
    assert said.weight == Weight.TELLS


def test_a_move_of_the_top_says_how_the_top_would_fall(pond):
    (topic,) = tell_moves(pond)
    rows = [said for said in topic.statements if said.cells]

    assert len(rows) == len(pond.moves) == 10
    assert all(str(said.short).endswith(" or more") for said in rows)
    leaves = "no longer as measured along side 1, side 2, side 3 and side 4"
    assert leaves in list(map(str, rows[0].details))
    assert str(rows[0].figure) == "−0.93 yd³"  # 1/2 in of 600 ft²
    assert rows[0].cells[1] == "-0.93"


def test_flat_places_are_told_one_by_one_up_to_six(pond):
    drainage = pond.drainage
    place = FlatPlace((), 2.0, 0.004, 0.006, (1.0, 1.0))
    flat = replace(
        drainage,
        runoff=replace(drainage.runoff, least_fall=0.01),
        flat_area=18.0,
        flat=(place,) * 9,
        flat_unlisted=3,
    )
    (topic,) = tell_top(replace(pond, drainage=flat))
    told = {said.key: said for said in topic.statements if said.key.startswith("top.flat")}

    assert list(told) == [
        "top.flat",
        *(f"top.flat.{number}" for number in range(6)),
        "top.flat.more",
    ]
    assert "under 1.0 %: 194 ft², most of it about" in str(told["top.flat"].short)
    assert str(told["top.flat.more"].full).startswith("6 more flat places")
