import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gradevol.files.tables.stacked import Stacked, stack
from gradevol.ground import texts
from gradevol.ground.texts import Texts, hold_texts
from tests.conftest import ODD

WORDS = st.lists(st.text(ODD.replace("\n", ""), max_size=6), max_size=30)


@given(WORDS)
def test_texts_are_those_that_were_given(words):
    held = Texts(words)
    assert list(held) == words
    assert len(held) == len(words)
    assert [held[at] for at in range(len(words))] == words
    assert [held[at] for at in range(-len(words), 0)] == words
    assert list(held.strip()) == [word.strip() for word in words]
    assert list(pickle.loads(pickle.dumps(held))) == words


@given(WORDS, st.slices(20))
def test_slices_are_those_of_a_list(words, some):
    assert list(Texts(words)[some]) == words[some]
    assert list(Texts(words)[some].strip()) == [word.strip() for word in words[some]]


@given(st.lists(WORDS, max_size=4))
def test_texts_that_are_joined_follow_one_another(parts):
    assert list(Texts.join(map(Texts, parts))) == [word for part in parts for word in part]


def test_texts_are_made_again_in_several_batches(monkeypatch):
    monkeypatch.setattr(texts, "_AT_ONCE", 3)
    words = [str(number) for number in range(10)]
    assert list(Texts(words)) == words


def test_a_place_beyond_the_end_and_a_line_feed_are_refused():
    held = Texts(["a", "b"])
    for at in (2, -3):
        with pytest.raises(IndexError):
            held[at]
    with pytest.raises(ValueError, match="line feed"):
        Texts(["a\nb"])


def test_few_texts_are_a_tuple_and_many_take_a_tenth_of_one():
    assert hold_texts(["a", "b"]) == ("a", "b")
    many = hold_texts(f"{number / 1000:.3f}" for number in range(100_000, 120_000))
    assert isinstance(many, Texts)
    assert hold_texts(many) is many
    assert len(pickle.dumps(many)) < 13 * len(many)


def test_rows_of_one_length_are_stacked():
    rows: list[tuple[str, ...]] = [(str(number), "x", "") for number in range(10)]
    held = stack([rows[:4], rows[4:8], rows[8:]])
    assert isinstance(held, Stacked)
    assert list(held) == rows
    assert held[-1] == rows[-1]
    assert list(held[1:]) == rows[1:]
    assert list(held.columns[1]) == ["x"] * 10


@pytest.mark.parametrize("odd", [0, 5, 9])
def test_rows_of_several_lengths_are_kept_as_they_are(odd):
    rows: list[tuple[str, ...]] = [(str(number), "x") for number in range(10)]
    rows[odd] = ("1", "x", "more")
    assert stack([rows[:4], rows[4:8], rows[8:]]) == rows
    assert stack([]) == []
