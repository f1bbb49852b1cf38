"""What is said: each figure says where its number stands, and no word of it is missing."""

import re
from dataclasses import replace
from typing import Any

import pytest

from gradevol.answer.said.exceeded import find_exceeded
from gradevol.answer.said.grading import tell_grading
from gradevol.answer.said.moves import tell_moves
from gradevol.answer.said.next_shots import tell_next_shots
from gradevol.answer.said.notes import tell_before_order
from gradevol.answer.said.order import tell_need, tell_order
from gradevol.answer.said.outcome import tell_after_work
from gradevol.answer.said.points import tell_points
from gradevol.answer.said.survey import say_share
from gradevol.answer.said.top import tell_top
from gradevol.answer.said.work import tell_work
from gradevol.answer.statement import Figure, Words
from gradevol.answer.tree.result import present

TELLS = (
    tell_order, tell_need, tell_before_order, tell_work, tell_after_work, tell_grading, tell_top,
    tell_moves, tell_next_shots, tell_points,
)  # fmt: skip
#: A number within words.
_NUMBER = re.compile(r"-?\d*\.?\d+")


@pytest.fixture(scope="module", params=["apron/job_costs", "apron/job", "courtyard/job"])
def checked(request, check_sample):
    return check_sample(f"{request.param}.toml")


def figures_of(result):
    for topic in (topic for tell in TELLS for topic in tell(result)):
        for said in topic.statements:
            figures = (said.figure,) if said.figure is not None else ()
            for words in (Words(figures), said.short, said.long, *said.details):
                yield from (part for part in words.parts if isinstance(part, Figure))


def test_each_figure_says_where_its_number_stands(checked):
    view, told = present(checked), 0
    for figure in figures_of(checked):
        value: Any = view
        for key in figure.key.split("."):
            value = value[int(key)] if isinstance(value, list) else value[key]
        if figure.text.endswith(("yd³", "m³", "ft²", "m²")):  # in the unit of the data
            (said, *_) = _NUMBER.findall(figure.text.replace(",", ""))
            digits = len(said.partition(".")[2])
            assert abs(abs(value) - abs(float(said))) <= 1.01 * 10**-digits
            told += 1
    assert told > 10


def test_the_rows_of_a_table_have_a_cell_for_each_column(checked):
    for topic in (topic for tell in TELLS for topic in tell(checked)):
        rows = [said.cells for said in topic.statements if said.cells]
        assert all(len(row) == len(topic.columns) for row in rows)


def test_a_topic_says_each_fact_once(checked):
    for topic in (topic for tell in TELLS for topic in tell(checked)):
        keys = [said.key for said in topic.statements]
        assert len(set(keys)) == len(keys)
        assert len(topic.label) <= 10


def test_names_of_files_and_jobs_are_said_as_they_are(checked):
    names = tuple(f"{{{number}}}" for number in range(len(checked.survey.ids)))
    named = replace(
        checked,
        title="{}",
        survey=replace(checked.survey, ids=names),
        slab=replace(checked.slab, side_names=("{}",) * 4),
    )
    told = [str(said.full) for tell in TELLS for topic in tell(named) for said in topic.statements]

    assert any("({})" in text for text in told)


def test_cut_and_fill_are_told_with_what_is_beyond_each_tolerance(apron):
    (topic,) = tell_grading(apron)
    told = [str(said.full) for said in topic.statements]

    assert told[0] == "high spots 0.45 yd³, low spots 3.22 yd³, in place, to the design base"
    assert told[1] == "the base is high, and the slab thinner than drawn, on 13 % of it"
    assert told[2] == "more than 3/8 in high: 172 ft² in 2 spots"
    assert [said.key for said in topic.statements] == [
        "grading.cut",
        "grading.high_share",
        "grading.high",
        "grading.low",
    ]


def test_limits_that_are_exceeded_are_named(apron):
    found = find_exceeded(apron)

    assert found[0] == "25 ft² thinner than the least thickness"
    assert found[1].endswith("beyond base_high")
    assert found[2].endswith("beyond base_low")


def test_what_a_hair_is_missing_of_the_slab_is_all_of_it_in_every_line():
    # "all of the slab inside them" stood above "Slab inside them 99.9 %"
    assert say_share(1 - 5e-7) == "100 %"
    assert say_share(0.99999) == "99.9 %"
