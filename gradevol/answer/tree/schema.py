"""The JSON Schema of ``result.json``, made of the declarations."""

from typing import Any

from gradevol.answer.declared import describe_schema
from gradevol.answer.tree.result import ResultTree


def describe_result() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of what `present` gives and ``result.json`` holds."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "gradevol result",
        "description": "Numbers are in the units named in units; shares are 0 to 1. A number that "
        "was not asked for or can't be known is absent.",
        **describe_schema(ResultTree),
    }
