"""What a file of cores holds: how many were taken, and how long they were."""

from collections.abc import Sequence

from gradevol.doubts.described.facts import AXES, Asked, Fact, Inventory, clean, describe_extents
from gradevol.doubts.finding import Finding
from gradevol.files.cores import find_length, read_cores
from gradevol.files.tables.table import Table
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of

#: What bare lengths are read in where nobody says their unit: they are told as they stand.
_SMALL = "mm"


def describe_cores(
    asked: Asked,
    table: Table,
    places: FloatArray,
    *,
    unit: str | None,
    digits: Sequence[int],
    head: Sequence[Fact],
    findings: Sequence[Finding],
    title: str,
) -> Inventory:
    """
    Describe cores as `gradevol reconcile --cores` takes them.

    Parameters
    ----------
    asked : Asked
    table : Table
    places : (n, 2) array of float
        In the file's own unit.
    unit : str or None
        That unit, where it is known.
    digits : sequence of int
        Decimals of the places.
    head, findings : sequence
        What is told first, and what its reader found.
    title : str
        What kind of text it is.

    Raises
    ------
    InputError
        If a row can't be read.
    """
    path = asked.file.path
    bare = unit or _SMALL
    cores = read_cores(path, asked.files, unit=bare)
    _, own = find_length(table, bare)
    lengths = [core.length / METRES[own] for core in cores if core.length is not None]
    proposed = len(cores) - len(lengths)
    told = f"{len(lengths)} with a length, {proposed} proposed"
    facts = [*head, Fact("cores", "Cores", told, {"taken": len(lengths), "proposed": proposed})]
    facts += describe_extents(places, digits[:2], unit, unit, names=AXES[:2])
    if lengths:
        low, high = (clean(length) for length in (min(lengths), max(lengths)))
        said = "" if unit is None and own == _SMALL else f" {own}"
        text = f"{low:g} to {high:g}{said}"
        facts.append(Fact("lengths", "Lengths", text, {"low": low, "high": high}))
    text = f"gradevol reconcile JOB --tickets FILE --cores {path.name} holds them against the slab"
    facts.append(Fact("next", "Next", text, text))
    return Inventory(
        name=path.name,
        kind="cores",
        title=f"{count_of(len(cores), 'core')}, {title}",
        facts=tuple(facts),
        findings=tuple(findings),
        looked_at="columns, ids, lengths",
    )
