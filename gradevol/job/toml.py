"""The text of a job file: TOML, or refused with its line, what stands there and what to do."""

import re
import tomllib
from pathlib import Path
from typing import Any

from gradevol.ground.errors import InputError

_PLACE = re.compile(r"\s*\(at (?:line (?P<line>\d+), column \d+|end of document)\)$")
#: A line that only a job has: ``key = value``, or ``[table]``.
_JOB_LINE = re.compile(
    rb"""^(?:\xef\xbb\xbf)?[ \t]*(?:[\w."'-]+[ \t]*=|\[\[?[\w. \t]+\]\]?[ \t]*\r?(?:\#|$))""",
    re.MULTILINE,
)
#: Text between quotes, and a remark: what else a line holds is looked at.
_TEXT = re.compile(r"""".*?"|(?<=[=\[,\s])'[^']*'|#.*""")
NO_COMMA = "Write it without a comma: 4.5 for 4,5, and 1200 for 1,200"
_QUOTE = "Close the text with the quotation mark that it begins with"
_CORNERS = "[[0, 0], [24, 0], [24, 30]]"
#: A line that is to head a table, and does not: a bracket is missing, or a blank is within. Of some
#: tomllib says that they head one that stands above.
_NAME = r"\s*[\w-]+(?:\s*\.\s*[\w-]+)*\s*"
_NO_HEAD = re.compile(
    rf"^\s*(?!\[{_NAME}\]\s*$|\[\[{_NAME}\]\]\s*$)\[+\s*[A-Za-z][\w. \t-]*\]*\s*$"
)
_HEAD = "Write a table's name in one word between brackets: [slab] or [base.setups], each [[void]]"
#: What tomllib begins to say, and what to do.
_BY_MESSAGE = {
    "Cannot declare": "Head each table once, and put all its keys below that",
    "Cannot overwrite": "Write each key once: this one stands there twice, or as a table too",
}
#: What hands write that is no TOML, and what to do: the first that fits a line goes.
_BY_LINE = (
    ("[“”‘’]", 'Write straight quotation marks, such as "6 in", not curly ones'),
    (r"[=\[,]\s*[\u2010-\u2015\u2212]\s*[\d.]", "Write a plain hyphen for a minus"),
    (
        r"[^\S \t]|\u200b|\ufeff",
        "Type its blanks anew: one is no plain blank, as where text is pasted from a page",
    ),
    (
        r"[=\[,]\s*[-+]?(?:\.\d+|\d+\.)\s*(?:[,\]}]|$)",
        "A number has a digit on each side of its point: 0.5 for .5, 5.0 for 5.",
    ),
    (r"=\s*[-+]?\d+,\d+(?:\.\d*)?\s*$", NO_COMMA),
    (r"=\s*[-+]?0\d+(?:\.\d*)?\s*$", "Write the number without a 0 before it: 100.5 for 0100.5"),
    (r"=\s*(?:TRUE|True|FALSE|False|[Yy]es|[Nn]o)\s*$", "Write true or false, in small letters"),
    (r"=\s*$", "Write its value behind the =, or take the line out"),
    (r"^\s*[\w.]+\s*:", "Write = between a key and its value: level = 100.00"),
    (r"^\s*\w+(?:[ \t]+\w+)+\s*=", "Write a key as one word: instrument_height = 5.2"),
    (r"\[[^\]]*;|(?:=|^|[\[,])\s*\(", f"Write corners with square brackets and commas: {_CORNERS}"),
    (
        r"=\s*\[(?:[^\[\]]|\[[^\[\]]*\])*\]\s*\]\s*$",
        "Take out a ]: the list has one too many",
    ),
    (r";\s*$", "Take out the semicolon at its end"),
    (r"(?<![:\w])//|;", "Begin a remark with #"),
    (r"\{[^}]*$", "Write all that stands between { and } on one line"),
    (
        r"=\s*\[\s*[^\s\[].*\]\s*,\s*\[",
        f"Put one more pair of brackets about the corners: {_CORNERS}",
    ),
    (
        r"=.*\]\s*\[|\[\s*[-+]?[\d.]+\s+[-+]?[\d.]+\s*\]",
        f"Put a comma between one corner, or number, and the next: {_CORNERS}",
    ),
)
#: What tomllib begins to say of any other line, and what to do: the first that fits both goes.
_BY_BOTH = (
    ("Illegal character", "", _QUOTE),
    ("Unterminated string", "", _QUOTE),
    (
        "Unclosed array",
        r"^\s*[\[{]",
        "Put a comma between what stands here and the line above; the list ends with ]",
    ),
    (
        "Unclosed array",
        r"""^(?!.*(?:(?<!")"(?!")|'|\d\s*[^\W\d]|\d/))""",
        "Close with ] the list that begins here, or above",
    ),
    (
        "Invalid value",
        r"""^\s*(?:\[|[\w.]+\s*=\s*(?:\d|""))""",
        "Close with ] the list that begins above",
    ),
)


def read_toml(path: Path) -> dict[str, Any]:
    """
    Read a job file's tables and values.

    Raises
    ------
    InputError
        If it can't be read, is no job file, or is not TOML.
    """
    try:
        data = path.read_bytes()
        is_wide = data.startswith((b"\xff\xfe", b"\xfe\xff"))  # UTF-16: refused below
        if data.strip() and not is_wide and not _JOB_LINE.search(data):
            raise InputError(
                "this is no job file: no line of it is a key with its value or a [table]",
                remedy=f"If it is data, `gradevol describe {path.name}` tells what it holds, and "
                "a job names it; `gradevol new DIR` writes a job to begin with",
                path=path,
            )
        text = data.decode("utf-8-sig")
        return tomllib.loads(text)
    except OSError as error:
        raise InputError(
            f"this job file cannot be read ({error.strerror})", remedy="Check its name", path=path
        ) from error
    except UnicodeDecodeError as error:
        raise InputError(
            f"byte {error.start + 1} is not UTF-8 text",
            remedy="Save the job file as UTF-8",
            path=path,
        ) from error
    except RecursionError as error:
        raise InputError(
            "its lists are nested too deep", remedy="Check its brackets", path=path
        ) from error
    except ValueError as error:  # tomllib's own, and a number of thousands of digits
        raise _explain(str(error), path, text) from error


def _explain(message: str, path: Path, text: str) -> InputError:
    """Error for text that is not TOML, with its line."""
    line, lines = None, text.splitlines()
    if match := _PLACE.search(message):
        line = int(match["line"]) if match["line"] else max(1, len(lines))
        message = message[: match.start()]
    written = lines[line - 1] if line and line <= len(lines) else ""
    remedy = _find_remedy(message, written)
    # tomllib names a table as Python writes a tuple
    said = re.sub(r"\('(.+?)',?\)", r"[\1]", message).replace("', '", ".")
    quoted = f", in {written.strip()!r}" if written.strip() else ""
    return InputError(f"this is not TOML: {said}{quoted}", remedy=remedy, path=path, line=line)


def _find_remedy(message: str, line: str) -> str:
    """What to do about a line that is not TOML."""
    if "\\" in line:
        return 'Write / in paths, and \\" for an inch mark between quotes'
    bare = _TEXT.sub('""', line)
    if _NO_HEAD.search(bare):
        return _HEAD
    for begins, remedy in _BY_MESSAGE.items():
        if message.startswith(begins):
            return remedy
    for begins, pattern, remedy in (*(("", *each) for each in _BY_LINE), *_BY_BOTH):
        if message.startswith(begins) and re.search(pattern, bare):
            return remedy
    return 'Write text, and lengths with a unit, between quotes: "6 in", "5 ft 6 in"'
