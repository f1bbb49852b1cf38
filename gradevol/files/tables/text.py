"""Text files as they come from instruments and spreadsheets: bytes to text, lines to cells."""

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from gradevol.files.sniff import File
from gradevol.files.tables.stacked import stack
from gradevol.ground.errors import InputError
from gradevol.ground.lengths import LONGEST, tidy
from gradevol.ground.texts import MANY
from gradevol.ground.words import show

#: Byte order marks: RFC 3629 section 6, RFC 2781 section 3.2.
_MARKS = (
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe", "utf-16-le"),
    (b"\xfe\xff", "utf-16-be"),
)
_CONTROLS = re.compile(rb"[\x00-\x08\x0e-\x1f]")

#: Stands before the name of a sheet, where text is that of a workbook.
SHEET = "sheet "

#: What blank lines are made of: blanks, and delimiters without anything between them.
BLANKS = ' \t,;|"'
MARKS_OF_COMMENTS = ("#", "//", ";")
#: Lines that show what a file is like.
SAMPLED = 200
_LONG = 2000
#: Lines that are split at a time.
_AT_ONCE = 100_000
_NUMBER_LIKE = re.compile(
    r"""[-+]?\s*(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:[eE][-+]?[0-9]+)?
        (?:[\s-]+[0-9]+/[0-9]+)?
        (?:-(?:[0-9]|1[01])(?:[\s-]+[0-9]+/[0-9]+|-[0-7])?)?  # feet and inches, and eighths
        (?:\s*(?:'|"|ft|in|mm?|cm)[-\s]*[0-9./\s-]*(?:"|in)?)?|[0-9]+/[0-9]+(?:"|\s?in)?""",
    re.VERBOSE,
)
#: Numbers whose thousands are parted, so that nothing else can be meant, by their decimal mark.
_PARTED = {
    ".": re.compile(r"[-+−]?[1-9][0-9]{0,2}(?:(?:,[0-9]{3})+\.[0-9]*|(?:,[0-9]{3}){2,})"),
    ",": re.compile(r"[-+−]?[1-9][0-9]{0,2}(?:(?:\.[0-9]{3})+,[0-9]*|(?:\.[0-9]{3}){2,})"),
}
#: Blanks that do not break, which spreadsheets put between thousands.
_UNBROKEN = re.compile(r"(?<=[0-9])[\u00a0\u202f\u2009](?=[0-9]{3}(?![0-9]))")
_DECIMALS = re.compile(r"[-+−]?[0-9]*(?:[.,]([0-9]*))?")
_WITH_COMMA = re.compile(r"[-+−]?[0-9]*,[0-9]+")
_WITH_POINT = re.compile(r"[-+−]?[0-9]*\.[0-9]+")


@dataclass(frozen=True, slots=True)
class Text:
    """
    A file's text.

    Attributes
    ----------
    content : str
        The text; every line ends with a line feed alone.
    encoding : str
        How it was decoded: ``utf-8``, ``utf-8-sig``, ``utf-16-le``, ``utf-16-be``, ``cp1252``,
        which is a guess; or the name of a workbook's sheet behind `SHEET`.
    """

    content: str
    encoding: str


def read_text(file: File, sheet: str = "") -> Text:
    """
    Read a text file: UTF-8, UTF-16 with its mark, or as a last resort Windows-1252.

    Or a sheet of a workbook, by its name where that is given.

    Raises
    ------
    InputError
        If it is blank, or is not text.
    """
    if file.kind == "workbook":
        from gradevol.files.tables.workbook import read_workbook  # noqa: PLC0415

        name, content = read_workbook(file.read(), file.path, sheet)
        return Text(content, f"{SHEET}{show(name)}")
    return decode_text(file.read(), file.path)


def decode_text(data: bytes, path: Path) -> Text:
    """Text of a file's bytes, or of its first; see `read_text`."""
    if not data.strip():
        raise InputError("it is empty", remedy="Check that this is the right file", path=path)
    content, encoding = _decode(data, path)
    content = content.replace("\r\n", "\n").replace("\r", "\n").rstrip("\x1a")  # DOS's end of file
    return Text(content, encoding)


def _decode(data: bytes, path: Path) -> tuple[str, str]:
    for mark, encoding in _MARKS:
        if data.startswith(mark):
            try:
                return data.decode(encoding).removeprefix("\ufeff"), encoding
            except UnicodeDecodeError as error:
                raise InputError(
                    f"its first bytes say {encoding.removesuffix('-sig').upper()}, but it is not",
                    remedy="Save it again as UTF-8 text",
                    path=path,
                ) from error
    if control := _CONTROLS.search(data.rstrip(b"\x1a")):
        halves = data[:200:2], data[1:200:2]
        wide = any(half and half.count(0) > 0.8 * len(half) for half in halves)
        seems = "UTF-16 text without its mark" if wide else "a binary file, not text"
        raise InputError(
            f"it seems to be {seems} (byte {control[0][0]:02x} at {control.start()})",
            remedy="Save it again as UTF-8 text, or name the right file",
            path=path,
        )
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        pass
    try:
        return data.decode("cp1252"), "cp1252"
    except UnicodeDecodeError as error:
        raise InputError(
            f"byte {data[error.start]:02x} at {error.start} is neither UTF-8 nor Windows-1252 text",
            remedy="Save it again as UTF-8 text",
            path=path,
        ) from error


def is_comment(line: str, delimiter: str) -> bool:
    """Whether a line of a file with such a delimiter is a comment."""
    return line.lstrip().startswith(MARKS_OF_COMMENTS[: 2 if delimiter == ";" else 3])


def split_cells(lines: Sequence[str], delimiter: str) -> Sequence[tuple[str, ...]]:
    """
    Cells of each line; quoted ones may hold the delimiter.

    A quote that is left open takes in the lines after it: fewer rows come back than went in.
    """
    # tuples of text, unlike lists, are of no concern to the garbage collector: on a million
    # lines that is 0.5 s instead of 1.6 s
    rows: Iterator[Sequence[str]] = map(str.split, lines)
    if delimiter != " ":
        rows = csv.reader(lines, delimiter=delimiter, skipinitialspace=True)
    if len(lines) <= MANY:
        return list(map(tuple, rows))
    return stack(_take_batches(map(tuple, rows)))


def _take_batches(rows: Iterator[tuple[str, ...]]) -> Iterator[list[tuple[str, ...]]]:
    while some := list(islice(rows, _AT_ONCE)):  # Ctrl-C is heard between two
        yield some


def is_number_like(cell: str) -> bool:
    """Whether a cell looks like a number or a length, whatever its decimal mark."""
    cell = cell.strip()
    if len(cell) > LONGEST:
        return False
    if not cell.isascii():
        cell = tidy(_UNBROKEN.sub("", cell))
    if _NUMBER_LIKE.fullmatch(cell):
        return True
    return any(parted.fullmatch(cell) for parted in _PARTED.values())


def join_thousands(cell: str, decimal: str) -> str:
    """
    A number without what parts its thousands, where that can be nothing else.

    Parameters
    ----------
    cell : str
    decimal : str
        The decimal mark of its table: ``2,134,567.89`` with a point, ``2.134.567,89`` with a comma.

    Returns
    -------
    str
        Any other cell as it is: of ``12,345`` it can't be known.
    """
    if not cell.isascii():
        cell = _UNBROKEN.sub("", cell)
    if _PARTED[decimal].fullmatch(cell):
        return cell.replace("," if decimal == "." else ".", "")
    return cell


def count_decimals(cell: str) -> int | None:
    """Digits behind the decimal mark of a plain number; None of any other cell."""
    match = _DECIMALS.fullmatch(cell.strip())
    return len(match[1] or "") if match else None


def find_delimiter(lines: Sequence[str]) -> str:
    r"""
    Which of ``\t | ; ,`` or a blank (for aligned columns) stands between the cells.

    It is the one that makes most cells that hold something numbers, so that ``1;10,5;20,3`` and
    ``1 10,5 20,3`` keep their decimal commas. Of equals, a visible one goes before the blank; where
    tabs stand in every line, blanks are within cells.
    """
    sample = [line[:_LONG] for line in lines[:SAMPLED]]
    is_tabbed = all(line.count("\t") > 1 for line in sample)
    best, best_score = " ", 0.0
    for delimiter in ("\t", "|", ";", ",", " "):
        if not any(delimiter in line for line in sample) or (delimiter == " " and is_tabbed):
            continue
        shares = [
            sum(map(is_number_like, held)) / len(held)
            for cells in split_cells(sample, delimiter)
            if len(cells) > 1 and (held := [cell for cell in cells if cell.strip()])
        ]
        score = sum(shares) / len(sample) - (0.05 if delimiter == " " else 0)
        if score > best_score:
            best, best_score = delimiter, score
    if best_score == 0.0:  # no numbers at all: a header alone, or prose
        best = next((mark for mark in "\t|;," if sample and mark in sample[0]), " ")
    return best


def find_decimal(rows: Sequence[Sequence[str]], delimiter: str) -> str:
    """
    Which decimal mark the cells have, by the majority of them.

    Where the cells are parted by commas it is the point: a comma inside a quoted number is more
    likely to part thousands.
    """
    if delimiter == ",":
        return "."
    cells = [cell.strip() for row in rows[:SAMPLED] for cell in row]
    commas = sum(_WITH_COMMA.fullmatch(cell) is not None for cell in cells)
    points = sum(_WITH_POINT.fullmatch(cell) is not None for cell in cells)
    return "," if commas > points else "."
