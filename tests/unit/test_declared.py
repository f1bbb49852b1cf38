from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias

import jsonschema
import pytest

from gradevol.answer.declared import (
    Beside,
    Count,
    Kind,
    Names,
    Number,
    Place,
    Share,
    Size,
    describe_schema,
    list_keys,
    to_plain,
)

_Said: TypeAlias = Annotated[Size | None, "How deep; see [water](../water.md)."]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Puddle:
    depth: _Said = None
    shots: Annotated[Names | None, "Ids of its shots."] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Yard:
    name: Annotated[str, "What it is called."]
    wet: Annotated[Share | None, Beside("puddles"), "Share that is wet."] = None
    puddles: Annotated[list[_Puddle] | None, Kind(max_items=2), "Its puddles."] = None
    from_: Annotated[Number, "Counted from 1."]
    kind: Annotated[Literal["inner", "outer"], "Which."]
    corners: Annotated[list[Place], "Its corners."]
    is_paved: Annotated[bool, "Whether it is paved."]
    gates: Annotated[Count | None, "How many."] = None


YARD = _Yard(name="a", from_=1, kind="inner", corners=[[0.0, 1.5]], is_paved=False, gates=0)
PLAIN = {
    "name": "a",
    "from": 1,
    "kind": "inner",
    "corners": [[0.0, 1.5]],
    "is_paved": False,
    "gates": 0,
}


def test_plain_data_keep_the_order_of_declaration_and_leave_out_only_what_is_none():
    assert to_plain(YARD) == PLAIN
    assert list(to_plain(YARD)) == list(PLAIN)
    assert to_plain([_Puddle(depth=0.0), _Puddle(shots=["7"])]) == [
        {"depth": 0.0},
        {"shots": ["7"]},
    ]


def test_a_field_without_words_is_refused():
    @dataclass(frozen=True, slots=True, kw_only=True)
    class Mute:
        length: float

    with pytest.raises(TypeError, match=r"Mute\.length is declared without words"):
        describe_schema(Mute)


def test_keys_are_told_from_the_top_with_their_words():
    told = dict(list_keys(_Yard, "yard."))
    assert list(told) == [
        "yard.name",
        "yard.wet",
        "yard.puddles",
        "yard.puddles[].depth",
        "yard.puddles[].shots",
        "yard.from",
        "yard.kind",
        "yard.corners",
        "yard.is_paved",
        "yard.gates",
    ]
    assert told["yard.puddles[].depth"] == "How deep; see [water](../water.md)."


def test_keys_of_a_class_that_is_told_apart_are_left_out():
    assert not [key for key, _ in list_keys(_Yard, apart=(_Puddle,)) if "[]" in key]


def test_the_schema_holds_kinds_of_values_and_of_what_lies_in_lists():
    schema = describe_schema(_Yard)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["required"] == ["name", "from", "kind", "corners", "is_paved"]
    assert schema["properties"]["from"] == {
        "description": "Counted from 1.",
        "type": "integer",
        "minimum": 1,
    }
    assert schema["properties"]["corners"]["items"] == {
        "type": "array",
        "items": {"type": "number"},
        "minItems": 2,
        "maxItems": 2,
    }


def test_links_of_the_page_are_plain_words_in_the_schema():
    schema = describe_schema(_Puddle)
    assert schema["properties"]["depth"]["description"] == "How deep; see water."


@pytest.mark.parametrize(
    "wrong",
    [
        {"name": None},
        {"more": 1},
        {"from": 0},
        {"from": 1.5},
        {"kind": "middle"},
        {"corners": [[1.0, 2.0, 3.0]]},
        {"is_paved": 1},
        {"gates": -1},
        {"wet": 0.5},
        {"wet": 1.01, "puddles": []},
        {"puddles": [{}]},
        {"puddles": [{"shots": []}]},
        {"puddles": [{"depth": -0.1}]},
        {"puddles": [{"depth": 1.0}] * 3},
    ],
)
def test_the_schema_refuses_what_the_declarations_do_not_allow(wrong):
    schema = describe_schema(_Yard)
    jsonschema.validate(PLAIN, schema)
    jsonschema.validate({**PLAIN, "wet": 1, "puddles": [{"depth": 0}] * 2}, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**PLAIN, **wrong}, schema)
