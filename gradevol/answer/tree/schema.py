"""The JSON Schema of ``result.json``, made of the declarations."""

from typing import Any

from gradevol.answer.declared import describe_document
from gradevol.answer.tree.result import ResultTree


def describe_result() -> dict[str, Any]:
    """Return the JSON Schema (2020-12) of what `present` gives and ``result.json`` holds."""
    return describe_document(ResultTree, "gradevol result")
