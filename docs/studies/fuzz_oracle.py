"""What a damaged file's answer is held to."""

import re
from codecs import BOM_UTF16_BE, BOM_UTF16_LE

import numpy as np
from rasterio.errors import RasterioError  # type: ignore[import-untyped]
from rasterio.io import MemoryFile  # type: ignore[import-untyped]

from docs.studies.fuzz_cases import Case
from docs.studies.fuzz_roads import Told

#: A volume moves by no more than this in silence.
MOVED = 0.01
VERDICTS = (
    *("answered", "refused", "traceback", "hang", "memory", "killed"),
    *("within interval", "silent volume", "silently fewer"),
)
FINE = VERDICTS[:2]
#: A letter, and what a line may lose after it without a trace: the rest of its words.
_IN_WORD = re.compile(rb"[A-Za-z][A-Za-z ]*\n")
#: Where some lines end with a blank cell, what a line may lose from the mark before its last on.
_IN_LAST_CELL = re.compile(rb"[\w,;\t. ][\w. ]*\n")
_BLANK_CELL = re.compile(rb"[,;\t]\n")
#: A text of fewer lines holds many elements a line, or says nothing of how its last was written.
_FEW_LINES = 5
_UTF16 = (BOM_UTF16_LE, BOM_UTF16_BE)
#: What a grid begins with, and a step between two pixels, m, that a base may have at a trench.
_TIFF, _STEP = b"II*\0", 0.15


def weigh(told: Told, good: Told, case: Case) -> tuple[str, str]:
    """What an answer comes to, against that of the good file."""
    if told.said - good.said:
        return "answered", ""
    if case.is_weighed and told.volume is not None and good.volume:
        moved = told.volume / good.volume - 1
        if abs(moved) > MOVED:
            return "silent volume", f"{moved:+.2%}, {told.count} of {good.count}"
    if told.count is not None and good.count is not None and told.count < good.count:
        return "silently fewer", f"{told.count} of {good.count}"
    return "answered", ""


def is_another(raw: bytes, good: bytes, way: str) -> bool:
    """Whether nothing tells of it: whole lines are gone, or another reader sees a grid as even."""
    if good.startswith(_TIFF):
        return _is_as_even(raw, good)
    lines = _count_lines(good)
    match way:
        case "drop_line":
            return True
        case "cut_short":
            is_text = lines >= _FEW_LINES and b"\0" not in good
            is_short = is_text and _count_lines(raw) < _FEW_LINES
            wide = 2 if good.startswith(_UTF16) else 1
            is_at_end = b"\n" in good[len(raw) - wide : len(raw) + wide]
            lost = good[len(raw) - 1 : len(raw) + 40]
            is_in_word = is_text and (
                _IN_WORD.match(lost) or (_BLANK_CELL.search(good) and _IN_LAST_CELL.match(lost))
            )
            return is_short or is_at_end or bool(is_in_word)
        case "cut_out":
            is_less = _read(raw).count("\n\n") > _read(good).count("\n\n")  # a line was emptied
            return is_less or lines > _count_lines(raw) or lines < _FEW_LINES
    return lines > _count_lines(raw)


def _count_lines(raw: bytes) -> int:
    """Ends of lines; in UTF-16 half of one is none."""
    return _read(raw).count("\n")


def _read(raw: bytes) -> str:
    """Text of a file; of other encodings only the ends of lines mean anything."""
    coding = "utf-16" if raw.startswith(_UTF16) else "latin-1"
    return raw.decode(coding, errors="replace")


def _is_as_even(raw: bytes, good: bytes) -> bool:
    """Whether another reader, too, reads a grid without a large step, but at its rim."""
    try:
        with (
            MemoryFile(raw) as file,
            MemoryFile(good) as other,
            file.open() as grid,
            other.open() as was,
        ):
            level = grid.read(1)[1:-1, 1:-1]
            steps = (np.abs(np.diff(level, axis=axis)).max() for axis in (0, 1))
            is_placed = grid.transform == was.transform and grid.shape == was.shape
            return is_placed and all(step < _STEP for step in steps)
    except RasterioError:
        return False


def weigh_words(text: str) -> tuple[str, str]:
    """What a refusal comes to: one short paragraph that can be printed."""
    if len(text) > 2000 or not text.isprintable():
        return "traceback", "long or unprintable words: " + repr(text)[:300]
    return "refused", text[:300]
