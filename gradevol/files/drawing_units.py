"""Units that drawings declare, held against the job's."""

from pathlib import Path

from gradevol.ground.errors import InputError


class UnitMismatchError(InputError):
    """A file, `path`, declares another unit than the job: `declared`, of `METRES` or another."""

    def __init__(self, problem: str, *, remedy: str, path: Path, declared: str) -> None:
        super().__init__(problem, remedy=remedy, path=path)
        self.declared, self.path = declared, path


def check_unit(declared: str | None, *, unit: str, path: Path, where: str) -> None:
    """
    Refuse a file that says it is in another unit than the job says it is.

    The international and the US survey foot are two units: they differ by 2 parts in a million,
    which is 4 ft at a state plane easting of 2,000,000 ft.

    Parameters
    ----------
    declared : str or None
        What the file says: a key of `units.METRES` or the name of another unit; None where it says
        nothing.
    unit : str
        What the job says, a key of `units.METRES`.
    path : Path
        The file.
    where : str
        Where the file says so, in words, as the subject of the sentence.

    Raises
    ------
    UnitMismatchError
        It says both.
    """
    if declared is None or declared == unit:
        return
    raise UnitMismatchError(
        f"{where} says that it is in {_name(declared)}, but the job says that its numbers are in "
        f"{_name(unit)}",
        remedy="Set the file's own unit in the job (units in the table that names the file); or, "
        "if the file is wrong about itself, have its unit set right and export it again",
        path=path,
        declared=declared,
    )


def _name(unit: str) -> str:
    """A unit with the words that tell two feet apart."""
    words = {"ft": "international feet", "us-ft": "US survey feet", "in": "inches"}
    return f"{unit} ({words[unit]})" if unit in words else unit
