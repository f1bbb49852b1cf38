"""Spaces at which no line is broken: a measure and its unit stay together."""

import re
from functools import lru_cache

from gradevol.ground.words import plain

_BOUND = re.compile(
    r"(?<=\d) (?=\d+(?:/\d+)? |(?:ft|in|mm|m|yd|%)[²³]?(?:\W|$))|(?<= ft) (?=\d)"
    r"|(?<=side|rner|shot) (?=\d)|(?<=\bat) (?=side|corner)|(?<=\d) (?=[x×] \d)|(?<= [x×]) (?=\d)"
    r"|(?<=\b[CFG]) (?==)|(?<==) "
)
_BOND = "\x1f"


@lru_cache(maxsize=5_000)  # a search for room asks for the same words again
def split_bound(text: str) -> tuple[str, ...]:
    """Words of a text, with a measure, or the number of a side, as one word."""
    return tuple(word for word in _BOUND.sub(_BOND, plain(text)).split(" ") if word)


def loosen(text: str) -> str:
    """Text of such words as it is printed."""
    return text.replace(_BOND, " ")
