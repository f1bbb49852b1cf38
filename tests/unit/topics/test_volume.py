"""What is said of a result: numbers under their keys, the volume and what it rests on."""

import re
from dataclasses import replace

import numpy as np
import pytest

from gradevol.answer.said.topics import tell_topics
from gradevol.answer.statement import Figure, Weight
from gradevol.answer.tree.result import present
from gradevol.plan.order.delivery import Delivery
from gradevol.site.top import Between, Measured
from gradevol.uncertainty.interval import Interval
from gradevol.uncertainty.mixture import Mixture
from tests.unit.topics.conftest import find, keys_of, tell, words_in

#: Words that a crew does not use.
STIFF = ("nought", "told apart", "on the mean", "seen or not", "bear in mind", "stands off")


@pytest.fixture
def pad(small):
    """A job that ran the whole road."""
    return small


def with_interval(result, **spreads):
    given = {"shots": 0.11, "between_shots": 0.22, "datum": 0.33, "top": 0.44, **spreads}
    volume = result.concrete.volume
    spread = Mixture.of_one(volume, 0.6)
    return replace(
        result,
        interval=Interval(
            0.9,
            volume - 1.2,
            volume + 1.2,
            stated=volume,
            volume=spread,
            without_shared=(volume - 0.4, volume + 0.4),
            **given,
        ),
    )


@pytest.mark.parametrize("which", ["apron", "pad"])
def test_each_number_stands_in_the_data_under_its_key(which, request):
    result = request.getfixturevalue(which)
    view = present(result)
    keys = set()
    for topic in tell_topics(result):
        for said in filter(None, words_in(topic)):
            parts = (said,) if isinstance(said, Figure) else said.parts
            keys |= {part.key for part in parts if isinstance(part, Figure) and part.key}
    assert len(keys) > 15
    for key in keys:
        held = view
        for part in key.split("."):
            held = held[int(part)] if isinstance(held, list) else held[part]
        assert isinstance(held, int | float | str), key


@pytest.mark.parametrize("which", ["apron", "pad"])
def test_cells_stand_under_columns_and_nothing_is_said_stiffly(which, request):
    for topic in tell_topics(request.getfixturevalue(which)):
        assert len(topic.label) <= 10
        for said in topic.statements:
            assert len(said.cells) in (0, len(topic.columns))
            assert said.short or (said.label and said.figure), said.key
        text = " ".join(str(said) for said in words_in(topic) if said).lower()
        assert not [word for word in STIFF if word in text]


def test_the_volume_is_told_with_its_margin_and_what_an_order_needs(apron):
    unsure = with_interval(apron)

    assert str(find(apron, "concrete.volume", "volume").figure) == "69.9 yd³"
    assert "Margin not known" in str(find(apron, "concrete.interval", "volume").short)
    said = find(unsure, "concrete.interval", "volume")
    assert (said.label, str(said.short)) == ("90 % sure", "68.3 to 71.6 yd³")
    assert said.weight == Weight.DECIDES
    assert "add for waste and short yield" in str(find(apron, "volume.allowance", "volume").short)


def test_it_is_told_what_the_bench_mark_is_worth_but_where_the_top_hangs_on_it_too(apron):
    def tell_step(result):
        return str(find(result, "volume.step", "volume").short)

    each = "Each 1/8 in all over is 1.39 yd³"
    bare = "Takes the bench mark as right: 1/8 in off is 1.39 yd³"
    assert tell_step(apron) == bare
    depths = replace(apron, survey=replace(apron.survey, method="string-line depths"))
    assert tell_step(depths) == each
    forms = np.array([[0, 0, 5], [9, 0, 5], [0, 9, 5.0]])
    assert tell_step(replace(apron, design=Measured(forms))) == each
    coded = Between(forms[:2], forms[:2], names=(("F1", "F2"), ("F3", "F4")))
    assert tell_step(replace(apron, design=coded)) == each
    assert tell_step(replace(apron, design=replace(coded, names=((), ())))) == bare


def test_a_thickening_that_was_shot_is_told_as_drawn_and_the_base_without_it(pad):
    plain = pad.concrete
    parts = (("footing", 0.0), ("footing", 0.4))  # of one name
    dug = replace(plain, slab=plain.slab + 1.2, parts=parts, shown=((0, 1.0),))
    shot = replace(pad, concrete=dug)
    (mean,) = find(shot, "thickness.mean", "thickness").details
    assert str(mean).endswith(", more in footing")
    told = tell(shot, "parts").statements
    rows = {said.key: said.figure for said in told if said.figure}
    more = pad.units.say_volume(plain.over_nominal + 0.2)
    assert str(rows["concrete.over_nominal"]) == more
    assert rows["concrete.parts.0.volume"] == Figure(pad.units.say_volume(1.0))
    assert str(rows["concrete.parts.1.volume"]) == pad.units.say_volume(0.4)


def test_a_step_all_over_a_pier_is_not_told_as_nothing(pad):
    pier = replace(pad, slab=replace(pad.slab, edge=pad.slab.edge / 20))
    said = str(find(pier, "volume.step", "volume").short)
    assert said.endswith(" off is less than 0.01 yd³")


def test_where_parts_are_ordered_the_volume_does_not_ask_for_an_allowance(apron):
    ordered = replace(apron, delivery=Delivery(part_orders=("one of them",)))  # type: ignore[arg-type]

    said = find(ordered, "volume.allowance", "volume")
    assert "allowance" not in str(said.short)
    assert said.weight == Weight.TELLS


def test_causes_are_told_the_largest_first_and_what_is_there_never_as_none(apron):
    unsure = with_interval(apron, between_shots=1e-5, shots=0.0)

    topic = tell(unsure, "interval")
    assert [(said.label, str(said.figure)) for said in topic.statements if said.label] == [
        ("Strike-off", "0.58 yd³"),
        ("Instrument height and rod foot", "0.43 yd³"),
        ("Between the shots", "less than 0.01 yd³"),
        ("Single shots", "0.00 yd³"),
    ]
    none = with_interval(apron, shots=0.0, between_shots=0.0, datum=0.0, top=0.0)
    (said,) = keys_of(none, "interval")
    assert str(find(none, said, "interval").short) == "No source of error is stated"


def test_what_is_shared_is_not_told_with_what_the_base_leaves_open(apron):
    said = find(with_interval(apron), "concrete.interval.without_shared", "interval")
    assert re.fullmatch(
        r"Of the margin \(90 % sure\) ±\d\.\d+ yd³ comes from the base between the shots; the rest "
        r"is instrument height and rod foot, and strike-off",
        str(said.long),
    )
    assert str(said.long).startswith(str(said.short))
    alone = with_interval(apron, datum=0.0, top=0.0)
    assert "concrete.interval.without_shared" not in keys_of(alone, "interval")


def test_each_value_that_the_interval_rests_on_is_told_with_its_source(apron):
    survey = replace(apron.survey, sigma=0.002, datum_sigma=0.0009, foot_sigma=0.0012)
    unsure = with_interval(replace(apron, survey=survey))
    assert str(find(unsure, "concrete.interval.assumed", "interval").long) == (
        "Assumed, one standard deviation each: single shot 0.08 in (usual), instrument height "
        "0.04 in (usual), rod foot 0.05 in (usual), strike-off 0.07 in (usual); rod foot "
        "above the average base 0.00 in (not stated)"
    )
    survey = replace(survey, stated=frozenset({"sigma", "foot_high"}))
    stated = replace(unsure, survey=survey)
    said = find(stated, "concrete.interval.assumed", "interval")
    assert "single shot 0.08 in (from the job), instrument height 0.04 in (usual)" in str(said.long)
    assert str(said.short) == (
        "Assumed: single shot 0.08 in (from the job), instrument height 0.04 in, rod foot 0.05 in, "
        "strike-off 0.07 in: usual values, not from the job"
    )


def test_what_a_string_shares_is_called_no_instrument(apron):
    survey = replace(apron.survey, method="string-line depths", datum_sigma=0.0015)
    said = find(
        with_interval(replace(apron, survey=survey)), "concrete.interval.assumed", "interval"
    )
    assert "what all shots share 0.06 in" in str(said.short)
    assert "instrument" not in str(said.long)


def test_parts_add_up_to_the_volume_row_by_row(apron):
    topic = tell(apron, "parts")
    *rows, total = [said.cells for said in topic.statements if said.cells]

    assert topic.columns == ("part", "volume_yd3")
    assert total[0] == "Concrete in place"
    assert sum(float(volume) for _, volume in rows) == pytest.approx(float(total[1]), abs=0.003)
    assert [name for name, _ in rows] == [
        "Slab as drawn", "Base below the drawing", "south beam", "conduit"
    ]  # fmt: skip
    told = find(apron, "slab.nominal_volume", "parts")
    assert (str(told.figure), str(told.details[0])) == ("66.7 yd³", "3,600 ft² x 6 in")
    over = find(apron, "concrete.over_nominal", "parts")
    assert str(over.figure) == "2.77 yd³"
    assert "the slab takes 69.4 yd³" in str(over.details[0])
    assert str(find(apron, "concrete.parts.1.volume", "parts").figure) == "−0.05 yd³"


def test_a_part_too_small_for_the_digits_is_told_whether_it_is_put_on_or_taken_off(apron):
    parts = (("sleeve", -1e-4), ("key", 1e-4), ("pipe beside the slab", 0.0))
    small = replace(apron, concrete=replace(apron.concrete, parts=parts))
    told = [str(find(small, f"concrete.parts.{at}.volume", "parts").figure) for at in range(3)]
    assert told == ["less than 0.01 yd³ off", "less than 0.01 yd³", "0.00 yd³"]


def test_many_parts_are_told_by_their_sums_on_a_small_screen(apron):
    parts = tuple((f"beam {number}", 0.5) for number in range(20))
    many = replace(apron, concrete=replace(apron.concrete, parts=parts))
    topic = tell(many, "parts")

    assert [said.label for said in topic.at_least(Weight.TELLS)] == [
        "Slab as drawn", "Base below the drawing", "Thickenings", "Voids"
    ]  # fmt: skip
    assert sum(bool(said.cells) for said in topic.statements) == 23
