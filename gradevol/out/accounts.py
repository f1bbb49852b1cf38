"""The files of several jobs after their pours."""

from pathlib import Path

from gradevol.answer.accounts import AccountsAnswer
from gradevol.out.json import compose_json
from gradevol.out.outputs import refuse_foreign
from gradevol.out.tables.topics import write_table
from gradevol.out.whole import whole_folder, write_text

_BESIDE = ("reconcile_jobs.csv", "reconcile_jobs.html", "reconcile_jobs.pdf")


def refuse_foreign_accounts(folder: Path) -> None:
    """Refuse a folder that holds, under a name to be written, what no reconciliation wrote."""
    refuse_foreign(folder, _BESIDE, (), last="reconcile_jobs.json", whose="a reconciliation")


def write_accounts(answer: AccountsAnswer, folder: Path, *, paper: str = "letter") -> None:
    """
    Write the table, the trends, the page and the paper, all of them or none.

    Raises
    ------
    InputError
        If the folder can't be written.
    """
    from gradevol.out.pages.accounts import compose_accounts_page  # noqa: PLC0415  (slow to load)
    from gradevol.out.paper.accounts import write_accounts_paper  # noqa: PLC0415

    with whole_folder(folder) as draft:
        write_text(draft / "reconcile_jobs.json", compose_json(answer.plain()))
        write_table(draft / "reconcile_jobs.csv", answer.jobs)
        write_text(draft / "reconcile_jobs.html", compose_accounts_page(answer))
        write_accounts_paper(draft / "reconcile_jobs.pdf", answer, paper=paper)
