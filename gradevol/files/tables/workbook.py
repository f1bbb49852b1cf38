"""Workbooks (.xlsx): the one sheet that holds a table, as text with a tab between the cells.

Of openpyxl it would take two readings to know a formula without its value from a blank, and 480 MB
for 100,000 rows of five cells, where this takes 110 MB and less than half the time.

References
----------
ECMA-376, part 1: 18.2 (workbook), 18.3 (worksheet), 18.4 (shared strings), 18.8 (styles); part 2
for the package. A formula counts by the value that was last worked out and stored beside it.
"""

import csv
import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from xml.etree import ElementTree

from gradevol.files.sources import is_one_sheet
from gradevol.files.tables.number_formats import BUILT_IN, show_number
from gradevol.files.tables.text import is_number_like
from gradevol.ground.errors import InputError
from gradevol.ground.words import count_of, list_of, noun_of

#: Bytes that a part of the package may unpack to: a table of a million rows has about as much.
_LARGEST = 1 << 28
#: Ways that parts of a package are packed (part 2, annex on ZIP, from memory).
_PACKED = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
#: No sheet has more rows.
_LAST_ROW = 1 << 20
_AGAIN = "Save it again in the spreadsheet program, or save the sheet as CSV"
_PLACE = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_MERGED = re.compile(r"[A-Z]+([0-9]+):[A-Z]+([0-9]+)")


@dataclass(slots=True)
class _Book:
    """What the sheets of a workbook share."""

    path: Path
    package: zipfile.ZipFile
    strings: list[str] = field(default_factory=list)
    formats: list[str] = field(default_factory=list)
    is_1904: bool = False
    fault: InputError | None = None

    def refuse(self, problem: str, remedy: str, *, line: int | None = None) -> InputError:
        return InputError(problem, remedy=remedy, path=self.path, line=line)

    def note(self, problem: str, remedy: str, *, line: int | None = None) -> None:
        """Note the first fault of a sheet, which matters only if that is the one that is read."""
        self.fault = self.fault or self.refuse(problem, remedy, line=line)


def read_workbook(data: bytes, path: Path, sheet: str = "") -> tuple[str, str]:
    """
    Read a sheet of a workbook: the one that is seen and holds a table, or the one that is named.

    Others may hold remarks.

    Parameters
    ----------
    data : bytes
        The file's.
    path : Path
        For errors.
    sheet : str
        Its name, in capitals or not; empty where there is but one.

    Returns
    -------
    name : str
        The sheet's.
    text : str
        One line for each row from the first, tabs between the cells.

    Raises
    ------
    InputError
        If it is damaged, several sheets hold tables and none is named, none that is seen has the
        name, rows of it are hidden, cells are merged over rows with numbers, or a formula has no
        value.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            if any(part.compress_type not in _PACKED for part in package.infolist()):
                raise zipfile.BadZipFile("packed as no workbook is")
            return _read_package(_Book(path, package), sheet)
    except (
        *(zipfile.BadZipFile, zlib.error, ElementTree.ParseError, EOFError, NotImplementedError),
        *(LookupError, ValueError, RuntimeError, OverflowError),
    ) as error:
        raise InputError(
            f"it is a damaged workbook ({type(error).__name__})", remedy=_AGAIN, path=path
        ) from error


def _read_package(book: _Book, sheet: str) -> tuple[str, str]:
    names = set(book.package.namelist())
    if "xl/sharedStrings.xml" in names:
        for item in _walk(book, "xl/sharedStrings.xml", "si"):
            book.strings.append(_text_of(item))
    if "xl/styles.xml" in names:
        _read_styles(book)
    held: dict[str, list[list[str]]] = {}
    faults: dict[str, InputError | None] = {}
    for name, part in _choose_sheets(book, sheet):
        book.fault = None
        rows = _read_sheet(book, part)
        if any(map(any, rows)):
            held[name], faults[name] = rows, book.fault
    tables = {name: rows for name, rows in held.items() if any(map(_has_numbers, rows))}
    held = tables or held  # a sheet of remarks is no table
    if len(held) != 1:
        counts = {name: count_of(sum(map(any, rows)), "row") for name, rows in held.items()}
        said = list_of([f"{name!r} ({count})" for name, count in counts.items()])
        raise book.refuse(
            f"several sheets hold tables: {said}" if held else "no sheet that is seen holds any",
            "Hide the others, or save the one that is meant as CSV; where it is the job that names "
            f"the file, name the sheet beside it, as in sheet = {next(iter(held), '...')!r}",
        )
    ((name, rows),) = held.items()
    if fault := faults[name]:
        raise fault
    out = io.StringIO()
    csv.writer(out, delimiter="\t", lineterminator="\n").writerows(rows)
    return name, out.getvalue()


def _choose_sheets(book: _Book, sheet: str) -> list[tuple[str, str]]:
    """Name and part of each sheet that is seen; of a named one, its own alone."""
    seen = list(_list_sheets(book))
    wanted = [(name, part) for name, part in seen if is_one_sheet(name, sheet)]
    if sheet and not wanted:
        raise book.refuse(
            f"no sheet that is seen is named {sheet!r}; there are "
            f"{list_of([repr(name) for name, _ in seen])}",
            "Correct the name, or show the sheet",
        )
    return wanted


def _has_numbers(row: list[str]) -> bool:
    """Whether a row holds two numbers, as the rows of any table of measurements do."""
    return sum(map(is_number_like, row)) > 1


def _walk(book: _Book, part: str, *tags: str) -> Iterator[ElementTree.Element]:
    """Elements of a part of the package by their names; each is let go after its use."""
    if book.package.getinfo(part).file_size > _LARGEST:
        raise book.refuse(f"its {part} is too large to be a table", "Save the sheet as CSV")
    with book.package.open(part) as file:
        raw = file.read(_LARGEST)
    if b"<!DOCTYPE" in raw:  # by which a small file can grow past any memory
        raise book.refuse("it has a document type, which no workbook needs", _AGAIN)
    for _, element in ElementTree.iterparse(io.BytesIO(raw)):
        if _name(element) in tags:
            yield element
            element.clear()


def _name(element: ElementTree.Element) -> str:
    return element.tag.rpartition("}")[2]


def _text_of(item: ElementTree.Element) -> str:
    """Text of a string, without how it is to be pronounced."""
    aside = {part for run in item if _name(run) == "rPh" for part in run.iter()}
    return "".join(
        part.text or "" for part in item.iter() if _name(part) == "t" and part not in aside
    )


def _read_styles(book: _Book) -> None:
    written: dict[int, str] = dict(BUILT_IN)
    for element in _walk(book, "xl/styles.xml", "numFmts", "cellXfs"):
        for item in element:
            number = int(item.get("numFmtId", "0"))
            if _name(element) == "numFmts":
                written[number] = item.get("formatCode", "General")
            else:
                book.formats.append(written.get(number, "General"))


def _list_sheets(book: _Book) -> Iterator[tuple[str, str]]:
    """Name and part of each sheet that is seen."""
    links = {
        link.get("Id"): link.get("Target", "")
        for link in _walk(book, "xl/_rels/workbook.xml.rels", "Relationship")
    }
    found = []
    for element in _walk(book, "xl/workbook.xml", "workbookPr", "sheet"):
        if _name(element) == "workbookPr":
            book.is_1904 = element.get("date1904") in {"1", "true"}
        elif element.get("state", "visible") == "visible":
            link = next(value for key, value in element.items() if key.endswith("}id"))
            target = links[link].removeprefix("/xl/").removeprefix("./")
            found.append((element.get("name", ""), f"xl/{target}"))
    yield from (sheet for sheet in found if "worksheets/" in sheet[1])


def _read_sheet(book: _Book, part: str) -> list[list[str]]:
    """Cells of each row from the first."""
    rows: list[list[str]] = []
    hidden = []
    for element in _walk(book, part, "row", "mergeCell"):
        if _name(element) == "mergeCell":
            match = _MERGED.fullmatch(element.get("ref", ""))
            below = rows[int(match[1]) : int(match[2])] if match else []
            # of a title's rows none below the first holds a number
            if match and any(is_number_like(cell) for row in below for cell in row):
                book.note(
                    f"cells {element.get('ref')} are merged over several rows",
                    "Part them, and fill in what each row has",
                    line=int(match[1]),
                )
            continue
        number = int(element.get("r") or len(rows) + 1)
        if number > _LAST_ROW:
            raise ValueError(f"row {number}")
        cells = _read_row(book, element, number)
        rows += [[]] * (number - 1 - len(rows))
        rows.append(cells)
        if any(cells) and element.get("hidden") in {"1", "true"}:
            hidden.append(number)
    if hidden:
        book.note(
            f"{noun_of(len(hidden), 'row')} {list_of(list(map(str, hidden)))} of it "
            f"{'is' if len(hidden) == 1 else 'are'} hidden, as by a filter",
            "Show them, or delete what does not count",
        )
    return rows


def _read_row(book: _Book, row: ElementTree.Element, number: int) -> list[str]:
    cells: list[str] = []
    for cell in (child for child in row if _name(child) == "c"):
        match = _PLACE.fullmatch(cell.get("r", ""))
        at = _count_columns(match[1]) if match else len(cells)
        cells += [""] * (at - len(cells))
        cells.append(" ".join(_read_cell(book, cell, number).split()))
    return cells


def _count_columns(letters: str) -> int:
    """How many columns stand before one: 0 for A, 26 for AA."""
    count = 0
    for letter in letters:
        count = 26 * count + ord(letter) - ord("A") + 1
    return count - 1


def _read_cell(book: _Book, cell: ElementTree.Element, line: int) -> str:
    parts = {_name(part): part for part in cell}
    kind, value = cell.get("t", "n"), (parts["v"].text or "") if "v" in parts else ""
    if kind == "inlineStr":
        return _text_of(parts["is"]) if "is" in parts else ""
    if not value:
        if "f" in parts and kind != "str":
            book.note(
                f"cell {cell.get('r')} holds a formula that was never worked out",
                "Open it in the spreadsheet program, and save it again",
                line=line,
            )
        return ""
    if kind == "s":
        return book.strings[int(value)]
    if kind == "b":
        return "TRUE" if value == "1" else "FALSE"
    if kind != "n":
        return value
    style = int(cell.get("s", "0"))
    form = book.formats[style] if style < len(book.formats) else "General"
    return show_number(float(value), form, is_1904=book.is_1904)
