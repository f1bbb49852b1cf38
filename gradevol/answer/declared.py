"""Declared data: types that are at once the JSON, its schema and its page of the reference.

A class of declared data is a frozen dataclass of keyword-only fields (`declared`). The annotation
of a field says what it is and ends with the words of the reference::

    volume: Annotated[Volume, "The integral of top less base where that is positive."]
    required: Annotated[Length | None, "The cover that the job asks for."] = None

A field that may be None is absent where it was not asked for or can't be known; a class that has
no other fields is itself absent rather than empty. A name that is a word of Python ends with an
underscore, which the JSON does not show.
"""

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass, fields, is_dataclass
from types import NoneType, UnionType
from typing import (
    Annotated,
    Any,
    Literal,
    NamedTuple,
    TypeAlias,
    TypeVar,
    Union,
    dataclass_transform,
    get_args,
    get_origin,
    get_type_hints,
)

_Kind = TypeVar("_Kind")


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """What a value is to a JSON Schema, beyond its type: its keywords, as Python spells them."""

    enum: tuple[str, ...] | None = None
    minimum: float | None = None
    maximum: float | None = None
    exclusive_minimum: float | None = None
    exclusive_maximum: float | None = None
    min_items: int | None = None
    max_items: int | None = None
    max_length: int | None = None
    pattern: str | None = None

    def schema(self) -> dict[str, Any]:
        """Return the keywords of a JSON Schema."""
        held = ((field.name, getattr(self, field.name)) for field in fields(self))
        return {
            re.sub("_(.)", lambda letter: letter[1].upper(), name): to_plain(value)
            for name, value in held
            if value is not None
        }


@dataclass_transform(frozen_default=True, kw_only_default=True)
def declared(kind: type[_Kind]) -> type[_Kind]:
    """Make a class one of declared data: it is written out, never compared or shown by Python."""
    return dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)(kind)


@dataclass(frozen=True, slots=True)
class Beside:
    """Mark of a field that is never there without another one."""

    key: str


#: In the units that the data name; a share is 0 to 1.
Length: TypeAlias = Annotated[float, Kind()]
Volume: TypeAlias = Annotated[float, Kind()]
Money: TypeAlias = Annotated[float, Kind()]
#: The same where it can't be less than 0; a fall is one, a ratio.
Size: TypeAlias = Annotated[float, Kind(minimum=0)]
Positive: TypeAlias = Annotated[float, Kind(exclusive_minimum=0)]
Share: TypeAlias = Annotated[float, Kind(minimum=0, maximum=1)]
#: Degrees clockwise from north: the way water runs; of what has no direction.
Bearing: TypeAlias = Annotated[float, Kind(minimum=0, exclusive_maximum=360)]
HalfBearing: TypeAlias = Annotated[float, Kind(minimum=0, exclusive_maximum=180)]
Count: TypeAlias = Annotated[int, Kind(minimum=0)]
#: What is counted from 1, or is absent where there is none.
Number: TypeAlias = Annotated[int, Kind(minimum=1)]
#: Easting, northing; and elevation; in the job's coordinates.
Place: TypeAlias = Annotated[list[float], Kind(min_items=2, max_items=2)]
Point: TypeAlias = Annotated[list[float], Kind(min_items=3, max_items=3)]
#: Outlines: rings of places, those of holes among them.
Rings: TypeAlias = list[list[Place]]
#: Names that are absent where there are none.
Names: TypeAlias = Annotated[list[str], Kind(min_items=1)]
#: What scripts tell notes by.
Code: TypeAlias = Annotated[str, Kind(pattern="^[a-z0-9]+(-[a-z0-9]+)*$")]

_TYPES = {bool: "boolean", int: "integer", float: "number", str: "string"}
_LINK = re.compile(r"\[([^]]*)\]\([^)]*\)")


def to_plain(value: Any) -> Any:
    """
    Turn declared data into dicts, lists, numbers and text, in the order of declaration.

    Parameters
    ----------
    value : declared data, or what a field of it may hold
    """
    if isinstance(value, float | int | str):
        return value
    if is_dataclass(value):
        pairs = ((field.name, getattr(value, field.name)) for field in fields(value))
        return {_name(name): to_plain(held) for name, held in pairs if held is not None}
    if isinstance(value, list | tuple):
        return [to_plain(item) for item in value]
    return value


def describe_schema(kind: type) -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of a class of declared data."""
    properties, required, beside = {}, [], {}
    for field in list_fields(kind):
        said = {"description": _LINK.sub(r"\1", field.words)}
        properties[field.name] = said | _schema_of(field.hint)
        if not field.is_optional:
            required.append(field.name)
        if field.beside:
            beside[field.name] = list(field.beside)
    return {
        "type": "object",
        "properties": properties,
        **({"required": required} if required else {"minProperties": 1}),
        **({"dependentRequired": beside} if beside else {}),
        "additionalProperties": False,
    }


def list_keys(
    kind: type, within: str = "", *, apart: Collection[type] = ()
) -> Iterator[tuple[str, str]]:
    """
    List the keys of a class of declared data, and of all that it holds.

    Parameters
    ----------
    kind : type
    within : str
        What stands before each key.
    apart : collection of type
        Classes whose own keys are not listed.

    Yields
    ------
    (str, str)
        A key from the top, with ``[]`` behind that of a list, and its words.
    """
    for field in list_fields(kind):
        key = f"{within}{field.name}"
        yield key, field.words
        held, depth = field.hint, 0
        while get_origin(held) in (Annotated, list, tuple):
            depth += get_origin(held) is not Annotated
            held = get_args(held)[0]
        if is_dataclass(held) and held not in apart:
            yield from list_keys(held, f"{key}{'[]' * depth}.", apart=apart)  # type: ignore[arg-type]


class Field(NamedTuple):
    """
    A field of declared data.

    Attributes
    ----------
    name : str
        In the JSON.
    hint : type
        Without None and words.
    is_optional : bool
        Whether it may be absent.
    beside : tuple of str
        Fields that are there wherever it is.
    """

    name: str
    hint: Any
    words: str
    is_optional: bool
    beside: tuple[str, ...]


def list_fields(kind: type) -> Iterator[Field]:
    """
    List the fields of a class of declared data.

    Yields
    ------
    Field

    Raises
    ------
    TypeError
        If a field has no words.
    """
    hints = get_type_hints(kind, include_extras=True)
    for field in fields(kind):
        hint = hints[field.name]
        held, *marks = get_args(hint) if get_origin(hint) is Annotated else (hint,)
        words = [mark for mark in marks if isinstance(mark, str)]
        if not words:
            raise TypeError(f"{kind.__name__}.{field.name} is declared without words")
        parts = get_args(held) if get_origin(held) in (Union, UnionType) else (held,)
        (held,) = (part for part in parts if part is not NoneType)
        for mark in marks:
            held = Annotated[held, mark] if isinstance(mark, Kind) else held
        beside = tuple(mark.key for mark in marks if isinstance(mark, Beside))
        yield Field(_name(field.name), held, words[-1], NoneType in parts, beside)


def _name(name: str) -> str:
    return name.removesuffix("_")


def _schema_of(hint: Any) -> dict[str, Any]:
    origin, held = get_origin(hint), get_args(hint)
    if origin is Annotated:
        schema = _schema_of(held[0])
        for mark in held[1:]:
            schema |= mark.schema()
        return schema
    if origin is Literal:
        return {"enum": list(held)}
    if origin in (list, tuple):
        return {"type": "array", "items": _schema_of(held[0])}
    return describe_schema(hint) if is_dataclass(hint) else {"type": _TYPES[hint]}  # type: ignore[arg-type]
