"""Units that drawings declare, held against the job's."""

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from gradevol.ground.errors import InputError


class Declared(NamedTuple):
    """
    What a file says of its unit.

    Attributes
    ----------
    unit : str
        A key of `units.METRES`, or the name of another unit.
    where : str
        Where the file says so, in words, as the subject of a sentence.
    """

    unit: str
    where: str


def check_units(declared: Sequence[Declared], *, unit: str, path: Path) -> None:
    """
    Refuse a file that says it is in another unit than the job says it is.

    The international and the US survey foot are two units: they differ by 2 parts in a million,
    which is 4 ft at a state plane easting of 2,000,000 ft.

    Parameters
    ----------
    declared : sequence of Declared
        All that the file says of it; empty where it says nothing.
    unit : str
        What the job says, a key of `units.METRES`.
    path : Path
        The file.

    Raises
    ------
    InputError
        It says both.
    """
    for said, where in declared:
        if said != unit:
            raise InputError(
                f"{where} says that it is in {name_unit(said)}, but the job says that its numbers "
                f"are in {name_unit(unit)}",
                remedy="Set the file's own unit in the job (units in the table that names the "
                "file); or, if the file is wrong about itself, write ignore_file_unit = true there",
                path=path,
            )


def name_unit(unit: str) -> str:
    """A unit with the words that tell two feet apart."""
    words = {"ft": "international feet", "us-ft": "US survey feet", "in": "inches"}
    return f"{unit} ({words[unit]})" if unit in words else unit
