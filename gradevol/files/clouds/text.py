"""Point clouds as text: XYZ, PTS, ASC, CSV; millions of rows, in blocks."""

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np

from gradevol.files.clouds.chunks import Bounds, Chunk, check_degrees, sift_plain
from gradevol.files.sniff import HEAD, File
from gradevol.files.sources import Cloud, Shots
from gradevol.files.tables.broken_rows import remark_on_commented
from gradevol.files.tables.cells import Fault, parse_number
from gradevol.files.tables.columns import find_columns
from gradevol.files.tables.table import Table, make_table, refuse_others
from gradevol.files.tables.text import (
    BLANKS,
    Text,
    count_decimals,
    decode_text,
    is_comment,
    is_number_like,
    split_cells,
)
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.ground.units import METRES

#: What text of points without header or base.columns is: easting, northing, elevation, as programs
#: write XYZ; common practice, no source.
PLAIN = "ENZ"
#: Endings of a cloud's name by which it is text.
ENDINGS = frozenset({".xyz", ".txt", ".asc", ".pts", ".csv", ".xyzrgb", ".xyzi"})

#: Characters read at once.
_BLOCK = 16 * 1024 * 1024
#: A first row of nothing but the number of points, as PTS has it.
_COUNT = re.compile(r"\s*([0-9]+)\s*")


@dataclass(frozen=True, slots=True)
class TextCloud:
    """
    A cloud as text.

    Attributes
    ----------
    table : Table
        Its first rows.
    columns : tuple of int
        Where easting, northing and elevation stand.
    unit : str
        Of its numbers.
    declared : int or None
        Points that its first row declares.
    notes : tuple of Note
    """

    table: Table
    columns: tuple[int, ...]
    unit: str
    declared: int | None
    notes: tuple[Note, ...]

    @property
    def path(self) -> Path:
        """The file."""
        return self.table.path

    @property
    def has_classes(self) -> bool:
        """Text has none."""
        return False

    @property
    def whole(self) -> int | None:
        """It is always read to its end."""
        return None

    @property
    def extent(self) -> Bounds | None:
        """Not known before it is read."""
        return None

    @property
    def steps(self) -> None:
        """Its coordinates are whole numbers of nothing."""

    @property
    def parts(self) -> int:
        """It is read in one go."""
        return 1

    def read(self, is_kept: BoolArray, bounds: Bounds | None) -> Iterator[Callable[[], Chunk]]:
        """Read the points within bounds; every row is one, or the file is refused."""
        del is_kept  # it has no classes
        for points, done in self.read_blocks():
            yield partial(sift_plain, self.path, points * METRES[self.unit], bounds, done)

    def check_ends(self, ends: FloatArray) -> None:
        """Refuse ends (2, 3), m, that are those of degrees."""
        low, high = ends[:, :2] / METRES[self.unit]
        check_degrees(self.path, low, high)

    def read_blocks(self, faults: list[Fault] | None = None) -> Iterator[tuple[FloatArray, float]]:
        """
        Read the points in the file's own unit, with the share of the file that is done.

        Parameters
        ----------
        faults : list of Fault, optional
            Takes the rows that are no points; without it the first is refused.

        Raises
        ------
        InputError
            If a row is no point, or there are fewer points than the file declares.
        """
        count, size, last = 0, max(1, self.path.stat().st_size), ""
        # bytes that are no text can't be numbers: they are refused where a row needs them
        with self.path.open(encoding=self.table.encoding, errors="replace") as file:
            number = 1
            while number < self.table.lines[0]:
                file.readline()
                number += 1
            read = 0
            while block := file.read(_BLOCK):
                block += file.readline()
                read += len(block)
                points = self._parse(block, number, faults)
                number += block.count("\n")
                last = block[-HEAD:]
                count += len(points)
                yield points, min(1.0, read / size)
        count += len(faults or ())
        if self.declared is not None and count != self.declared:
            raise InputError(
                f"its first row declares {self.declared:,} points, but {count:,} could be read",
                remedy="Copy or export it again: it "
                + ("was cut short" if count < self.declared else "holds more than one export"),
                path=self.path,
            )
        self._check_end(last)

    def _parse(self, block: str, first: int, faults: list[Fault] | None) -> FloatArray:
        """Coordinates (n, 3) of a block of whole lines, in the file's unit."""
        if not block.strip():
            return np.empty((0, 3))
        delimiter, text = self.table.delimiter, block
        if self.table.decimal == ",":
            text = text.replace(",", ".")
        rows = text.split("\n")
        try:
            points = np.loadtxt(
                rows[:-1] if rows[-1] == "" else rows,
                delimiter=None if delimiter == " " else delimiter,
                usecols=self.columns,
                comments=None,
                quotechar='"' if '"' in text else None,
                ndmin=2,
            )
        except ValueError:
            return self._parse_slowly(block, first, faults)
        is_good = np.isfinite(points).all()
        return points if is_good else self._parse_slowly(block, first, faults)

    def _parse_slowly(self, block: str, first: int, faults: list[Fault] | None) -> FloatArray:
        """Parse row by row: comments and blank lines are passed over, and a fault is named."""
        points = []
        for number, line in enumerate(block.split("\n"), start=first):
            bare = line.strip(BLANKS)
            if not bare or bare.startswith(("#", "//")) or is_comment(line, self.table.delimiter):
                continue
            cells = split_cells([line], self.table.delimiter)[0]
            try:
                points.append([self._parse_cell(cells, column) for column in self.columns])
            except ValueError as error:
                if faults is not None:
                    faults.append(Fault(number, repr(line.strip()[:80]), str(error)))
                    continue
                raise InputError(
                    f"{line.strip()[:80]!r} is no point: {error}",
                    remedy="Correct or remove this row, or export the cloud again if it is damaged",
                    path=self.path,
                    line=number,
                ) from error
        return np.array(points, float).reshape(-1, 3)

    def _parse_cell(self, cells: tuple[str, ...], column: int) -> float:
        if column >= len(cells):
            raise ValueError(f"it has {len(cells)} cells, and cell {column + 1} is needed")
        try:
            metres = parse_number(cells[column], decimal=self.table.decimal, unit=self.unit)
        except ValueError as error:
            raise ValueError(f"{cells[column]!r} {error}") from error
        return metres / METRES[self.unit]

    def _check_end(self, text: str) -> None:
        """Refuse a last row without an end whose last number lost digits that all others have."""
        if text.endswith("\n") or not text:
            return
        kept = {count_decimals(row[-1]) or 0 for row in self.table.rows[:-1] if row}
        last = split_cells(text.split("\n")[-1:], self.table.delimiter)[0]
        if len(kept) == 1 and last and (count_decimals(last[-1]) or 0) < min(kept):
            raise InputError(
                f"its last row, {' '.join(last)[:80]!r}, was cut short",
                remedy="Copy or export it again",
                path=self.path,
            )


def open_text_cloud(file: File, cloud: Cloud, *, key: str = "base.columns") -> TextCloud:
    """
    See what a text file of points is like: its delimiter, columns, and the count it declares.

    Parameters
    ----------
    file : File
    cloud : Cloud
        Unit and columns as they are stated.
    key : str
        Where the columns are stated, for messages.

    Raises
    ------
    InputError
        If it is no such file, its columns are not known, or its header says another unit.
    """
    table, declared = read_sample(file)
    stated = cloud.columns or (None if table.header is not None else PLAIN)
    shots = Shots((file.path,), cloud.unit, columns=stated, ignores_unit=cloud.ignores_unit)
    letters, notes = find_columns(table, shots, key=key)
    notes += remark_on_commented(table)
    if cloud.columns is None and table.header is None:
        _check_plain(table, key)
        said = (
            f"{escape(file.path.name)} has no header: its first three columns were read as "
            f"easting, northing and elevation. If they are not, say what they are in {key}."
        )
        notes.append(Note("cloud-columns", said))
    if table.encoding == "cp1252":
        table = replace(table, encoding="latin-1")
    at = tuple(letters.index(letter) for letter in "ENZ")
    return TextCloud(table, at, cloud.unit, declared, tuple(notes))


def read_sample(file: File) -> tuple[Table, int | None]:
    """
    Read the first rows of a cloud, and how many points its first row declares.

    Raises
    ------
    InputError
        If it is no text, no table, or UTF-16.
    """
    refuse_others(file)
    if file.start.startswith((b"\xff\xfe", b"\xfe\xff")):  # before a head of half a sign is read
        raise InputError("it is UTF-16 text", remedy="Save it again as UTF-8 text", path=file.path)
    text = decode_text(file.head, file.path)
    content, declared = _take_count(text.content)
    return make_table(file.path, Text(content, text.encoding)), declared


def _take_count(content: str) -> tuple[str, int | None]:
    """Blank a first row that is nothing but the number of points, where rows of points follow."""
    lines = content.split("\n")
    held = [at for at, line in enumerate(lines) if line.strip() and line.lstrip()[0] not in "#/;"]
    if len(held) < 2:
        return content, None
    match = _COUNT.fullmatch(lines[held[0]])
    if not match or _COUNT.fullmatch(lines[held[1]]):
        return content, None
    lines[held[0]] = ""
    return "\n".join(lines), int(match[1])


def _check_plain(table: Table, key: str) -> None:
    """Refuse rows whose first column is numbered from one to the next: that is no easting."""
    first = [row[0] for row in table.rows[:50] if row]
    if len(first) >= 3 and all(cell.isdecimal() for cell in first):
        numbers = np.array(first, float)
        if (np.diff(numbers) == 1).all():
            raise InputError(
                f"it has no header, and its first column counts {first[0]}, {first[1]}, "
                f"{first[2]}: those look like point numbers, not eastings",
                remedy=f'Say what the columns are in {key}, for example "PNEZ" or "PENZ"',
                path=table.path,
                line=table.lines[0],
            )
    row = table.rows[0]
    if len(row) < 3 or not all(map(is_number_like, row[:3])):
        raise InputError(
            f"it has no header, and {table.quote(row)} does not begin with three numbers",
            remedy=f'Say what the columns are in {key}, for example "ENZ"',
            path=table.path,
            line=table.lines[0],
        )
