"""The files of a reconciliation."""

from collections.abc import Callable, Collection
from pathlib import Path

from gradevol.answer.account import AccountAnswer
from gradevol.out.json import compose_json
from gradevol.out.outputs import refuse_foreign, refuse_inputs
from gradevol.out.tables.topics import write_table
from gradevol.out.whole import whole_folder, write_text

_BESIDE = ("reconcile.csv", "reconcile.html", "reconcile.pdf")


def write_account(
    answer: AccountAnswer,
    folder: Path,
    *,
    inputs: Collection[Path],
    paper: str | None = None,
    progress: Callable[[str, float], None],
) -> None:
    """
    Write a reconciliation's files into a folder, all of them or none.

    Parameters
    ----------
    answer : AccountAnswer
    folder : Path
        Made where it does not exist; other files in it are left alone.
    inputs : collection of Path
        Files that must not be written over.
    paper : {"letter", "a4"} or None
        Of the PDF; None: A4 for metric jobs, letter for others.
    progress : callable
        Told what is being done and the share that is done.

    Raises
    ------
    InputError
        If the folder can't be written, or holds an input, or what no reconciliation wrote, under
        the name of a file to be written.
    """
    from gradevol.out.pages.account import compose_account_page  # noqa: PLC0415  (slow to load)
    from gradevol.out.paper.account import write_account_paper  # noqa: PLC0415

    with whole_folder(folder) as draft:
        refuse_foreign(folder, _BESIDE, inputs, last="reconcile.json", whose="a reconciliation")
        write_text(draft / "reconcile.json", compose_json(answer.plain()))
        if (table := answer.pick("account")) is not None:
            write_table(draft / "reconcile.csv", table)
        progress("reconcile.html", 0.0)
        write_text(draft / "reconcile.html", compose_account_page(answer))
        progress("reconcile.pdf", 0.5)
        write_account_paper(draft / "reconcile.pdf", answer, paper=paper)
        refuse_inputs(draft, folder, inputs)
