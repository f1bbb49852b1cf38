"""What is said of thin concrete that the shots can't see."""

from dataclasses import replace

import pytest

from gradevol.answer.said.thin import tell_thin
from gradevol.answer.said.thin_risk import (
    round_chance,
    say_chance,
    say_cores,
    tell_tests,
    tell_thin_risk,
)
from gradevol.answer.said.topics import tell_topics
from gradevol.ground.units import SQUARE_FOOT
from gradevol.measures.spots import Spot, Spots
from gradevol.out.text.summary import compose_summary
from gradevol.site.locating import locate
from tests.unit.test_tree_thin import NEXT_TO_NONE, SOME


@pytest.fixture
def result(small):
    assert small.hidden is not None
    return replace(small, hidden=SOME)


def summary_of(result):
    return compose_summary(result.title, tell_topics(result))


def all_of(result):
    return [str(words) for topic in tell_thin_risk(result) for said in topic.statements
            for words in (said.label, said.figure, said.short, *said.details) if words]  # fmt: skip


@pytest.mark.parametrize(
    ("chance", "rounded", "words"),
    [
        (0.0, 0.01, "less than 1 %"),
        (0.0049, 0.01, "less than 1 %"),
        (0.0051, 0.01, "1 %"),
        (0.0874, 0.09, "9 %"),
        (0.5, 0.5, "50 %"),
        (0.9949, 0.99, "99 %"),
        (1.0, 0.99, "more than 99 %"),
    ],
)
def test_a_chance_is_told_to_the_hundredth_and_neither_as_0_nor_as_1(chance, rounded, words):
    assert round_chance(chance) == rounded
    assert say_chance(chance) == words


def test_what_is_likely_is_said_in_cores_of_a_hundred_on_one_line(result):
    told = "Probably thin, including spots nobody shot: 130 ft² (40 to 210 ft²)"
    assert f"  {told}\n" in summary_of(result)
    little = summary_of(replace(result, hidden=NEXT_TO_NONE))
    assert "including spots nobody shot: less than 1 ft²\n" in little
    (topic,) = tell_thin_risk(result)
    assert str(topic.statements[0].full) == "130 ft² (40 to 210 ft²); 9 cores in 100"
    assert say_cores(0.0101) == "1 core in 100"
    assert say_cores(1.0) == "over 99 cores in 100"


def test_what_is_next_to_nothing_is_never_told_as_none(result):
    told = all_of(replace(result, hidden=NEXT_TO_NONE))
    assert "less than 1 ft²" in told
    assert "less than 1 %" in told
    assert not {"0 ft²", "0 %"} & set(told)


def test_what_the_figures_rest_on_and_what_is_not_in_them_is_told(result):
    told = all_of(result)
    assert "90 % sure: 40 to 210 ft²" in told
    assert told[told.index("Chance that a core is under 5 1/4 in") + 1] == "9 %"
    assert told[-1].startswith("Takes the base between the shots to be as uneven as the shots")
    assert "; a hump narrower than " in told[-1]


def test_where_less_is_expected_than_was_seen_both_lines_say_how_that_goes_together(result):
    """Three square feet seen and less than one expected contradict each other, left alone."""
    seen = replace(result, thin=replace(result.thin, area=3 * SQUARE_FOOT), hidden=NEXT_TO_NONE)
    said = ", less than the 3 ft² seen: part of that may be the shots' own error"
    (thin,) = tell_thin(seen)[0].statements
    assert str(thin.details[-1]) == f"probably less than 1 ft² in all{said}"
    assert f"less than 1 ft²{said}" in all_of(seen)
    assert not any("seen: part of that" in told for told in all_of(result))
    # as many square feet, once rounded, need no word
    same = replace(result, thin=replace(result.thin, area=130.3 * SQUARE_FOOT))
    assert not any("seen: part of that" in told for told in all_of(same))


@pytest.mark.parametrize(
    ("area", "unshot", "said"),
    [
        (0.4, 0.0, "less than 1 ft² under 5 1/4 in in 1 spot; 0.19 yd³ to cut"),
        (30, 0.0, "30 ft² under 5 1/4 in in 1 spot; 0.19 yd³ to cut"),
        (
            30,
            12.0,
            "30 ft² under 5 1/4 in in 1 spot, 12 ft² of it where nobody shot; 0.19 yd³ to cut",
        ),
        (30, 30.0, "30 ft² under 5 1/4 in in 1 spot, where nobody shot: shoot there first"),
    ],
)
def test_how_much_of_what_is_thin_nobody_shot_is_said(result, area, unshot, said):
    spot = Spot(
        "thin", (), area * SQUARE_FOOT, 0.145, 0.12, (0.0, 0.0, 0.0), locate((1, 1), result.slab),
        3.0, 1.0, 0.0, unshot=unshot * SQUARE_FOOT,
    )  # fmt: skip
    (thin,) = tell_thin(replace(result, thin=Spots(area * SQUARE_FOOT, (spot,))))[0].statements
    assert str(thin.short) == said


def test_of_a_base_seen_everywhere_it_is_said_what_is_left_open(result):
    survey = replace(result.survey, ids=(), codes=(), readings=())
    told = all_of(replace(result, survey=survey))
    assert told[-1].startswith("Counts what all points may be off together")
    assert "as uneven as" not in told[-1]


def test_where_too_little_is_known_nothing_is_told(result):
    bare = replace(result, hidden=None)
    assert tell_thin_risk(bare) == tell_tests(bare) == ()
    assert "Probably" not in summary_of(bare)


def test_each_test_is_told_with_its_samples_limits_and_chance(result):
    (topic,) = tell_tests(result)
    mean, each = topic.statements

    assert str(mean.short) == "3 % chance to fail with 4 samples"
    assert str(each.short) == "less than 1 % chance to fail with 8 samples"
    assert str(mean.details[0]) == "average no more than 3/8 in under"
    assert topic.columns == ("test", "samples", "chance_to_fail")
    assert (mean.cells, each.cells) == (("mean", "4", "0.03"), ("each", "8", "0.01"))
    assert each.figure is not None
    assert each.figure.key == "thin.could_hide.acceptance.1.chance"


def test_the_seen_area_stands_beside_the_likely_one(result):
    (said,) = [topic.statements[0] for topic in tell_topics(result) if topic.key == "thin"]
    assert [str(words) for words in said.details] == ["under 5 1/4 in", "probably 130 ft² in all"]
