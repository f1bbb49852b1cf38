"""Write the tables of result.md, pour.md and reconcile.md in docs/reference from declarations.

Run it after a key, its words, or a note's code has changed: ``python docs/make_result.py``. What
stands outside of the tables is written in the page itself. A test compares the page with what this
makes.
"""

from collections.abc import Iterable, Mapping
from pathlib import Path

from gradevol.answer.declared import list_keys
from gradevol.answer.tree.account import ReconcileTree
from gradevol.answer.tree.accounts import JobsTree
from gradevol.answer.tree.day import DayData
from gradevol.answer.tree.note_codes import CODES
from gradevol.answer.tree.order import OrderData
from gradevol.answer.tree.result import ResultTree
from gradevol.answer.tree.spots import SpotData

PAGE = Path(__file__).parent / "reference" / "result.md"
DAY = PAGE.with_name("pour.md")
ACCOUNT = PAGE.with_name("reconcile.md")


def compose_page(page: str) -> str:
    """
    Put the tables of the result into its page, each between its two remarks.

    Raises
    ------
    ValueError
        If the page lacks a remark.
    """
    return _fill_in(page, _compose_tables())


def compose_day_page(page: str) -> str:
    """Put the table of `gradevol pour --json` into its page."""
    return _fill_in(page, {"keys": _table("key", "meaning", list_keys(DayData))})


def compose_account_page(page: str) -> str:
    """Put the tables of ``reconcile.json`` and ``reconcile_jobs.json`` into their page."""
    tables = {"keys": ReconcileTree, "jobs": JobsTree}
    return _fill_in(
        page, {name: _table("key", "meaning", list_keys(tree)) for name, tree in tables.items()}
    )


def _fill_in(page: str, tables: Mapping[str, str]) -> str:
    for name, table in tables.items():
        start = f"<!-- {name}: made by docs/make_result.py -->\n"
        head, begun, rest = page.partition(start)
        _, end, tail = rest.partition(f"<!-- end of {name} -->")
        if not begun or not end:
            raise ValueError(f"the page has no place for {name}")
        page = f"{head}{start}\n{table}\n{end}{tail}"
    return page


def _compose_tables() -> dict[str, str]:
    apart = (SpotData, OrderData)
    return {
        "keys": _table("key", "meaning", list_keys(ResultTree, apart=apart)),
        "spots": _table("key", "meaning", list_keys(SpotData, "spot.")),
        "order": _table("key", "meaning", list_keys(OrderData, "order.")),
        "notes": "\n".join(
            f"{whose}:\n\n{_table('code', 'says', codes.items())}" for whose, codes in CODES.items()
        ),
    }


def _table(what: str, says: str, rows: Iterable[tuple[str, str]]) -> str:
    lines = [f"| {what} | {says} |", "| --- | --- |"]
    lines += [f"| `{key}` | {words} |" for key, words in rows]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    PAGE.write_text(compose_page(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    DAY.write_text(compose_day_page(DAY.read_text(encoding="utf-8")), encoding="utf-8")
    ACCOUNT.write_text(compose_account_page(ACCOUNT.read_text(encoding="utf-8")), encoding="utf-8")
