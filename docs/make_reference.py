"""Write docs/reference/job-file.md from the declarations of its keys and the prose around them.

Run it after a key or job-file.md.in has changed: ``python docs/make_reference.py``. In that file
``<!-- keys -->`` stands for the keys of the table that the heading above it names. A test compares
the page with what this makes.
"""

import re
from pathlib import Path

from gradevol.job.declarations import TableKeys, join_names
from gradevol.job.keys import TABLES

PAGE = Path(__file__).parent / "reference" / "job-file.md"
_MARK = "<!-- keys -->"


def compose_reference() -> str:
    """Compose the page."""
    prose = PAGE.with_suffix(".md.in").read_text(encoding="utf-8")
    left = {_capitalize(table.heading): table for table in TABLES}

    def fill_in(section: re.Match[str]) -> str:
        return section[0].replace(_MARK, _compose_keys(left.pop(section[1])))

    page = re.sub(rf"^## ([^\n]+)\n(?:(?!^## ).)*?{_MARK}", fill_in, prose, flags=re.M | re.S)
    if left:
        raise SystemExit(f"no section has a place for the keys of {', '.join(left)}")
    return page


def _capitalize(heading: str) -> str:
    words = heading.startswith(("a ", "the "))
    return heading[0].upper() + heading[1:] if words else heading


def _compose_keys(table: TableKeys) -> str:
    """Rows of a table: keys that mean the same share one."""
    rows: dict[str, list[str]] = {}
    for key in table.keys:
        rows.setdefault(key.tell(), []).append(f"`{key.name}`")
    lines = [f"Give exactly one of {join_names(table.one_of)}.", ""] if table.one_of else []
    lines += ["| key | meaning |", "| --- | --- |"]
    return "\n".join([*lines, *(f"| {', '.join(keys)} | {told} |" for told, keys in rows.items())])


if __name__ == "__main__":
    PAGE.write_text(compose_reference(), encoding="utf-8")
