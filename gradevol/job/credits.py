"""What a job says of who measured the base, when, with what."""

from datetime import date, datetime, time

from gradevol.job.table import Table
from gradevol.site.metadata import Credits

_KEYS = ("by", "date", "instrument", "benchmark")


def read_credits(job: Table) -> Credits:
    """
    Read [survey]: text to be printed; a date may also be written as TOML has it.

    Parameters
    ----------
    job : Table
        The job's top level.

    Returns
    -------
    Credits
        Blank text is as good as none: its line on the sheet is left to be filled by hand.

    Raises
    ------
    InputError
        If a value is no text.
    """
    if "survey" not in job:
        return Credits()
    table = job.read_table("survey")
    return Credits(**{key: _read(table, key) for key in _KEYS if key in table})


def _read(table: Table, key: str) -> str:
    value = table.values[key]
    if key == "date" and isinstance(value, date | datetime | time):
        return str(value)
    if not isinstance(value, str):
        raise table.wrong(table.called(key), value, "text", "Put it between quotes")
    return " ".join(value.split())
