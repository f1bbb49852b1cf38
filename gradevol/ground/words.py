"""Counts, lists and quoted text in words."""

import re
from collections.abc import Sequence

#: Verbs that take more than an s where they speak of one thing.
_OF_ONE = {"are": "is", "have": "has", "do": "does", "were": "was"}
#: Text of a file longer than this is cut where it is quoted.
_LONGEST = 40
#: Quoted text in a sentence is cut to this.
_QUOTED = 60
#: Nor is one word longer, but where it is no word; paths are shorter.
_RUN = re.compile(r"\S{250,}")
#: Two numbers are named both.
_PAIR = 2
#: No sentence needs more; of a longer one the middle is left out.
_SENTENCE = 6000
#: A quoted text with marks or backslashes that Python has put a backslash before.
_ESCAPED = re.compile(r"(?<!\w)(['\"])((?:(?!\1)[^\\]|\\['\"\\])*)\1(?!\w)")
_LITERAL = re.compile(rf"(?<!\w)(['\"])((?:(?!\1)[^\\]|\\.){{{_QUOTED + 1},}}+)\1(?!\w)", re.DOTALL)


def count_of(count: int, noun: str, verb: str = "") -> str:
    """A count and its noun: ``1 shot``, ``1,200 shots``; with a verb, ``1 shot lies``.

    The noun is of one thing, the verb of several: ``lie``, ``are``.
    """
    said = f"{count:,} {noun_of(count, noun)}"
    return f"{said} {verb_of(count, verb)}" if verb else said


def noun_of(count: int, noun: str) -> str:
    """A noun in the number that goes with a count: ``shot``, ``shots``."""
    return noun if count == 1 else f"{noun}s"


def verb_of(count: int, verb: str) -> str:
    """A verb in the number that goes with a count: ``lie``, ``lies``; ``are``, ``is``."""
    return verb if count != 1 else _OF_ONE.get(verb, f"{verb}s")


def list_of(items: Sequence[str], most: int = 6) -> str:
    """Items as ``a, b and c``; of many, the first few and how many more there are."""
    if len(items) > most + 1:
        return f"{', '.join(items[:most])} and {len(items) - most:,} more"
    return " and ".join(part for part in (", ".join(items[:-1]), *items[-1:]) if part)


def list_numbers(numbers: Sequence[int]) -> str:
    """Rising numbers as ``2``, ``1 and 3``, ``1 to 3 and 5``: from and to, of three and more."""
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    told: list[str] = []
    for run in runs:
        told += [f"{run[0]} to {run[-1]}"] if len(run) > _PAIR else map(str, run)
    return list_of(told, most=len(told))


def with_minus(number: str) -> str:
    """A number as it is read: with a minus as long as its digits, where it has a hyphen."""
    return f"\N{MINUS SIGN}{number[1:]}" if number.startswith("-") else number


def end_sentence(text: str) -> str:
    """Text with a stop behind it, where it has no mark of its own; of nothing, nothing."""
    return text if not text or text.endswith((".", "?", "!", ":")) else f"{text}."


def capital(text: str) -> str:
    """Text as it begins a sentence."""
    return text[:1].upper() + text[1:]


def first_of(items: Sequence[str], most: int = 12, *, mark: str = ", ") -> str:
    """Items as ``a, b, c``; of more than `most`, the first and how many more there are."""
    lead = " " if mark == ", " else mark
    more = f"{lead}and {len(items) - most:,} more" if len(items) > most else ""
    return mark.join(items[:most]) + more


def printable(text: str, mark: str = " ") -> str:
    """Text with a mark in place of what steers a terminal or a browser, or can't be shown."""
    return text if text.isprintable() else "".join(c if c.isprintable() else mark for c in text)


def plain(text: str) -> str:
    """Printable text on one line, single spaces between its words."""
    return " ".join(printable(text).split())


def show(text: str) -> str:
    """Text of a file as it can be printed: short, and with nothing that steers a terminal."""
    clean = printable(text, "·")
    return clean if len(clean) <= _LONGEST else f"{clean[: _LONGEST - 3]}..."


def legible(name: str) -> str:
    """Write the name of a file as text: of one from an older system, bytes may be no letters."""
    return name.encode("utf-8", "replace").decode("utf-8")


def tame(sentence: str) -> str:
    """Make a sentence that quotes a file fit a screen: long quotes are cut, controls are dots."""
    if len(sentence) > _SENTENCE:
        sentence = f"{sentence[: _SENTENCE // 2]}...{sentence[-_SENTENCE // 2 :]}"
    clean = printable(sentence, "·")
    short = _LITERAL.sub(lambda quote: f"{quote[0][: _QUOTED - 3]}...{quote[1]}", clean)
    return _RUN.sub(lambda run: f"{run[0][:_QUOTED]}...", short)


def unescape(sentence: str) -> str:
    """Show what a sentence quotes as it was written: ``5'-6"``, with no backslash before marks."""
    if "\\" not in sentence:
        return sentence
    return _ESCAPED.sub(lambda quote: re.sub(r"\\(.)", r"\1", quote[0]), sentence)
