"""PLY, text or binary: corners and faces, nothing else of it.

References
----------
Greg Turk, "The PLY Polygon File Format" (Stanford, 1994), and the names of types that it has been
given since (int8 to float64).
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import NoReturn

import numpy as np

from gradevol.files.drawings.polygons import Polygons
from gradevol.files.sniff import File, say_damaged
from gradevol.ground.arrays import AnyArray, FloatArray, IntArray

_TYPES = {
    **{"char": "i1", "uchar": "u1", "short": "i2", "ushort": "u2", "int": "i4", "uint": "u4"},
    **{"int8": "i1", "uint8": "u1", "int16": "i2", "uint16": "u2", "int32": "i4", "uint32": "u4"},
    **{"float": "f4", "double": "f8", "float32": "f4", "float64": "f8"},
}
_ORDERS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}


@dataclass(frozen=True, slots=True)
class _Property:
    """One property: its type, and of a list the type of its length."""

    name: str
    kind: str
    length: str | None = None


@dataclass(frozen=True, slots=True)
class _Element:
    name: str
    count: int
    properties: list[_Property] = field(default_factory=list)


#: What an element holds, by property: one value a row, or (sizes, values) of a list.
_Columns = dict[str, AnyArray | tuple[IntArray, AnyArray]]


def parse_ply(file: File) -> Polygons:
    """
    Parse the elements ``vertex`` and ``face``.

    Raises
    ------
    InputError
        If the header cannot be read, or what follows is less or more than it declares.
    """

    def refuse(problem: str) -> NoReturn:
        raise say_damaged(problem, file.path)

    content = file.read()
    order, elements, start = _read_header(content, refuse)
    if order:
        held = _read_binary(order, elements, memoryview(content)[start:], refuse)
    else:
        held = _read_text(elements, content[start:], refuse)
    vertex, face = held.get("vertex", {}), held.get("face", {})
    axes = [axis for axis in map(vertex.get, "xyz") if isinstance(axis, np.ndarray)]
    if len(axes) < 3:
        refuse("its header declares no vertex with x, y and z")
    with np.errstate(invalid="ignore"):  # a nan that signals is refused as any other
        points: FloatArray = np.column_stack(axes).astype(float) * 1.0
    named = face.get("vertex_indices", face.get("vertex_index"))
    sizes, corners = named if isinstance(named, tuple) else (np.empty(0, np.intp), np.empty(0))
    if not (np.isfinite(corners).all() and (corners == np.floor(corners)).all()):
        refuse("a corner of a face is no whole number")
    steps = _find_steps(elements, points)
    return Polygons(points, corners.astype(np.intp), sizes, steps)


def _find_steps(elements: list[_Element], points: FloatArray) -> tuple[float, float, float]:
    """Smallest difference that each axis can hold, by its type, at its largest coordinate.

    Text that is declared as float was one when it was written, whatever its digits.
    """
    (vertex,) = [element for element in elements if element.name == "vertex"]
    kinds = {each.name: each.kind for each in vertex.properties}
    largest = np.abs(points).max(axis=0, initial=0)
    east, north, up = (
        float(np.spacing(np.float32(size))) if kinds[axis] == "f4" and size < 1e30 else 0.0
        for axis, size in zip("xyz", largest, strict=True)
    )
    return east, north, up


def _read_header(
    content: bytes, refuse: Callable[[str], NoReturn]
) -> tuple[str, list[_Element], int]:
    """Byte order (none for text), elements, and where the header ends."""
    newline = next((end for end in (b"\r\n", b"\n", b"\r") if end in content[:80]), b"\n")
    last = newline + b"end_header" + newline
    end = content.find(last)
    if end < 0:
        refuse("its header has no end")
    order = None
    elements: list[_Element] = []
    for line in content[:end].decode("latin-1").splitlines()[1:]:
        match line.split():
            case ["format", name, "1.0"] if name in _ORDERS:
                order = _ORDERS[name]
            case ["element", name, count] if count.isdecimal():
                elements.append(_Element(name, int(count)))
            case ["property", kind, name] if kind in _TYPES and elements:
                elements[-1].properties.append(_Property(name, _TYPES[kind]))
            case ["property", "list", length, kind, name] if (
                kind in _TYPES and _TYPES.get(length, "f")[0] != "f" and elements
            ):
                elements[-1].properties.append(_Property(name, _TYPES[kind], _TYPES[length]))
            case [] | ["comment" | "obj_info", *_]:
                pass
            case _:
                refuse(f"its header has {line.strip()[:60]!r}")
    names = {element.name for element in elements if element.properties}
    if order is None or len(names) < len(elements):
        refuse("its header declares no format, or an element twice or without properties")
    for element in elements:
        if len({each.name for each in element.properties}) < len(element.properties):
            refuse(f"its header declares a property of {element.name[:60]!r} twice")
    return order, elements, end + len(last)


def _read_text(
    elements: list[_Element], body: bytes, refuse: Callable[[str], NoReturn]
) -> dict[str, _Columns]:
    rows = [row for row in body.decode("latin-1").splitlines() if row.strip()]
    held, at = {}, 0
    for element in elements:
        mine = rows[at : at + element.count]
        if len(mine) < element.count:
            refuse(f"it declares {element.count:,} of {element.name!r}, but has {len(mine):,}")
        at += element.count
        columns = _read_plain(element, mine)
        if columns is None:
            columns = _gather(element, [_parse_row(element, row, refuse) for row in mine])
        held[element.name] = columns
    if at < len(rows):
        refuse(f"{len(rows) - at:,} lines follow what its header declares")
    return held


def _read_plain(element: _Element, rows: list[str]) -> _Columns | None:
    """Read rows without lists all at once; None if that fails, so that the fault is looked for."""
    names = [each.name for each in element.properties if each.length is None]
    if len(names) < len(element.properties) or not rows:
        return None
    try:
        values = np.loadtxt(rows, ndmin=2, comments=None)
    except ValueError:
        return None
    return dict(zip(names, values.T, strict=True)) if values.shape[1] == len(names) else None


def _parse_row(element: _Element, row: str, refuse: Callable[[str], NoReturn]) -> list[list[float]]:
    """Values of each property in a row of text."""
    words = row.split()
    values, at = [], 0
    try:
        for each in element.properties:
            size = 1
            if each.length is not None:
                size, at = int(words[at]), at + 1
            if size < 0 or at + size > len(words):
                raise IndexError("too few")
            values.append([float(word) for word in words[at : at + size]])
            at += size
    except (ValueError, IndexError):
        at = -1
    if at != len(words):
        refuse(f"no {element.name} in {row.strip()[:60]!r}")
    return values


def _gather(element: _Element, rows: list[list[list[float]]]) -> _Columns:
    """Columns of rows that were read one by one."""
    held: _Columns = {}
    for column, each in enumerate(element.properties):
        flat = np.array([value for row in rows for value in row[column]], float)
        sizes = np.array([len(row[column]) for row in rows], np.intp)
        held[each.name] = flat if each.length is None else (sizes, flat)
    return held


def _read_binary(
    order: str, elements: list[_Element], body: memoryview, refuse: Callable[[str], NoReturn]
) -> dict[str, _Columns]:
    held, at = {}, 0
    for element in elements:
        if all(each.length is None for each in element.properties):
            size = sum(np.dtype(each.kind).itemsize for each in element.properties)
            has = len(body[at:]) // size
            if has < element.count:
                refuse(f"it declares {element.count:,} of {element.name!r}, but has {has:,}")
        columns, length = _read_alike(order, element, body[at:])
        if columns is None:
            columns, length = _read_one_by_one(order, element, body[at:], refuse)
        held[element.name] = columns
        at += length
    if bytes(body[at:]).strip():
        refuse(f"{len(body) - at:,} bytes follow what its header declares")
    return held


def _read_alike(order: str, element: _Element, body: memoryview) -> tuple[_Columns | None, int]:
    """Read an element whose lists are all as long as in its first row; None if they are not."""
    fields: list[tuple[str, str] | tuple[str, str, tuple[int]]] = []
    for each in element.properties:
        if each.length is not None:
            at = np.dtype(fields).itemsize
            size = np.dtype(order + each.length)
            if len(body) < at + size.itemsize:
                return None, 0
            n = int(np.frombuffer(body, size, 1, at)[0])
            if not 0 <= n * np.dtype(each.kind).itemsize <= len(body):
                return None, 0
            fields.append((f"length of {each.name}", order + each.length))
            fields.append((each.name, order + each.kind, (n,)))
        else:
            fields.append((each.name, order + each.kind))
    row = np.dtype(fields)
    if element.count * row.itemsize > len(body):
        return None, 0
    rows = np.frombuffer(body, row, element.count)
    held: _Columns = {}
    for each in element.properties:
        values = rows[each.name]
        if each.length is None:
            held[each.name] = values
            continue
        sizes = rows[f"length of {each.name}"].astype(np.intp)
        if (sizes != values.shape[1]).any():
            return None, 0
        held[each.name] = (sizes, values.reshape(-1))
    return held, element.count * row.itemsize


def _read_one_by_one(
    order: str, element: _Element, body: memoryview, refuse: Callable[[str], NoReturn]
) -> tuple[_Columns, int]:
    rows: list[list[list[float]]] = []
    at = 0

    def take(kind: str, n: int) -> list[float]:
        nonlocal at
        form = np.dtype(order + kind)
        if n < 0 or at + n * form.itemsize > len(body):
            refuse(f"it declares {element.count:,} of {element.name!r}, but has {len(rows):,}")
        at += n * form.itemsize
        return list(np.frombuffer(body, form, n, at - n * form.itemsize))

    for _ in range(element.count):
        rows.append(
            [
                take(each.kind, 1 if each.length is None else int(take(each.length, 1)[0]))
                for each in element.properties
            ]
        )
    return _gather(element, rows), at
