"""The factors of jobs, as `--learn` adds to them: a plain file that ``order.learned`` names."""

from collections.abc import Sequence
from pathlib import Path

from gradevol.out.tables.cells import compose_rows, guard_words
from gradevol.out.whole import whole_file, write_text


def write_rows(path: Path, header: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Write rows below a header; the file appears whole, or stays as it was."""
    with whole_file(path, makes_folder=True) as draft:
        safe = [[guard_words(cell) for cell in row] for row in rows]
        write_text(draft, compose_rows(header, safe))
