"""Invented workbooks, written by hand as ECMA-376 has them."""

import io
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from xml.sax.saxutils import escape, quoteattr

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"


@dataclass(frozen=True)
class Formula:
    """A formula and the value stored beside it."""

    text: str
    value: float | None = None


@dataclass(frozen=True)
class Shown:
    """A number with the format of its cell, by its place among those of the workbook."""

    value: float
    form: int


@dataclass(frozen=True)
class Sheet:
    """A sheet: its rows of text, numbers, `Formula`, `Shown` or None."""

    rows: Sequence[Sequence[Any]]
    name: str = "Shots"
    state: str = "visible"
    hidden: frozenset[int] = frozenset()
    merged: str = ""


def write_workbook(*sheets: Sheet, formats: Sequence[str] = (), is_1904: bool = False) -> bytes:
    """Bytes of a workbook."""
    strings: list[str] = []
    parts = {
        f"xl/worksheets/sheet{at}.xml": _write_sheet(sheet, strings)
        for at, sheet in enumerate(sheets, start=1)
    }
    listed = "".join(
        f'<sheet name={quoteattr(sheet.name)} sheetId="{at}" state="{sheet.state}" r:id="r{at}"/>'
        for at, sheet in enumerate(sheets, start=1)
    )
    links = "".join(
        f'<Relationship Id="r{at}" Target="worksheets/sheet{at}.xml"/>'
        for at in range(1, len(sheets) + 1)
    )
    forms = "".join(
        f'<numFmt numFmtId="{at}" formatCode={quoteattr(form)}/>'
        for at, form in enumerate(formats, start=164)
    )
    styles = "".join(f'<xf numFmtId="{at}"/>' for at in range(164, 164 + len(formats)))
    shared = "".join(f"<si><t>{escape(text)}</t></si>" for text in strings)
    parts |= {
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{LINKS}">'
        f'<workbookPr date1904="{int(is_1904)}"/><sheets>{listed}</sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}">{links}</Relationships>',
        "xl/styles.xml": f'<styleSheet xmlns="{MAIN}"><numFmts>{forms}</numFmts>'
        f'<cellXfs><xf numFmtId="0"/>{styles}</cellXfs></styleSheet>',
        "xl/sharedStrings.xml": f'<sst xmlns="{MAIN}">{shared}</sst>',
    }
    raw = io.BytesIO()
    with zipfile.ZipFile(raw, "w") as package:
        for name, text in parts.items():
            part = zipfile.ZipInfo(name)  # of no date: alike each time
            package.writestr(
                part, f'<?xml version="1.0" encoding="UTF-8"?>{text}', zipfile.ZIP_DEFLATED
            )
    return raw.getvalue()


def _write_sheet(sheet: Sheet, strings: list[str]) -> str:
    rows = []
    for at, row in enumerate(sheet.rows, start=1):
        cells = "".join(
            _write_cell(f"{chr(ord('A') + column)}{at}", value, strings)
            for column, value in enumerate(row)
            if value is not None
        )
        hidden = ' hidden="1"' * (at in sheet.hidden)
        rows.append(f'<row r="{at}"{hidden}>{cells}</row>' if cells else "")
    merged = f'<mergeCells><mergeCell ref="{sheet.merged}"/></mergeCells>' if sheet.merged else ""
    return f'<worksheet xmlns="{MAIN}"><sheetData>{"".join(rows)}</sheetData>{merged}</worksheet>'


def _write_cell(place: str, value: Any, strings: list[str]) -> str:
    if isinstance(value, str):
        strings.append(value)
        return f'<c r="{place}" t="s"><v>{len(strings) - 1}</v></c>'
    if isinstance(value, Formula):
        held = "" if value.value is None else f"<v>{value.value!r}</v>"
        return f'<c r="{place}"><f>{escape(value.text)}</f>{held}</c>'
    if isinstance(value, Shown):
        return f'<c r="{place}" s="{value.form + 1}"><v>{value.value!r}</v></c>'
    return f'<c r="{place}"><v>{value!r}</v></c>'
