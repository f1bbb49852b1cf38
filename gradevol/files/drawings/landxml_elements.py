"""LandXML as it streams by: the few elements of interest, and its unit.

Read by expat alone: the file is never held whole, and a document type, by which a small file can
grow past any memory or name files of this machine, is refused before it is looked at.
"""

import gzip
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import IO, NamedTuple, cast
from xml.parsers import expat

from gradevol.files.drawings.units import Declared
from gradevol.files.sniff import File, say_damaged
from gradevol.ground.errors import InputError

#: Values of linearUnit, LandXML-1.2.xsd, impLinear and metLinear (1.0 and 1.1 have the same).
_UNITS = {
    "foot": "ft",
    "ussurveyfoot": "us-ft",
    "inch": "in",
    "mile": "miles",
    "millimeter": "mm",
    "centimeter": "cm",
    "meter": "m",
    "kilometer": "km",
}
_WITH_TEXT = frozenset({"P", "F", "CgPoint"})
_TAGS = _WITH_TEXT | {"Metric", "Imperial", "CoordinateSystem"}
_CHUNK = 1 << 20
#: Bytes of an unpacked gzip archive; a surface of a million points is about 0.15 GB.
_LARGEST = 4 << 30
#: Far deeper than the schema, whose surfaces are 6 deep.
_DEEPEST = 200


class Element(NamedTuple):
    """An element: its name without namespace, its parent's, attributes, text and line."""

    tag: str
    parent: str
    attributes: dict[str, str]
    text: str
    line: int


def read_elements(file: File) -> Iterator[Element]:
    """
    Yield elements that hold points, faces, units and systems at their end, surfaces at their start.

    Raises
    ------
    InputError
        If the file is not well-formed XML, not LandXML, or has a document type.
    """
    path = file.path
    with file.stream() as raw:
        is_packed = file.start.startswith(b"\x1f\x8b")  # RFC 1952 2.3.1
        unpacked = cast(IO[bytes], gzip.GzipFile(fileobj=raw)) if is_packed else raw
        reader = _Reader(path)
        size = 0
        while chunk := _read_chunk(unpacked, path):
            size += len(chunk)
            if is_packed and size > _LARGEST:
                raise InputError(
                    f"it unpacks to more than {_LARGEST:,} bytes",
                    remedy="Export only the surface of the base",
                    path=path,
                )
            yield from reader.read(chunk)
        yield from reader.read(b"", is_last=True)


def read_unit(element: Element) -> tuple[Declared, ...]:
    """What a Metric or Imperial element says of the file's unit."""
    said = element.attributes.get("linearUnit")
    if said is None:
        return ()
    unit = _UNITS.get(said.strip().lower(), said.strip()[:40])
    return (Declared(unit, f"its Units ({element.tag} {said[:40]})"),)


def _read_chunk(file: IO[bytes], path: Path) -> bytes:
    try:
        return file.read(_CHUNK)
    except (EOFError, gzip.BadGzipFile, zlib.error) as error:
        raise say_damaged(f"its gzip packing is broken ({error})", path) from error


class _Reader:
    """Feeds expat, and holds what it found since it was last asked."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.open: list[str] = []
        self.attributes: dict[str, str] = {}
        self.text: list[str] = []
        self.found: list[Element] = []
        self.parser = expat.ParserCreate()
        self.parser.buffer_text = True
        self.parser.StartDoctypeDeclHandler = self._refuse_doctype
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._hold

    def read(self, chunk: bytes, *, is_last: bool = False) -> list[Element]:
        """Elements that end in the next bytes."""
        self.found = []
        try:
            self.parser.Parse(chunk, is_last)
        except expat.ExpatError as error:
            raise say_damaged(
                f"it is not well-formed XML ({expat.ErrorString(error.code)})",
                self.path,
                line=error.lineno,
            ) from error
        except (LookupError, ValueError) as error:  # an encoding that Python or expat lacks
            raise InputError(
                f"its encoding cannot be read ({error})",
                remedy="Export it as UTF-8",
                path=self.path,
            ) from error
        return self.found

    def _refuse_doctype(self, name: str, *_: object) -> None:
        raise InputError(
            f"it has a document type ({name[:40]}), which LandXML does not need and which can "
            "make a reader open other files",
            remedy="Take the <!DOCTYPE ...> out, if you trust the file",
            path=self.path,
            line=self.parser.CurrentLineNumber,
        )

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        tag = name.rpartition(":")[2]  # each version has a namespace; any prefix will do
        if not self.open and tag != "LandXML":
            raise InputError(
                f"it is XML, but not LandXML: it begins with <{name[:40]}>",
                remedy="Export the surface or the points as LandXML",
                path=self.path,
            )
        if len(self.open) > _DEEPEST:
            raise say_damaged(
                f"its elements are nested more than {_DEEPEST} deep",
                self.path,
                line=self.parser.CurrentLineNumber,
            )
        if tag == "Surface":
            self._find(tag, attributes, "")
        self.open.append(tag)
        if tag in _TAGS:
            self.attributes, self.text = attributes, []

    def _hold(self, text: str) -> None:
        if self.open[-1] in _WITH_TEXT:
            self.text.append(text)

    def _end(self, name: str) -> None:
        del name
        tag = self.open.pop()
        if tag in _TAGS:
            self._find(tag, self.attributes, "".join(self.text))

    def _find(self, tag: str, attributes: dict[str, str], text: str) -> None:
        parent = self.open[-1] if self.open else ""
        self.found.append(Element(tag, parent, attributes, text, self.parser.CurrentLineNumber))
