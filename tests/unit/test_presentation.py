import json
import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.said.places import say_where
from gradevol.answer.tree.result import present
from gradevol.answer.tree.spots import sort_spots
from gradevol.doubts.suspects import Suspect
from gradevol.ground.units import CUBIC_YARD, METRES, Units
from gradevol.site.locating import Taping

US = Units.of_job("ft")
METRIC = Units.of_job("m")
FOOT = METRES["ft"]


def numbers_in(value):
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        return [number for item in value for number in numbers_in(item)]
    return [value] if isinstance(value, int | float) and not isinstance(value, bool) else []


def test_numbers_are_in_the_units_that_the_result_names(apron):
    view = present(apron)

    assert view["units"] == {"length": "ft", "area": "ft2", "volume": "yd3"}
    assert_allclose(view["slab"]["area"], 45 * 80, atol=1e-4)
    assert_allclose(view["slab"]["nominal_volume"], 45 * 80 * 0.5 / 27, atol=1e-6)
    assert_allclose(view["concrete"]["volume"], apron.concrete.volume / CUBIC_YARD, atol=1e-6)
    assert_allclose(view["thickness"]["min"], apron.thickness.min / FOOT, atol=1e-6)


def test_the_same_pad_in_metres_and_in_feet_is_the_same_concrete(apron):
    metric = present(replace(apron, units=METRIC))
    feet = present(apron)

    assert metric["units"] == {"length": "m", "area": "m2", "volume": "m3"}
    assert_allclose(metric["concrete"]["slab"], feet["concrete"]["slab"] * CUBIC_YARD, atol=1e-6)
    assert_allclose(metric["thin"]["area"], feet["thin"]["area"] * FOOT**2, atol=1e-4)


def test_the_parts_of_the_concrete_make_the_volume(apron):
    concrete = present(apron)["concrete"]

    total = concrete["slab"] + concrete["thickenings"] - concrete["voids"]
    assert_allclose(concrete["volume"], total, atol=2e-6)
    assert concrete["voids"] == pytest.approx(0.05)
    assert [part["name"] for part in concrete["parts"]] == ["south beam", "conduit"]
    assert concrete["parts"][1]["volume"] == pytest.approx(-0.05)


def test_places_are_in_the_coordinates_of_the_job_to_the_millimetre(apron):
    view = present(apron)
    shot = apron.survey.points[50] + apron.survey.origin

    suspect = next(one for one in view["survey"]["suspect"] if one["id"] == "51")
    assert_allclose([suspect[key] for key in "enz"], shot / FOOT, atol=1e-6)
    assert_allclose(suspect["difference"], suspect["z"] - suspect["expected"], atol=2e-6)
    places = [place for spot in view["thin"]["spots"] for ring in spot["outline"] for place in ring]
    assert len(places) >= 6
    assert all(2_000_000 <= e <= 2_000_045 and 700_000 <= n <= 700_080 for e, n in places)
    worst = view["thin"]["spots"][0]["at"]
    assert_allclose(100 - worst[2], view["thin"]["spots"][0]["worst"], atol=2e-6)


def test_what_was_not_asked_for_or_is_not_known_is_absent(apron):
    bare = replace(
        apron, high=None, low=None, widest_gap=None, volume_without_suspects=None, suspects=()
    )
    view = present(replace(bare, slab=replace(apron.slab, base_high=None, base_low=None)))

    assert set(view["grading"]) == {"cut", "fill", "net", "high_share"}
    assert "could_hide" not in view["thin"]
    assert "volume_without_suspects" not in view["survey"]
    assert not {"base_high", "base_low"} & set(view["slab"])
    assert not {"interval"} & set(view["concrete"])
    assert "top" not in view


def test_a_tolerance_that_nothing_exceeds_gives_an_empty_list(make_result):
    plan = np.array([[0, 0], [10, 0], [10, 10], [0, 10], [5, 5.0]])
    level = np.column_stack([plan, np.full(5, 100.0)])
    view = present(make_result(level, plan[:4], 100.15, base_high=0.01, base_low=0.01))

    assert view["grading"]["high_spots"] == []
    assert view["grading"]["high_area"] == 0
    assert view["grading"]["low_spots"] == []
    assert view["grading"]["low_area"] == 0


def test_residuals_of_a_fitted_plane_are_told(apron):
    top = replace(apron.top, residuals=FOOT * np.array([0.01, -0.02]))

    assert present(replace(apron, top=top))["top"] == {"residuals": [0.01, -0.02]}


def test_spots_are_listed_thin_first_and_then_by_volume(apron):
    view = present(apron)
    thin, grading = view["thin"]["spots"], view["grading"]

    assert min(len(thin), len(grading["high_spots"])) > 1
    assert grading["low_spots"]
    assert [spot.kind for spot in sort_spots(apron)][: len(thin)] == ["thin"] * len(thin)
    assert [spot["worst"] for spot in thin] == sorted(spot["worst"] for spot in thin)
    volumes = [spot["volume"] for spot in grading["high_spots"]]
    assert volumes == sorted(volumes, reverse=True)


def test_a_spot_has_the_rank_of_the_work_that_puts_it_right(apron):
    view = present(apron)
    work = {fix["rank"]: fix for fix in view["fix"]}
    kinds = (("low", view["grading"]["low_spots"]), ("high", view["grading"]["high_spots"]))

    assert list(work) == list(range(1, len(work) + 1))
    for spot in view["thin"]["spots"]:
        assert work[spot["rank"]]["kind"] == "thin"
        assert work[spot["rank"]]["at"] == spot["at"]
    for kind, spots in kinds:
        for spot in spots:
            assert (work[spot["rank"]]["kind"] == "low") == (kind == "low")
    held = {spot["rank"] for spot in view["grading"]["high_spots"]}
    assert held == {spot["rank"] for spot in view["thin"]["spots"]}  # thin is higher than high
    assert not any("holds" in spot for spot in view["grading"]["high_spots"])


def test_a_thin_spot_in_the_hole_of_a_high_one_is_not_held_by_it(apron):
    east, north, _ = apron.thin.listed[0].at
    square = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1.0]])
    ring = replace(
        apron.high.listed[0],
        rings=(10 * square + np.array([east, north]), square[::-1] + np.array([east, north])),
    )
    one_thin = replace(apron.thin, listed=apron.thin.listed[:1])
    around = replace(apron, thin=one_thin, high=replace(apron.high, listed=(ring,)))
    whole = replace(around, high=replace(apron.high, listed=(replace(ring, rings=ring.rings[:1]),)))

    assert "holds" not in present(around)["grading"]["high_spots"][0]
    assert present(whole)["grading"]["high_spots"][0]["holds"] == [1]


def test_a_spot_that_rests_on_a_suspect_shot_asks_for_a_reshoot(apron):
    spots = present(apron)["thin"]["spots"]
    misread = next(spot for spot in spots if "51" in spot.get("reshoot", []))
    assert_allclose(misread["at"][:2], [2_000_034.8, 700_047.6], atol=1e-3)

    # a shot that is too low can't be what makes the base too high there
    low = Suspect(50, apron.suspects[0].expected, -0.03, "")
    view = present(replace(apron, suspects=(low,)))
    assert not any("reshoot" in spot for spot in view["thin"]["spots"])


def test_smaller_spots_beside_those_listed_are_counted(apron):
    view = present(replace(apron, thin=replace(apron.thin, unlisted=7)))

    assert view["thin"]["unlisted"] == 7
    assert "unlisted" not in present(apron)["thin"]


def test_no_number_is_minus_nought_or_other_than_plain(apron):
    view = present(apron)
    numbers = numbers_in(view)

    assert len(numbers) > 100
    assert all(type(number) in {int, float} for number in numbers)
    assert "-0.0," not in json.dumps(view)
    gone = present(replace(apron, thickness=replace(apron.thickness, min=-1e-9)))
    assert math.copysign(1, gone["thickness"]["min"]) == 1


def test_notes_are_said_in_the_units_of_the_job(apron):
    note = present(apron)["notes"][0]

    assert note["text"] == "4 ft² of the plan is counted in both beams"
    assert note["points"] == ["3"]
    origin = apron.survey.origin[:2]
    assert_allclose(note["places"], [(np.array([1.0, 2.0]) + origin) / FOOT], atol=1e-6)


def test_cover_says_where_and_how_much_of_the_item_is_short(apron):
    short = replace(apron.cover[0], least=0.05, short=3.0)
    told = present(replace(apron, cover=(short,)))["cover"][0]
    free = present(replace(apron, cover=(replace(short, required=None),)))["cover"][0]

    assert told["required"] == pytest.approx(4 / 12, abs=1e-6)
    assert told["short"] == pytest.approx(3 / FOOT, abs=1e-6)
    assert "from side 1 (old slab)" in told["where"]
    assert not {"required", "short"} & set(free)


@pytest.mark.parametrize(
    ("taping", "units", "names", "words"),
    [
        (
            Taping(sides=((1, 148 * 0.0254), (4, 36 * 0.0254))),
            US,
            (),
            "12 ft 4 in from side 1, 3 ft 0 in from side 4",
        ),
        (
            Taping(sides=((1, 148 * 0.0254), (2, 36 * 0.0254))),
            US,
            ("south slab", ""),
            "12 ft 4 in from side 1 (south slab), 3 ft 0 in from side 2",
        ),
        (
            Taping(sides=((1, 3.76), (4, 1e-9))),
            METRIC,
            (),
            "3.76 m from side 1, at side 4",
        ),
        (
            Taping(corners=((1, 148 * 0.0254), (2, 110 * 0.0254))),
            US,
            ("south slab",),
            "12 ft 4 in from corner 1, 9 ft 2 in from corner 2",
        ),
        (Taping(corners=((3, 0.0), (4, 5.0))), US, (), "at corner 3"),
    ],
)
def test_a_place_is_said_as_a_crew_would_tape_it(taping, units, names, words):
    assert say_where(taping, units, names) == words
