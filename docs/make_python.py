"""Write docs/reference/python.md from the docstrings of the names that the package offers.

Run it after one of them has changed: ``python docs/make_python.py``. A test compares the page with
what this makes.
"""

import inspect
import re
from collections.abc import Callable, Iterator
from pathlib import Path

import gradevol

PAGE = Path(__file__).parent / "reference" / "python.md"
_HEAD = """\
# Python

Made from docstrings by `docs/make_python.py`. These names keep their meaning from one version to
the next; how they go together is shown in [use it from Python](../how-to/from-python.md). Lengths
are metres, areas m², volumes m³; arrays are read-only.
"""
#: In the order in which they are used.
NAMES = (
    *("read_job", "check_job", "present", "describe_result", "take_inventory"),
    *("Job", "Result", "InputError", "GeometryError"),
)
#: Parts of a docstring that become tables.
_PARTS = ("Parameters", "Attributes", "Returns", "Raises")


def compose_python() -> str:
    """Compose the page: what each name is, takes and gives."""
    version = "## `__version__`\n\nThe program's version, as text: `gradevol --version`.\n"
    return "\n".join([_HEAD, *map(_tell, NAMES), version])


def _tell(name: str) -> str:
    thing = getattr(gradevol, name)
    head = f"## `{name}`\n"
    call = f"\n```python\n{name}{_sign(thing)}\n```\n" if inspect.isfunction(thing) else ""
    summary, *parts = re.split(r"\n\n(?=\w+\n-{3,}\n)", inspect.getdoc(thing) or "")
    told = [head + call, f"{summary}\n"]
    for part in parts:
        title, rows = part.split("\n", 2)[0], part.split("\n", 2)[2]
        if title in _PARTS:
            told.append(f"**{title}**\n\n{_list(rows)}")
    return "\n".join(told)


def _sign(function: Callable[..., object]) -> str:
    """Signature without types, which stand below it."""
    told = inspect.signature(function)
    bare = [
        each.replace(
            annotation=each.empty,
            default=... if inspect.isfunction(each.default) else each.default,
        )
        for each in told.parameters.values()
    ]
    return str(told.replace(parameters=bare, return_annotation=told.empty)).replace(
        "Ellipsis", "..."
    )


def _list(rows: str) -> str:
    """Entries of a numpydoc part as a list: what stands in each line that is not indented."""
    return "".join(f"- {entry}\n" for entry in _entries(rows))


def _entries(rows: str) -> Iterator[str]:
    for entry in re.split(r"\n(?=\S)", rows):
        first, *rest = entry.split("\n")
        name, _, kind = first.partition(" : ")
        words = " ".join(line.strip() for line in rest if line.strip())
        told = f"`{name}`" + (f" ({kind})" if kind else "")
        yield f"{told}: {words}" if words else told


if __name__ == "__main__":
    PAGE.write_text(compose_python(), encoding="utf-8")
