"""Which text files are clouds, where nobody says so."""

from gradevol.files.clouds.text import ENDINGS, PLAIN, TextCloud, open_text_cloud, read_sample
from gradevol.files.sniff import File
from gradevol.files.sources import Cloud
from gradevol.files.tables.columns import check_letters
from gradevol.files.tables.headings import read_heading, read_letters
from gradevol.files.tables.marks import find_unit
from gradevol.files.tables.table import Table
from gradevol.ground.errors import InputError

#: Endings by which text is a cloud, whatever its size; others are where they are as large as this,
#: bytes: a crew with a rod or a rover books some thousand shots at most. Ours, no source.
_ENDINGS = ENDINGS - {".txt", ".csv"}
_LARGE = 4_000_000


def find_cloud(file: File, *, unit: str | None, columns: str | None) -> TextCloud | None:
    """
    Open a text file that is a cloud; None of a list of shots, or what is no cloud.

    Parameters
    ----------
    file : File
    unit : str or None
        Its unit, where it carries none and somebody knows it.
    columns : str or None
        One letter a column, as the user says.
    """
    if file.path.suffix.lower() not in _ENDINGS and file.path.stat().st_size < _LARGE:
        return None
    try:
        table, _ = read_sample(file)
        letters = check_letters(columns) if columns else _name_columns(table)
        told, _ = find_unit(table, ())
        cloud = Cloud((file.path,), told or unit or "m", columns=columns)
        opened = open_text_cloud(file, cloud, key="--columns")
    except InputError:
        return None  # whoever reads it as a table tells why
    return None if set(letters) & set("PDSR") else opened


def _name_columns(table: Table) -> str:
    """Letters of the header, where it has one that is understood; else as XYZ."""
    try:
        return read_letters(list(map(read_heading, table.header or ()))) or PLAIN
    except ValueError:
        return PLAIN
