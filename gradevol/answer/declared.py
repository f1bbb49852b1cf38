"""Declared data: types that are at once the JSON, its schema and its page of the reference.

A class of declared data is a frozen dataclass of keyword-only fields. The annotation of a field
says what it is and ends with the words of the reference::

    volume: Annotated[Volume, "The integral of top less base where that is positive."]
    required: Annotated[Length | None, "The cover that the job asks for."] = None

A field that may be None is absent where it was not asked for or can't be known. A name that is a
word of Python ends with an underscore, which the JSON does not show.
"""

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, TypeAlias, Union, get_args, get_origin, get_type_hints


@dataclass(frozen=True, slots=True)
class Kind:
    """What a value is to a JSON Schema, beyond its type."""

    minimum: float | None = None
    maximum: float | None = None
    items: tuple[int, int] | None = None

    def schema(self) -> dict[str, Any]:
        """Return the keywords of a JSON Schema."""
        least, most = self.items or (None, None)
        keywords = {
            "minimum": self.minimum,
            "maximum": self.maximum,
            "minItems": least,
            "maxItems": most,
        }
        return {keyword: value for keyword, value in keywords.items() if value is not None}


#: In the units that the data name; a share is 0 to 1, a bearing degrees from north, clockwise.
Length: TypeAlias = Annotated[float, Kind()]
Volume: TypeAlias = Annotated[float, Kind()]
#: The same where it can't be less than 0.
Size: TypeAlias = Annotated[float, Kind(minimum=0)]
Share: TypeAlias = Annotated[float, Kind(minimum=0, maximum=1)]
Count: TypeAlias = Annotated[int, Kind(minimum=0)]
#: Easting, northing and, where it is known, elevation, in the job's coordinates.
Place: TypeAlias = Annotated[list[float], Kind(items=(2, 3))]
#: Outlines: rings of places, those of holes among them.
Rings: TypeAlias = list[list[Place]]

_TYPES = {bool: "boolean", int: "integer", float: "number", str: "string"}


def to_plain(value: Any) -> Any:
    """
    Turn declared data into dicts, lists, numbers and text, in the order of declaration.

    Parameters
    ----------
    value : declared data, or what a field of it may hold
    """
    if is_dataclass(value):
        pairs = ((field.name, getattr(value, field.name)) for field in fields(value))
        return {_name(name): to_plain(held) for name, held in pairs if held is not None}
    if isinstance(value, list | tuple):
        return [to_plain(item) for item in value]
    return value


def describe_schema(kind: type) -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of a class of declared data."""
    properties, required = {}, []
    for name, hint, words in list_fields(kind):
        properties[name] = _schema_of(hint, words)
        if not _is_optional(hint):
            required.append(name)
    return {
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": False,
    }


def list_keys(kind: type, within: str = "") -> Iterator[tuple[str, str]]:
    """
    List the keys of a class of declared data, and of all that it holds.

    Yields
    ------
    (str, str)
        A key from the top, with ``[]`` behind that of a list, and its words.
    """
    for name, hint, words in list_fields(kind):
        key = f"{within}{name}"
        yield key, words
        held, depth = _innermost(hint)
        if isinstance(held, type) and is_dataclass(held):
            yield from list_keys(held, f"{key}{'[]' * depth}.")


def list_fields(kind: type) -> Iterator[tuple[str, Any, str]]:
    """
    List the fields of a class of declared data.

    Yields
    ------
    (str, type, str)
        Name in the JSON, type without its words, words.

    Raises
    ------
    TypeError
        If a field has no words.
    """
    hints = get_type_hints(kind, include_extras=True)
    for field in fields(kind):
        hint = hints[field.name]
        held, *said = get_args(hint) if get_origin(hint) is Annotated else (hint,)
        text = [part for part in said if isinstance(part, str)]
        if not text:
            raise TypeError(f"{kind.__name__}.{field.name} is declared without words")
        kinds = [part for part in said if isinstance(part, Kind)]
        yield _name(field.name), Annotated[held, kinds[0]] if kinds else held, text[-1]


def _name(name: str) -> str:
    return name.removesuffix("_")


def _parts(hint: Any) -> tuple[Any, ...]:
    """Types of a union but None; the type itself where it is none."""
    if get_origin(hint) in (Union, UnionType):
        return tuple(part for part in get_args(hint) if part is not NoneType)
    return (hint,)


def _is_optional(hint: Any) -> bool:
    return get_origin(hint) in (Union, UnionType) and NoneType in get_args(hint)


def _innermost(hint: Any) -> tuple[Any, int]:
    """Type within an optional, annotated, listed type, and how many lists it lies in."""
    held, depth = _parts(hint)[0], 0
    while get_origin(held) is Annotated or get_origin(held) in (list, tuple):
        depth += get_origin(held) is not Annotated
        held = get_args(held)[0]
    return held, depth


def _schema_of(hint: Any, words: str = "") -> dict[str, Any]:
    said = {"description": words} if words else {}
    (held,) = _parts(hint)
    if get_origin(held) is Annotated:
        held, *marks = get_args(held)
        kinds = [mark.schema() for mark in marks if isinstance(mark, Kind)]
        return said | _schema_of(held) | (kinds[0] if kinds else {})
    if get_origin(held) is Literal:
        return said | {"enum": list(get_args(held))}
    if get_origin(held) in (list, tuple):
        return said | {"type": "array", "items": _schema_of(get_args(held)[0])}
    if is_dataclass(held):
        return said | describe_schema(held)  # type: ignore[arg-type]
    return said | {"type": _TYPES[held]}
