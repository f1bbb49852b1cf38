"""``result.json``: the presented result, for scripts."""

import json
from collections.abc import Iterator
from typing import Any


def compose_json(view: dict[str, Any]) -> str:
    """
    Write a presented result as JSON text.

    Parameters
    ----------
    view : dict
        From `present`.

    Returns
    -------
    str
        One key a line, coordinates on one line; ends with a newline. ASCII only, the rest escaped:
        no pipe or terminal can spoil it.

    Raises
    ------
    ValueError
        If a number is not finite: JSON has no word for it.
    """
    return "".join(_lines(view, "\n")) + "\n"


def _lines(value: Any, newline: str) -> Iterator[str]:
    """Pieces of JSON: dicts and lists of dicts over several lines, all else on one."""
    deeper = f"{newline} "
    if isinstance(value, dict) and value:
        for number, (key, item) in enumerate(value.items()):
            yield f"{',' if number else '{'}{deeper}{json.dumps(key)}: "
            yield from _lines(item, deeper)
        yield f"{newline}}}"
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for number, item in enumerate(value):
            yield f"{',' if number else '['}{deeper}"
            yield from _lines(item, deeper)
        yield f"{newline}]"
    else:
        yield json.dumps(value, allow_nan=False)
