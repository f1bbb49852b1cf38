"""DXF: what a drawing holds within its blocks alone, where the drawing places it.

References
----------
DXF reference, INSERT: a block is scaled, turned and moved, and may be repeated in rows and columns;
entities of a block that are on layer 0 lie on the layer of the INSERT.
"""

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gradevol.files.drawings.points import is_other_level
from gradevol.files.tables.headings import names_level, read_heading
from gradevol.files.tables.text import count_decimals
from gradevol.ground.errors import InputError

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity

#: A block that is repeated more often in one INSERT is no drawing of a site.
_MOST = 10_000
#: No drawing of a site nests blocks deeper.
_DEEPEST = 8
#: Layer of entities that go along with the INSERT.
_ALONG = "0"


def find_in_blocks(
    entities: Iterable["DXFEntity"], kinds: Sequence[str], path: Path
) -> list["DXFEntity"]:
    """
    Find entities of some kinds within the blocks that are inserted, as they stand in the drawing.

    Raises
    ------
    InputError
        If some are in a block that is clipped, of which a part may not be seen, or one that is
        repeated too often.
    """
    found = []
    for part, clipped in _flatten(entities, path):
        if part.dxftype() in kinds:
            if clipped:
                raise InputError(
                    f"its block {clipped!r} is clipped, so that some of it is not seen",
                    remedy="Explode it in the drawing program, and delete what is not wanted",
                    path=path,
                )
            found.append(part)
    return found


def _flatten(
    entities: Iterable[Any], path: Path, above: tuple[str, ...] = (), clipped: str = ""
) -> Iterator[tuple[Any, str]]:
    """Entities within blocks, and the name of a block around each that is clipped."""
    for entity in entities:
        if entity.dxftype() != "INSERT":
            if above:
                yield entity, clipped
            continue
        name = str(entity.dxf.name)
        if name in above or entity.block() is None:  # blocks may name one another
            continue
        if entity.mcount > _MOST or len(above) == _DEEPEST:
            why = (
                f"repeated {entity.mcount:,} times" if entity.mcount > _MOST else "nested too deep"
            )
            raise InputError(
                f"its block {name!r} is {why}",
                remedy="Delete it, or explode it in the drawing program",
                path=path,
            )
        hidden = name if _is_clipped(entity) else clipped
        for insert in entity.multi_insert() if entity.mcount > 1 else (entity,):
            parts = list(insert.virtual_entities())
            for part in parts:
                if str(part.dxf.get("layer", _ALONG)) == _ALONG:
                    part.dxf.layer = insert.dxf.layer
            yield from _flatten(parts, path, (*above, name), hidden)


def _is_clipped(insert: Any) -> bool:
    if not insert.has_extension_dict:
        return False
    return "ACAD_FILTER" in insert.get_extension_dict().dictionary


def name_point(point: Any, path: Path) -> str:
    """
    What to call a point: its handle, or in a block the attribute that names it, if there is one.

    Raises
    ------
    InputError
        If another attribute gives it another elevation than it has.
    """
    insert = point.source_block_reference
    if insert is None:
        return str(point.dxf.handle or "")
    names: dict[str, str] = {}
    for attribute in insert.attribs:
        tag, text = str(attribute.dxf.tag), str(attribute.dxf.text).strip()
        letter = read_heading(tag).letter
        if letter != "Z" or names_level(tag):
            names.setdefault(letter, text)
    text = names.get("Z", "nan")
    try:
        written = float(text)
    except ValueError:
        written = float("nan")
    place = point.dxf.location
    if is_other_level(written, place.z, count_decimals(text)):
        raise InputError(
            f"a block {insert.dxf.name!r} at E {place.x:.2f} N {place.y:.2f} stands at elevation "
            f"{place.z:g}, and what is written in it says {written:g}",
            remedy="Have the points exported at their elevations, or as a table",
            path=path,
        )
    return names.get("P", "")
