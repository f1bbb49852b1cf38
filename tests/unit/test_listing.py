"""The fix list is short: ten lines at most, those of most consequence."""

import csv
import io
import json
from dataclasses import replace

import jsonschema
import numpy as np
import pytest

from gradevol.answer.result_notes import find_remarks
from gradevol.answer.said.points import tell_points
from gradevol.answer.said.work import tell_work
from gradevol.answer.tree.result import describe_result, present
from gradevol.out.json import compose_json
from gradevol.out.tables.topics import compose_table
from gradevol.plan.fixes.listing import LISTED, list_fixes
from tests.pads import grid

EDGE = np.array([[0, 0], [48, 0], [48, 36], [0, 36.0]])


@pytest.fixture(scope="module")
def rough(make_result):
    """Make a pad on which every third shot stands high or low: dozens of places."""
    east, north = grid(np.arange(0, 49, 3), np.arange(0, 37, 3)).T
    rng = np.random.default_rng(11)
    level = 100 + rng.choice([0.025, 0, 0, -0.03], len(east)) + 0.001 * rng.standard_normal(221)
    shots = np.column_stack([east, north, level])
    return make_result(shots, EDGE, 100.15, base_high=0.01, base_low=0.01)


def test_a_long_list_is_cut_to_ten_and_says_so(rough):
    view = present(replace(rough, notes=find_remarks(rough)))
    rows = list(csv.DictReader(io.StringIO(compose_table(*tell_work(rough)))))

    assert len(rows) == len(view["fix"]) == LISTED == 10
    assert [row["rank"] for row in rows] == [str(rank) for rank in range(1, 11)]
    assert len(list(csv.DictReader(io.StringIO(compose_table(*tell_points(rough)))))) <= LISTED
    assert view["fix_unlisted"]["count"] == rough.work.more > 10
    (note,) = [note for note in view["notes"] if note["code"] == "fix-list-cut"]
    assert f"{rough.work.more} more are off their limits" in note["text"]
    spare = min(rough.work.left_over, rough.work.room_beside)
    assert spare > 1  # the ten are all to be shaved
    assert f" {spare:.2f} m³ of what you cut fit" in note["text"]
    spots = [*view["thin"]["spots"], *view["grading"]["high_spots"], *view["grading"]["low_spots"]]
    assert {spot["rank"] for spot in spots if "rank" in spot} == set(range(1, 11))
    assert any("rank" not in spot for spot in spots)
    jsonschema.validate(json.loads(compose_json(view)), describe_result())


def many(rough, *, must, cuts, fills, left):
    """Lines of work that differ in what counts alone, in the order of their ranks."""
    pattern = rough.work.fixes[0]
    given = [
        *({"is_must": True, "kind": "thin", "call": "fix", "volume": 0.02} for _ in range(must)),
        *({"is_must": False, "kind": "high", "call": "fix", "volume": v} for v in cuts),
        *({"is_must": False, "kind": "low", "call": "either", "volume": v} for v in fills),
        *({"is_must": False, "kind": "low", "call": "leave", "volume": 9.0} for _ in range(left)),
    ]
    return [replace(pattern, rank=rank, **one) for rank, one in enumerate(given, start=1)]


def test_what_must_be_put_right_goes_before_larger_volumes(rough):
    listed, rest = list_fixes(many(rough, must=12, cuts=(), fills=(5.0,), left=0))

    assert len(listed) == 10
    assert all(fix.is_must for fix in listed)
    assert [fix.is_must for fix in rest] == [True, True, False]


def test_a_large_low_place_goes_before_small_high_ones(rough):
    fixes = many(rough, must=1, cuts=[0.1 - 0.001 * n for n in range(12)], fills=(3.0,), left=0)
    listed, _ = list_fixes(fixes)

    assert [fix.kind for fix in listed] == ["thin", *["high"] * 8, "low"]
    assert [fix.rank for fix in listed] == list(range(1, 11))
    assert [fix.volume for fix in listed[1:9]] == [0.1 - 0.001 * n for n in range(8)]


def test_what_is_best_left_is_listed_only_where_there_is_room(rough):
    small = [replace(fix, volume=0.0009) for fix in many(rough, must=0, cuts=(), fills=(), left=3)]
    few = many(rough, must=1, cuts=(), fills=(3.0,), left=8)
    more = many(rough, must=1, cuts=(), fills=(3.0,), left=9)

    assert list_fixes(few) == (tuple(few), ())
    assert list_fixes(small) == ((), tuple(small))  # a litre is not even told
    listed, rest = list_fixes(more)
    assert [fix.call for fix in listed] == ["fix", "either"]
    assert len(rest) == 9


def test_a_list_without_work_does_not_say_that_all_is_within_its_limits(make_result):
    east, north = grid(np.arange(0, 13, 3.0), np.arange(0, 10, 3)).T
    level = 100 + np.where((east == 3) & (north == 3), 0.0102, 0.0)  # beyond by a hair
    edge = np.array([[0, 0], [12, 0], [12, 9], [0, 9.0]])
    shots = np.column_stack([east, north, level])
    result = make_result(shots, edge, 100.15, base_high=0.01, ids=False)

    assert (result.work.fixes, result.work.left) == ((), 1)
    (work,) = tell_work(result)
    assert [said.key for said in work.statements] == ["work.left"]
    assert str(work.statements[0].full) == "Nothing to do: 1 spot is too small to work: leave."


def test_a_list_without_work_says_what_that_rests_on(make_result):
    east, north = grid(np.arange(0, 13, 3.0), np.arange(0, 10, 3)).T
    shots = np.column_stack([east, north, np.full(len(east), 100.0)])
    edge = np.array([[0, 0], [12, 0], [12, 9], [0, 9.0]])
    bound, free = (
        make_result(shots, edge, 100.15, ids=False, **given) for given in ({"base_high": 0.01}, {})
    )

    for result, words in ((bound, "gives no slab.base_low"), (free, "gives no tolerance")):
        (work,) = tell_work(result)
        (said,) = work.statements
        assert said.key == "work.none"
        assert words in str(said.full)
