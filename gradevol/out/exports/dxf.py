"""DXF R2000: faces, outlines, lines and points on plainly named layers.

The frame of the drawing (header, tables, objects) is ezdxf's, for programs are strict about it; the
entities are written here, which for a surface of 100,000 faces takes a tenth of the time.

References
----------
DXF reference: 3DFACE (a triangle repeats its third corner), LWPOLYLINE (elevation in 38), POINT,
TEXT; $INSUNITS 2 is feet, 6 metres, 21 US survey feet.
"""

import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

import numpy as np

from gradevol.answer.rounding import LENGTH
from gradevol.answer.surfaces.meshes import Mesh
from gradevol.ground.arrays import FloatArray
from gradevol.ground.words import printable

_INSUNITS = {"m": 6, "ft": 2, "us-ft": 21}
_SEED = re.compile(r"(\$HANDSEED\n\s*5\n)([0-9A-F]+)")
_ENTITIES = "  2\nENTITIES\n"
_N = f"%.{LENGTH}f"
_NEAR_ZERO = 1e-6


@dataclass(frozen=True, slots=True)
class Faces:
    """Triangles on a layer, as 3DFACE."""

    layer: str
    mesh: Mesh


@dataclass(frozen=True, slots=True)
class Line:
    """A line in plan (n, 2), at one elevation, closed or not, as LWPOLYLINE."""

    layer: str
    places: FloatArray
    elevation: float = 0.0
    is_closed: bool = False


@dataclass(frozen=True, slots=True)
class Dot:
    """A place (e, n, z), as POINT."""

    layer: str
    place: Sequence[float]


@dataclass(frozen=True, slots=True)
class Label:
    """Words at a place (e, n, z), as TEXT."""

    layer: str
    place: Sequence[float]
    words: str
    height: float


Item: TypeAlias = Faces | Line | Dot | Label


def write_dxf(path: Path, items: Sequence[Item], *, layers: Mapping[str, int], unit: str) -> None:
    """
    Write a drawing.

    Parameters
    ----------
    path : Path
    items : sequence of Faces, Line, Dot or Label
        Coordinates in the unit; nothing is moved.
    layers : mapping of str to int
        The layers and their colours, by number (1 red, 3 green, 5 blue, 7 black or white).
    unit : str
        ``m``, ``ft`` or ``us-ft``.
    """
    frame, owner = _make_frame(items, layers, unit)
    before, after = frame.split(_ENTITIES)
    seed = _SEED.search(before)
    assert seed is not None
    first = int(seed[2], 16)
    count = sum(len(item.mesh.triangles) if isinstance(item, Faces) else 1 for item in items)
    before = _SEED.sub(rf"\g<1>{first + count:X}", before)
    with path.open("w", encoding="cp1252", newline="\r\n") as file:
        file.write(before + _ENTITIES)
        for item in items:
            for text in _entities(item, owner):
                file.write(text.replace("#", f"{first:X}", 1))
                first += 1
        file.write(after)


def _make_frame(items: Sequence[Item], layers: Mapping[str, int], unit: str) -> tuple[str, str]:
    """A drawing without entities, and the handle of what owns them."""
    from ezdxf import options  # type: ignore[attr-defined]  # noqa: PLC0415

    # no time and no random names: the same answer makes the same drawing
    given = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        return _write_frame(items, layers, unit)
    finally:
        options.write_fixed_meta_data_for_testing = given


def _write_frame(items: Sequence[Item], layers: Mapping[str, int], unit: str) -> tuple[str, str]:
    from ezdxf.filemanagement import new  # noqa: PLC0415

    drawing = new("R2000", units=_INSUNITS[unit])
    drawing.header["$MEASUREMENT"] = 1 if unit == "m" else 0
    for name, colour in layers.items():
        drawing.layers.add(name, color=colour)
    places = [_places(item) for item in items]
    if places:
        low = np.min([place.min(axis=0) for place in places], axis=0)
        high = np.max([place.max(axis=0) for place in places], axis=0)
        # ezdxf writes the header's extents from these, but takes a corner of noughts for none
        low, high = (np.where(corner.any(), corner, _NEAR_ZERO) for corner in (low, high))
        drawing.modelspace().reset_extents(low.tolist(), high.tolist())
        middle = tuple(((low + high) / 2)[:2].tolist())
        drawing.set_modelspace_vport(height=1.1 * float((high - low)[:2].max()), center=middle)
    text = io.StringIO()
    drawing.write(text)
    return text.getvalue(), str(drawing.modelspace().block_record_handle)


def _places(item: Item) -> FloatArray:
    """Places of an item, (n, 3)."""
    match item:
        case Faces(_, mesh):
            return mesh.points
        case Line(_, places, elevation, _):
            return np.column_stack([places, np.full(len(places), elevation)])
    return np.array([item.place], dtype=float)


def _entities(item: Item, owner: str) -> Iterator[str]:
    """Texts of an item's entities, with # where the handle goes."""
    match item:
        case Faces(layer, mesh):
            form = _open("3DFACE", owner, layer, "AcDbFace") + "".join(
                f"{10 + corner}\n{_N}\n{20 + corner}\n{_N}\n{30 + corner}\n{_N}\n"
                for corner in range(4)
            )
            corners = mesh.points[mesh.triangles[:, [0, 1, 2, 2]]].reshape(-1, 12)
            for row in corners.tolist():
                yield form % tuple(row)
        case Line(layer, places, elevation, is_closed):
            head = _open("LWPOLYLINE", owner, layer, "AcDbPolyline")
            head += f"90\n{len(places)}\n70\n{int(is_closed)}\n38\n{_N % elevation}\n"
            yield head + "".join(f"10\n{_N}\n20\n{_N}\n" % tuple(p) for p in places.tolist())
        case Dot(layer, place):
            yield _open("POINT", owner, layer, "AcDbPoint") + _place(place)
        case Label(layer, place, words, height):
            yield (
                _open("TEXT", owner, layer, "AcDbText")
                + _place(place)
                + f"40\n{_N % height}\n1\n{_spell(words)}\n100\nAcDbText\n"
            )


def _spell(words: str) -> str:
    """Words without control codes; what the code page lacks is spelled out."""
    plain = printable(words).replace("%%", "% %")
    known = plain.encode("cp1252", "ignore").decode("cp1252")
    return "".join(c if c in known else f"\\U+{min(ord(c), 0xFFFD):04X}" for c in plain)


def _open(kind: str, owner: str, layer: str, subclass: str) -> str:
    return f"0\n{kind}\n5\n#\n330\n{owner}\n100\nAcDbEntity\n8\n{layer}\n100\n{subclass}\n"


def _place(place: Sequence[float]) -> str:
    return f"10\n{_N}\n20\n{_N}\n30\n{_N}\n" % tuple(place)
