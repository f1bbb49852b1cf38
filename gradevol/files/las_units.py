"""Units that a LAS file declares, from its GeoTIFF keys or its WKT.

Only units are read: neither projection nor datum matters to a slab, and a library of coordinate
systems would weigh more than the rest of the program.

References
----------
OGC GeoTIFF 1.1 (19-008r4) for the keys; EPSG for the codes of units; OGC 01-009 (WKT 1) and OGC
18-010r7 (WKT 2) for the text.
"""

import re
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from gradevol.files.globe import WEB_MAPS, refuse_web_map
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

#: EPSG codes of units: metre, international foot, US survey foot.
_CODES = {9001: "m", 9002: "ft", 9003: "us-ft"}
_USER_DEFINED = 32767

_MODEL_TYPE, _PROJECTED = 1024, 3072
_PROJECTED_UNITS, _PROJECTED_SIZE = 3076, 3077
_VERTICAL_UNITS = 4099
_DIRECTORY, _DOUBLES, _WKT = 34735, 34736, 2112

_PLAN = {"PROJCS", "PROJCRS", "PROJECTEDCRS", "LOCAL_CS", "ENGCRS", "ENGINEERINGCRS"}
_VERTICAL = {"VERT_CS", "VERTCRS", "VERTICALCRS"}
_NOT_PLAN = {
    *("GEOGCS", "GEOGCRS", "GEOGRAPHICCRS", "GEOCCS", "GEODCRS", "GEODETICCRS"),
}
_AROUND = {"COMPD_CS", "COMPOUNDCRS", "BOUNDCRS", "SOURCECRS"}
_UNIT = {"UNIT", "LENGTHUNIT"}
#: Names of the projection of web maps: EPSG's, and others' (from memory).
_WEB_MAP = re.compile(r"pseudo[-_ ]?mercator|web[-_ ]?mercator|popular visualisation", re.I)
#: Deeper than any text in use (about 8), far above which recursion would end in a traceback.
_DEEPEST = 50


class Node(NamedTuple):
    """A piece of WKT: ``KEYWORD[child, ...]``."""

    keyword: str
    children: "list[Node | str]"


@dataclass(frozen=True, slots=True)
class LasUnits:
    """Units that a file declares, keys of `units.METRES`; None where it is silent."""

    plan: str | None = None
    elevation: str | None = None


def find_units(
    path: Path, records: Sequence[tuple[str, int, bytes]], *, prefers_wkt: bool
) -> LasUnits:
    """
    Find the units in a file's records of user, number and content.

    Parameters
    ----------
    path : Path
        The file, for errors.
    records : sequence of (str, int, bytes)
        Its records.
    prefers_wkt : bool
        Whether its header says that the text stands, not the keys.

    Raises
    ------
    InputError
        If the file is in degrees or geocentric, or in a unit that is not known.
    """
    held = {number: body for user, number, body in records if user == "LASF_Projection"}
    by_keys = _read_keys(path, held.get(_DIRECTORY, b""), held.get(_DOUBLES, b""))
    by_text = _read_text(path, held.get(_WKT, b""))
    first, second = (by_text, by_keys) if prefers_wkt else (by_keys, by_text)
    return LasUnits(first.plan or second.plan, first.elevation or second.elevation)


def _refuse_degrees(path: Path, what: str) -> InputError:
    return InputError(
        f"its coordinates are {what}, not distances east and north",
        remedy="Export it in the projected or local coordinates of the job",
        path=path,
    )


def _name_size(path: Path, size: float, spelled: str) -> str:
    """Name of the unit of so many metres."""
    for name, metres in METRES.items():
        if abs(size / metres - 1) < 1e-7:  # ft and us-ft differ by 2e-6
            return name
    raise InputError(
        f"its coordinates are in {spelled}, which is none of {', '.join(METRES)}",
        remedy="Export it in metres or feet",
        path=path,
    )


def _read_keys(path: Path, directory: bytes, doubles: bytes) -> LasUnits:
    """Units by GeoTIFF keys: rows of key, place, count, value after a row of versions."""
    rows = list(struct.iter_unpack("<4H", directory[: len(directory) // 8 * 8]))[1:]
    keys = {row[0]: row for row in rows}
    model = keys.get(_MODEL_TYPE, (0, 0, 0, 0))[3]
    if model in {2, 3}:
        raise _refuse_degrees(path, "degrees" if model == 2 else "geocentric")
    if keys.get(_PROJECTED, (0, 0, 0, 0))[3] in WEB_MAPS:
        raise refuse_web_map(path)

    def unit(key: int, size_key: int | None) -> str | None:
        if key not in keys:
            return None
        code = keys[key][3]
        if code in _CODES:
            return _CODES[code]
        size = keys.get(size_key or 0)
        is_sized = size and size[1] == _DOUBLES and 8 * size[3] + 8 <= len(doubles)
        if code == _USER_DEFINED and size and is_sized:
            metres = struct.unpack_from("<d", doubles, 8 * size[3])[0]
            return _name_size(path, metres, f"a unit of {metres:g} m")
        if code in {0, _USER_DEFINED}:  # says no more than that it does not say
            return None
        raise InputError(
            f"its coordinates are in the unit of EPSG code {code}; 9001 (m), 9002 (ft) and 9003 "
            "(us-ft) are known",
            remedy="Export it in metres or feet",
            path=path,
        )

    return LasUnits(unit(_PROJECTED_UNITS, _PROJECTED_SIZE), unit(_VERTICAL_UNITS, None))


def _read_text(path: Path, text: bytes) -> LasUnits:
    """Units by WKT of either edition."""
    plan = elevation = None
    for keyword, children in _systems(_parse_wkt(text.split(b"\0")[0].decode("utf-8", "replace"))):
        if keyword in _NOT_PLAN:
            raise _refuse_degrees(path, "geographic or geocentric")
        if _WEB_MAP.search(str(next(iter(children), ""))):
            raise refuse_web_map(path)
        own = [child for child in children if isinstance(child, Node)]
        common = _first_unit(path, own)
        axes = [_first_unit(path, _nodes(axis)) for axis in own if axis.keyword == "AXIS"]
        if keyword in _VERTICAL:
            elevation = elevation or common or next(iter(axes), None)
        else:
            plan = plan or common or next(iter(axes), None)
            if len(axes) == 3:
                elevation = elevation or axes[2] or common
    return LasUnits(plan, elevation)


def _nodes(node: Node) -> list[Node]:
    return [child for child in node.children if isinstance(child, Node)]


def _first_unit(path: Path, nodes: Sequence[Node]) -> str | None:
    for keyword, children in nodes:
        if keyword in _UNIT and len(children) >= 2:
            name, size = children[:2]
            try:
                return _name_size(path, float(str(size)), str(name))
            except ValueError:
                return None
    return None


def _systems(node: Node | None) -> list[Node]:
    """Coordinate systems of a text: itself, or those it is put together from."""
    if node is None:
        return []
    if node.keyword in _AROUND:
        return [system for child in _nodes(node) for system in _systems(child)]
    return [node] if node.keyword in _PLAN | _VERTICAL | _NOT_PLAN else []


def _parse_wkt(text: str) -> Node | None:
    """Tree of ``KEYWORD[child, ...]``; None if the text is none or does not close."""
    above: list[Node] = []
    word = ""
    for token in re.findall(r'"(?:[^"]|"")*"|[\[\](),]|[^\[\](),"\s]+', text):
        if token in "[(":
            node = Node(word.upper(), [])
            if above:
                if above[-1].children and above[-1].children[-1] == word:
                    above[-1].children.pop()  # it was the keyword of this node
                above[-1].children.append(node)
            above.append(node)
            if len(above) > _DEEPEST:
                return None
        elif token in "])":
            if len(above) == 1:
                return above[0]
            if above:
                above.pop()
        elif token != ",":
            word = token.strip('"')
            if above:
                above[-1].children.append(word)
    return None
