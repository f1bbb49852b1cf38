"""Text broken into lines of a terminal, never within a measure."""

import re
import textwrap
from collections.abc import Iterable, Sequence
from functools import lru_cache

from gradevol.answer.cautions import CAUTIONS
from gradevol.ground.words import plain

#: Columns of a terminal, but for the last.
COLUMNS = 79
#: Spaces at which no line is broken: within a measure, and before the number of a side.
_BOUND = re.compile(
    r"(?<=\d) (?=\d+(?:/\d+)? |(?:ft|in|mm|m|yd)[²³3]?\b|%)|(?<= ft) (?=\d)|(?<=side|rner) (?=\d)"
    r"|(?<=\d) (?=x \d)|(?<=\d x) (?=\d)"
)
_BOND = "\x1f"


@lru_cache(maxsize=1024)  # a summary is laid out again and again, of much the same paragraphs
def wrap(
    text: str, before: str = "", below: str = "", *, most: int | None = None
) -> tuple[str, ...]:
    """
    Break text into lines of `COLUMNS`.

    Parameters
    ----------
    text : str
    before, below : str
        Stand before the first line, and before the others.
    most : int, optional
        Lines; what is more is cut, and shown to be.
    """
    lines = textwrap.wrap(
        _BOUND.sub(_BOND, plain(text)),
        COLUMNS,
        initial_indent=before,
        subsequent_indent=below,
        max_lines=most,
        placeholder=" ...",
        break_on_hyphens=False,
    )
    return tuple(line.replace(_BOND, " ") for line in lines)


def hang(label: str, text: str, margin: int, *, most: int | None = None) -> tuple[str, ...]:
    """Break text into lines beside a margin, a label in that of the first; `most` as of `wrap`."""
    return wrap(text, label.ljust(margin), " " * margin, most=most)


def join_blocks(blocks: Iterable[Sequence[str]]) -> str:
    """Blocks of lines, a blank one between two, and below them the cautions."""
    cautions = [line for caution in CAUTIONS for line in wrap(caution)]
    return "\n\n".join("\n".join(lines) for lines in (*blocks, cautions) if lines) + "\n"
