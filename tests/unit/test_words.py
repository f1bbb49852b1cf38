"""Counts and lists in words, and errors whose parts are kept."""

from pathlib import Path

import pytest

from gradevol.ground.errors import InputError
from gradevol.ground.words import count_of, end_sentence, first_of, list_of, show, tame, unescape


@pytest.mark.parametrize(
    ("count", "verb", "said"),
    [
        (0, "", "0 shots"),
        (1, "", "1 shot"),
        (1200, "", "1,200 shots"),
        (1, "lie", "1 shot lies"),
        (2, "lie", "2 shots lie"),
        (1, "are", "1 shot is"),
        (3, "have", "3 shots have"),
        (1, "have", "1 shot has"),
    ],
)
def test_noun_and_verb_go_with_the_count(count, verb, said):
    assert count_of(count, "shot", verb) == said


@pytest.mark.parametrize(
    ("items", "said"),
    [
        ("", ""),
        ("a", "a"),
        ("ab", "a and b"),
        ("abc", "a, b and c"),
        ("abcd", "a, b and 2 more"),
    ],
)
def test_a_list_names_the_first_and_counts_the_rest(items, said):
    assert list_of(list(items), 2) == said


def test_the_first_of_many_are_counted_whatever_parts_them():
    assert first_of(list("abc"), 3) == "a, b, c"
    assert first_of(list("abc"), 2) == "a, b and 1 more"
    assert first_of(list("abc"), 2, mark="; ") == "a; b; and 1 more"


def test_quoted_text_is_short_and_steers_no_terminal():
    assert show("\x1b[2J") == "·[2J"
    assert show("x" * 50) == "x" * 37 + "..."


def test_an_error_keeps_its_parts_and_says_them_in_one_paragraph():
    error = InputError(
        "it has no header row",
        remedy="Add one",
        path=Path("a.csv"),
        line=3,
        quoted="'1,2'",
        code="columns-not-known",
    )
    assert str(error) == "a.csv, line 3: it has no header row: '1,2'. Add one."
    assert (error.problem, error.remedy, error.line) == ("it has no header row", "Add one", 3)
    assert (error.path, error.quoted, error.code) == (Path("a.csv"), "'1,2'", "columns-not-known")


def test_a_long_quote_is_cut_and_no_control_reaches_the_screen():
    said = tame(f"the cell {'x' * 5000!r} isn't a number, in \x1b[2J the file's row '1,2'")
    assert said == f"the cell '{'x' * 56}...' isn't a number, in ·[2J the file's row '1,2'"
    assert tame(f'the user\'s "{"y" * 61}"') == f'the user\'s "{"y" * 56}..."'


def test_a_word_that_is_none_is_cut():
    assert tame(f"codes asks for {'Z' * 5000}, but") == f"codes asks for {'Z' * 60}... but"


def test_a_quote_that_just_finds_room_is_left():
    said = f"the cell '{'x' * 60}' is none"
    assert tame(said) == said


def test_a_hundred_thousand_quotes_are_looked_at_once():
    assert len(tame("' \"\\" * 100_000)) > 0


@pytest.mark.parametrize("text", ["5'-6 1/2\"", "sub\\s.csv", "n\\e", 'a"b', "plain"])
def test_what_a_sentence_quotes_stands_there_as_it_was_written(text):
    assert f"'{text}' is" in unescape(f"{text!r} is one")


def test_a_backslash_that_is_no_quotes_is_kept():
    said = "Unescaped '\\' in a string; write \\\" for an inch mark"
    assert unescape(said) == said


@pytest.mark.parametrize(
    ("text", "ended"),
    [("Look there", "Look there."), ("Reshoot.", "Reshoot."), ("Twice?", "Twice?"), ("", "")],
)
def test_a_sentence_has_one_mark_at_its_end(text, ended):
    assert end_sentence(text) == ended
