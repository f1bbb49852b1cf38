"""DXF drawings: opening them, their unit, and what lies on a layer."""

import logging
import re
import struct
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from gradevol.files.drawings.units import Declared
from gradevol.files.sniff import File
from gradevol.ground.errors import InputError
from gradevol.ground.words import first_of, verb_of

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity

#: Values of $INSUNITS, DXF reference, HEADER section; 0 says nothing.
_UNITS = {
    1: "in",
    2: "ft",
    3: "miles",
    4: "mm",
    5: "cm",
    6: "m",
    7: "km",
    10: "yards",
    14: "decimetres",
    21: "us-ft",
    22: "US survey inches",
    23: "US survey yards",
    24: "US survey miles",
}
#: What ezdxf raises at damaged files, besides its own errors.
_BROKEN = (
    ArithmeticError,
    AttributeError,
    LookupError,
    OSError,
    RuntimeError,
    StopIteration,
    TypeError,
    ValueError,
    struct.error,
)
_SHOWN = 20
#: Kinds of which none may be lost, each with the mark of its own that it bears since R13 (DXF
#: reference, subclass markers; an arc bears that of a circle too); how both stand in a DXF of text.
_COUNTED = {
    "POINT": "AcDbPoint",
    "3DFACE": "AcDbFace",
    "LINE": "AcDbLine",
    "LWPOLYLINE": "AcDbPolyline",
    "ARC": "AcDbArc",
    "CIRCLE": "",
}
_ENTITY = re.compile(
    rb"^ *(0|100)[ \t]*\r?\n[ \t]*((?:3D|[^\s\d.+-])[^\r\n]*?)[ \t]*\r?$", re.MULTILINE
)
#: Keeps ezdxf's remarks, which are no errors, off standard error.
_QUIET = logging.NullHandler()


def open_dxf(file: File) -> "Drawing":
    """
    Open a DXF drawing, text or binary, R12 or later.

    Raises
    ------
    InputError
        If it is no DXF, is damaged or cut short, or two of its entities run into one or have one
        handle, of which ezdxf keeps the later.
    """
    from ezdxf.filemanagement import readfile  # noqa: PLC0415

    logging.getLogger("ezdxf").addHandler(_QUIET)
    with refuse_damage(file.path):
        drawing = readfile(file.path)
        drawing.modelspace()  # its name may be lost
    written, nameless = _count_written(file.read())
    # by handle, and not of a table or a list of objects, where nothing is drawn
    drawn = {entity.dxf.handle: entity for entity in drawing.chain_layouts_and_blocks()}
    held = Counter(entity.dxftype() for entity in drawn.values())
    for kind, mark in _COUNTED.items():
        if held[kind] >= written[kind]:
            continue
        # how many there were can't be told: another may bear the name
        problem = (
            f"it is damaged: {astray} of its entities {verb_of(astray, 'bear')} the mark of a "
            f"{kind} ({mark}) under another name"
            if (astray := nameless[kind])
            else f"it holds {written[kind]} {kind}, but {held[kind]} of them stand by themselves, "
            "with a handle of their own"
        )
        raise InputError(
            problem, remedy="Export it again as DXF, from the drawing program", path=file.path
        )
    return drawing


def _count_written(raw: bytes) -> tuple[Counter[str], Counter[str]]:
    """
    Count the entities of each kind that stand in a DXF of text, by their names or their marks.

    Returns
    -------
    Counter, Counter
        At least so many, and those among them that bear the mark under another name.
    """
    kinds = {mark: kind for kind, mark in _COUNTED.items() if mark}
    named, marked, alone = Counter[str](), Counter[str](), Counter[str]()
    last = ""
    for code, word in _ENTITY.findall(raw):
        name = word.decode("ascii", errors="replace")
        if code == b"0":
            last = name
            named[name] += 1
        elif kind := kinds.get(name):
            marked[kind] += 1
            alone[kind] += kind != last  # its name was spoilt
    least = {kind: max(named[kind] + alone[kind], marked[kind]) for kind in _COUNTED}
    return Counter(least), alone


def read_unit(drawing: "Drawing") -> tuple[Declared, ...]:
    """What a drawing's header says of its unit."""
    number = drawing.header.get("$INSUNITS", 0) or 0
    if not number:
        return ()
    unit = _UNITS.get(number, f"unit no. {number}")
    return (Declared(unit, f"its header ($INSUNITS {number})"),)


@contextmanager
def refuse_damage(path: Path) -> Iterator[None]:
    """
    Refuse what ezdxf cannot make sense of; it looks into some entities only when they are used.

    Raises
    ------
    InputError
        It says what ezdxf says.
    """
    from ezdxf.lldxf.const import DXFError  # noqa: PLC0415

    try:
        yield
    except (DXFError, *_BROKEN) as error:
        is_other = isinstance(error, OSError) and "not a DXF file" in str(error)
        said = " ".join(str(error).split())[:120].rstrip(".") or type(error).__name__
        raise InputError(
            "it is not a DXF drawing" if is_other else f"it is damaged or was cut short ({said})",
            remedy="Export it again as DXF, from the drawing program",
            path=path,
        ) from error


def choose_entities(
    drawing: "Drawing", kinds: Sequence[str], *, layer: str | None, path: Path
) -> list["DXFEntity"]:
    """
    Find the entities of some kinds in model space, on one layer or all.

    Parameters
    ----------
    drawing : ezdxf Drawing
    kinds : sequence of str
        Their names in DXF.
    layer : str or None
        The layer, capitals do not matter; None: all.
    path : Path
        The file, for errors.

    Raises
    ------
    InputError
        If there are none: it lists the layers that hold some.
    """
    entities: list[DXFEntity] = list(drawing.modelspace())
    fitting = [entity for entity in entities if entity.dxftype() in kinds]
    chosen = [entity for entity in fitting if is_on(entity, layer)]
    if chosen:
        return chosen
    wanted = ", ".join(kinds)
    if fitting:
        problem = f"layer {layer!r} holds no {wanted}; these do: {say_layers(fitting)}"
        remedy = "Name one of them (layer)"
    elif any(is_on(entity, layer) and entity.dxftype() == "INSERT" for entity in entities):
        problem = f"it holds no {wanted}, only blocks, which are not looked into"
        remedy = "Explode the blocks in the drawing program"
    else:
        kinds_held = Counter(entity.dxftype() for entity in entities).most_common(_SHOWN)
        held = ", ".join(f"{kind} ({count:,})" for kind, count in kinds_held)
        problem = f"it holds no {wanted} in model space, but {held or 'nothing'}"
        remedy = "Export those, or name another file"
    raise InputError(problem, remedy=remedy, path=path)


def is_on(entity: "DXFEntity", layer: str | None) -> bool:
    """Whether an entity is on a layer; on any, where None is given."""
    return layer is None or str(entity.dxf.layer).strip().lower() == layer.strip().lower()


def say_layers(entities: Sequence["DXFEntity"]) -> str:
    """Layers of some entities and how many are on each, in words."""
    counts = Counter(str(entity.dxf.layer) for entity in entities).most_common()
    return first_of([f"{name} ({count:,})" for name, count in counts], _SHOWN)


def list_layers(drawing: "Drawing", path: Path) -> dict[str, dict[str, int]]:
    """How many entities of each kind lie on each layer of a drawing's model space."""
    layers: dict[str, Counter[str]] = {}
    with refuse_damage(path):
        for entity in drawing.modelspace():
            layers.setdefault(str(entity.dxf.layer), Counter())[entity.dxftype()] += 1
    return {name: dict(held.most_common()) for name, held in sorted(layers.items())}


def find_blocks(drawing: "Drawing", kinds: Sequence[str], *, layer: str | None) -> list[str]:
    """Names of the blocks that are inserted on a layer and hold entities of some kinds."""
    return sorted(
        {
            entity.dxf.name
            for entity in drawing.modelspace().query("INSERT")
            if is_on(entity, layer) and _holds(drawing, entity.dxf.name, kinds, set())
        }
    )


def _holds(drawing: "Drawing", name: str, kinds: Sequence[str], seen: set[str]) -> bool:
    """Whether a block, or one within it, holds such an entity; blocks may name one another."""
    if name in seen or name not in drawing.blocks:
        return False
    seen.add(name)
    block = drawing.blocks.get(name)
    return any(
        entity.dxftype() in kinds
        or (entity.dxftype() == "INSERT" and _holds(drawing, entity.dxf.name, kinds, seen))
        for entity in block
    )


def refuse_blocks(
    drawing: "Drawing", kinds: Sequence[str], *, layer: str | None, path: Path
) -> None:
    """
    Refuse blocks that hold more of what is read, as it would be left out in silence.

    Raises
    ------
    InputError
        It names them.
    """
    blocks = find_blocks(drawing, kinds, layer=layer)
    if blocks:
        raise InputError(
            f"blocks hold more {', '.join(kinds)}, and are not looked into: "
            f"{', '.join(blocks[:_SHOWN])}",
            remedy="Explode those blocks in the drawing program, or name a layer without them",
            path=path,
        )
