import csv
import io
import json
from dataclasses import replace

import jsonschema
import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.said.fix_costs import tell_regrading, tell_sums
from gradevol.answer.said.fixes import tell_fix
from gradevol.answer.said.points import tell_points
from gradevol.answer.said.work import tell_work
from gradevol.answer.statement import Weight
from gradevol.answer.tree.result import describe_result, present
from gradevol.ground.units import CUBIC_YARD
from gradevol.job.terms import Costs
from gradevol.out.json import compose_json
from gradevol.out.tables.topics import compose_table
from tests.pads import grid
from tests.unit.test_outcome import COSTS, lay_pad


@pytest.fixture
def pad(make_result):
    """A thin ridge along E = 3 of 1.0125 m³, a trough along E = 9 of 0.72 m³."""

    def make(ridge=0.04, trough=0.03, **rest):
        return lay_pad(make_result, ridge, trough, **rest)

    return make


@pytest.fixture(scope="module")
def priced(check_sample):
    return check_sample("apron/job_costs.toml")


def rows_of(result):
    return list(csv.DictReader(io.StringIO(compose_table(*tell_work(result)))))


def test_cuttings_of_a_ridge_fill_the_trough(pad):
    work = pad().work
    (haul,) = work.hauls

    assert (haul.source, haul.target) == (1, 2)
    assert_allclose([haul.volume, haul.distance], [0.72, 6])
    assert_allclose([work.cut, work.fill], [1.0125, 0.72])
    assert_allclose([work.left_over, work.wanting], [0.2925, 0], atol=1e-12)


def test_a_deeper_trough_is_left_wanting(pad):
    work = pad(trough=0.06).work

    # 6 m wide, 0.06 m deep, less the ends within 10 mm
    assert_allclose(work.fill, (0.06 * 3 - 0.01 * 0.5) * 9)
    assert_allclose([work.left_over, work.wanting], [0, work.fill - 1.0125], atol=1e-12)


def test_without_costs_the_tool_does_not_choose(pad):
    result = pad(trough=0.06)

    assert (result.work.prices, result.work.regrade) == ((), None)
    assert [fix.call for fix in result.work.fixes] == ["fix", "either"]
    assert [row["do"] for row in rows_of(result)] == [
        "shave",
        "fill with what you cut in row 1; stone or concrete for the rest",
    ]
    assert "regrading" not in present(result)
    assert "cost" not in present(result)["fix"][0]
    assert not any("cost" in name for name in rows_of(result)[0])


def test_with_costs_the_cheapest_way_is_called(pad):
    dear, cheap = (pad(trough=0.06, costs=replace(COSTS, concrete=c)) for c in (2000.0, 20.0))

    assert (
        rows_of(dear)[1]["do"] == "fill with what you cut in row 1"
    )  # and bought material for the rest
    assert dear.work.prices[1].way == "both"
    assert rows_of(cheap)[1]["do"] == "leave low and pour full"
    assert cheap.work.fixes[1].call == "pour"


def test_cuttings_that_cost_more_to_place_than_they_save_are_left_over(pad):
    cheap = pad(costs=replace(COSTS, concrete=20.0)).work

    assert cheap.hauls == ()
    assert_allclose([cheap.left_over, cheap.wanting], [1.0125, 0.72])


def test_cuttings_pass_by_a_place_that_is_cheaper_poured(make_result):
    # a ridge along E = 3, a wide shallow place from E = 6 on, a deep trough along E = 24
    east, north = grid(np.arange(0, 31, 3.0), np.arange(0, 10, 3.0)).T
    level = 100 + np.where(east == 3, 0.05, 0.0)
    level -= np.where((east >= 9) & (east <= 15), 0.013, 0) + np.where(east == 24, 0.06, 0)
    edge = np.array([[0, 0], [30, 0], [30, 9], [0, 9.0]])
    shots = np.column_stack([east, north, level])
    given = {"base_high": 0.01, "base_low": 0.01, "ids": False}
    free = make_result(shots, edge, 100.15, **given).work
    # to place 1 m³ takes a crew the longer, the thinner it lies
    priced = make_result(shots, edge, 100.15, costs=replace(COSTS, concrete=100.0), **given).work

    ridge, trough, shallow = (fix.rank for fix in free.fixes)
    assert [haul.target for haul in free.hauls] == [shallow, trough]
    assert [fix.call for fix in priced.fixes] == ["fix", "fix", "pour"]
    (haul,) = priced.hauls
    assert (haul.source, haul.target) == (ridge, trough)
    assert haul.volume > free.hauls[1].volume
    price = priced.prices[shallow - 1]  # what it would cost filled is told all the same
    assert price.cuttings > price.pour


def test_what_must_be_put_right_is_not_poured(pad):
    result = pad(costs=replace(COSTS, concrete=0.01))

    assert result.work.fixes[0].call == "fix"
    assert "pour" not in present(result)["fix"][0]["cost"]


def test_what_is_poured_is_not_set_out(pad):
    result = pad(costs=replace(COSTS, concrete=0.01))
    (point,) = csv.DictReader(io.StringIO(compose_table(*tell_points(result))))

    assert [fix.call for fix in result.work.fixes] == ["fix", "pour"]
    assert (point["P"], point["D"][:3]) == ("FIX1", "CUT")


def test_what_must_be_done_is_added_up_apart_from_what_is_money(priced, pad):
    costs = present(priced)["fix_costs"]
    ridge, corner = (present(priced)["fix"][rank]["cost"] for rank in (1, 2))

    assert costs["must"] == ridge["fix"] > 0
    assert costs["saved"] == corner["pour"] - corner["cuttings"] > 0
    assert str(tell_sums(priced)) == (
        f"Shaving what must be shaved costs ${ridge['fix']:.0f}. Filling low spots where that is "
        f"cheaper saves ${costs['saved']:.0f} over pouring them all."
    )
    assert ridge["concrete"] == round(0.2744 * 168)  # of 0.2744 yd³ in place of the cuttings
    assert "fix_costs" not in present(pad())


def test_no_price_of_a_crew_leaves_the_choice_to_the_user(pad):
    result = pad(costs=Costs(concrete=200.0))

    assert [fix.call for fix in result.work.fixes] == ["fix", "either"]
    assert len(result.work.hauls) == 1
    assert "fix" not in present(result)["regrading"]
    assert "costs" not in str(tell_regrading(result))


def test_the_apron_reads_as_its_foreman_would_say_it(priced):
    first, ridge, corner = rows_of(priced)

    assert first["do"] == "reshoot 41; if right, shave"
    assert (ridge["do"], ridge["must"], ridge["why"]) == ("shave", "yes", "near-thin")
    assert ridge["shots"].split() == ["22", "27", "28", "32", "33"]
    assert ridge["material"] == "0.27 yd3 to row 3, 32 ft 1 in away"
    assert corner["do"] == "fill with what you cut in row 2; concrete for the rest"
    assert corner["material"] == "0.27 yd3 from row 2, 32 ft 1 in away"
    assert "north slab" in corner["where"]
    assert "west form" in corner["where"]
    cost = present(priced)["fix"][2]["cost"]
    assert cost["cuttings"] < cost["pour"] < cost["imported"]  # bought rock: pour


def test_regrading_all_of_the_apron_does_not_pay(priced):
    whole = present(priced)["regrading"]

    assert whole["call"] == "pour"
    assert whole["pour"] == round(whole["concrete"] * 168, -1)
    assert whole["fix"] > whole["pour"]
    assert str(tell_regrading(priced)).endswith(": not worth it, pour.")


def test_no_work_rests_on_a_suspect_shot(priced):
    suspect, *others = priced.work.fixes

    assert [priced.survey.name(index) for index in suspect.suspects] == ["41"]
    assert all(suspect.shots[0] not in fix.shots for fix in others)
    assert suspect.rank not in {haul.source for haul in priced.work.hauls}
    assert_allclose(
        priced.work.cut, sum(fix.volume for fix in others if fix.call == "fix" and fix.is_must)
    )


def test_loose_volume_is_the_bank_measure_times_the_factor(priced):
    for row in rows_of(priced):
        bank, loose = float(row["bank_volume_yd3"]), float(row["loose_volume_yd3"])
        assert_allclose(loose, bank * 3700 / 2950, atol=1.2e-3)


def test_the_work_keeps_to_the_schema_and_has_numbers_in_its_units(priced, pad, apron):
    for result in (priced, apron, pad(), pad(costs=COSTS)):
        jsonschema.validate(json.loads(compose_json(present(result))), describe_result())
    move = present(priced)["moves_of_material"][0]
    assert_allclose(move["volume"], priced.work.hauls[0].volume / CUBIC_YARD, atol=1e-6)
    assert_allclose(move["distance"], priced.work.hauls[0].distance / 0.3048, atol=1e-6)


def test_a_line_is_said_in_the_style_of_the_job(priced, pad):
    ridge = tell_fix(priced.work.fixes[1], priced)

    assert str(ridge.short) == "Shave up to 5/8 in, 33 x 12 ft; cuttings to row 3"
    assert (ridge.mark, ridge.size, ridge.painted) == ("2", "33 x 12 ft", "C.05")
    assert ridge.where.startswith("10 ft 0 in from side 2 (bulkhead), 35 ft 0 in from side 3 (")
    assert list(map(str, ridge.details)) == [
        "5 3/8 in thick, too close to the least to be sure",
        "3/8 in on average, 0.27 yd³, 0.34 yd³ loose",
        "0.27 yd³ to row 3, 32 ft 1 in away",
        "$85 to shave, and $46 of concrete in its place",
        "shots 22, 27, 28, 32, 33",
    ]
    assert f"; worst {ridge.where}; 5 3/8 in thick" in str(ridge.full)
    metric = pad()
    (wide, *_) = metric.work.fixes
    said = tell_fix(wide, metric)
    assert (said.size, said.painted) == ("9.0 x 4.5 m", "C40")
    assert "25 mm on average, 1.01 m³, 1.27 m³ loose" in str(said.full)


def test_what_a_line_costs_is_told_both_ways_with_the_shots(priced):
    details = list(map(str, tell_fix(priced.work.fixes[2], priced).details))

    assert "$260 with what you cut, $330 with bought stone, $290 poured" in details
    assert details[-1] == "shots 38, 47, 48, 49, 50, 59 and 1 more"


def test_two_materials_for_one_place_are_told_where_they_cost_least(pad):
    dear = pad(trough=0.06, costs=replace(COSTS, concrete=2000.0))
    price, said = dear.work.prices[1], str(tell_fix(dear.work.fixes[1], dear).full)

    assert price.way == "both"
    assert f"{price.both:,.0f} with what you cut and bought stone" in said


def test_lines_weigh_what_they_decide(priced):
    (work,) = tell_work(priced)
    weights = [said.weight for said in work.statements if said.cells]

    # it rests on a suspect shot; it must be shaved; it may be filled
    assert weights == [Weight.MATTERS, Weight.ACTS, Weight.MATTERS]
    assert [said.is_must for said in work.statements if said.cells] == [True, True, False]
    left = replace(priced.work.fixes[2], call="leave")
    assert tell_fix(left, priced).weight == Weight.DETAILS


def test_what_is_said_of_all_of_the_work_stands_below_it(priced):
    (work,) = tell_work(priced)
    told = {said.key: said for said in work.statements}

    assert str(told["work.material"].full) == (
        "The list cuts 0.27 yd³, its low spots take 1.70 yd³; 0.27 yd³ moves, 1.42 yd³ is stone or "
        "concrete."
    )
    assert told["work.costs"].full == tell_sums(priced)
    assert (
        str(told["work.regrading"].short)
        == "Grading it all to the drawing saves $730 of concrete and costs $980."
    )
    assert "work.left" not in told  # nothing is too small
    assert "work.none" not in told


def test_points_are_those_of_the_work(priced):
    points = list(csv.DictReader(io.StringIO(compose_table(*tell_points(priced)))))

    fixes = [point["P"] for point in points if point["P"].startswith("FIX")]
    assert fixes == ["FIX1", "FIX2", "FIX3"]
    assert points[0]["D"] == "RESHOOT CUT 0.10 FROM 99.78"
    assert points[2]["D"].startswith("FILL 0.19")
