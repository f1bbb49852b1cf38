"""Plain trade English: no stiff word in what a user reads."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
#: Words that nobody says on a site, or that say otherwise what has a name or mean two things; but
#: an order may be said to leave "about 0.7 yd³ left over".
STIFF = re.compile(
    r"\bnought\b|\btold apart\b|\blikel(y|ier|iest)\b|\bseen or not\b|\bon the mean\b|\bparted\b"
    r"|\bkin\b|\bst(ands?|ood) off\b|\bbear in mind\b|\bnone seen is not none\b|, to 3\b"
    r"|(?<!sent back\|)(?<!about \{\} )(?<!about \{…\} )\bleft over\b"
    r"|\bwork list\b|\bline of work\b|\bbenchmarks\b|\bgoes to waste\b"
    r"|(?<!\|)\bheights? of (?:the )?instrument\b",  # instrument height, but in headings
    re.IGNORECASE,
)
#: Citations and caveats of method belong to the docs.
OF_DOCS = re.compile(r"common practice, no source", re.IGNORECASE)
SOURCES = sorted((ROOT / "gradevol").rglob("*.py"))


@cache
def strings_of(path):
    """Each text of a module but its docstrings, with gaps for what is put into it, by its line."""
    return list(list_strings(ast.parse(path.read_text(encoding="utf-8"))))


def list_strings(tree):
    within: set[int] = set()
    docs: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            within.update(id(value) for value in node.values)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and node.body:
            docs.add(id(getattr(node.body[0], "value", None)))
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            of = (
                str(each.value) if isinstance(each, ast.Constant) else "{}" for each in node.values
            )
            yield node.lineno, "".join(of)
        elif isinstance(node, ast.Constant) and id(node) not in within | docs:
            yield node.lineno, str(node.value)


def find_stiff(texts):
    return [f"{where}: {text}" for where, text in texts if " " in text and STIFF.search(text)]


def test_no_stiff_word_is_in_any_text_of_the_program():
    found = [
        f"{path.relative_to(ROOT)}, {stiff}"
        for path in SOURCES
        for stiff in find_stiff(strings_of(path))
    ]
    assert found == []


def test_no_stiff_word_is_on_the_page_the_starters_and_in_the_help():
    paths = [
        *(ROOT / "gradevol").rglob("*.js"),
        *(ROOT / "gradevol").rglob("*.html"),
        *(ROOT / "gradevol" / "out" / "starter").rglob("*.toml"),
        ROOT / "docs" / "reference" / "commands.md",
    ]
    lines = [
        (f"{path.name}:{number}", line)
        for path in paths
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if not line.strip().startswith("//")
    ]
    assert lines
    assert find_stiff(lines) == []


@pytest.mark.parametrize("room", ["answer", "out", "cli"])
def test_citations_and_caveats_of_method_are_not_on_a_crews_page(room):
    for path in (ROOT / "gradevol" / room).rglob("*.py"):
        for _, text in strings_of(path):
            assert not OF_DOCS.search(text), path


@pytest.mark.parametrize("text", ["told apart", "Shave: up to 5 mm, to 3", "What is left over"])
def test_a_stiff_word_is_found(text):
    assert find_stiff([(1, text)])
    assert not find_stiff([(1, "about {} left over"), (2, "likely_kernels")])
