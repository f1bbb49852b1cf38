"""Topics as tables: ``fix_list.csv`` and ``fix_points.csv``."""

from pathlib import Path

from gradevol.answer.statement import Topic
from gradevol.out.tables.cells import compose_rows, guard_words


def compose_table(topic: Topic) -> str:
    """
    Write the statements of a topic that have cells as comma-separated text.

    Returns
    -------
    str
        Its columns, and one row a statement. What is no number is guarded.
    """
    rows = ([guard_words(cell) for cell in said.cells] for said in topic.statements if said.cells)
    return compose_rows(topic.columns, rows)


def write_table(path: Path, topic: Topic) -> None:
    """
    Write `compose_table` to a file.

    Where its text is not ASCII it starts with a byte-order mark: without one a spreadsheet may
    take UTF-8 for something else.
    """
    text = compose_table(topic)
    encoding = "utf-8" if text.isascii() else "utf-8-sig"
    path.write_text(text, encoding=encoding, newline="\n")
