"""Letters that an output lacks: Windows writes pipes and files by code pages of 256 letters."""

import codecs
import io
import sys
from contextlib import suppress

from gradevol.ground.look_alikes import LOOK_ALIKES

_PLAIN = str.maketrans(LOOK_ALIKES | {"±": "+-", "√": "sqrt ", "≈": "about ", "·": "."})


def _spell(error: UnicodeError) -> tuple[str, int]:
    """Spell what can't be encoded by letters that every code page has."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lacking = error.object[error.start : error.end]
    return "".join(map(_spell_one, lacking)), error.end


def _spell_one(letter: str) -> str:
    import unicodedata  # noqa: PLC0415  (a library of its own: not for --help to load)

    plain = unicodedata.normalize("NFKD", letter.translate(_PLAIN)).translate(_PLAIN)
    spelt = plain.encode("ascii", "ignore").decode() or "?"
    is_fraction = unicodedata.decomposition(letter).startswith("<fraction>")
    return f" {spelt}" if is_fraction else spelt  # 4⅝ is no 45/8


codecs.register_error("gradevol.spell", _spell)


def spell_what_lacks() -> None:
    """Have standard output and error spell what their encoding lacks: a loss, but no traceback."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            with suppress(OSError, ValueError):  # closed, or put elsewhere since
                stream.reconfigure(errors="gradevol.spell")
