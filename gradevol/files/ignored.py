"""What files say of their units where the job has it passed over."""

from pathlib import Path

from gradevol.files.clouds.las_header import read_las_header
from gradevol.files.clouds.text import read_sample
from gradevol.files.drawings.formats import find_declared
from gradevol.files.drawings.units import Declared, name_unit
from gradevol.files.opened import Files
from gradevol.files.sheet_sources import Depths, Rods
from gradevol.files.sheets.grid import find_sheet
from gradevol.files.sources import Cloud, OutlineFile, Shots, SurfaceFile
from gradevol.files.tables.headings import contradicts, read_headings
from gradevol.files.tables.table import read_sheet_of
from gradevol.files.tables.unit_asides import find_other
from gradevol.ground.notes import Note, escape


def note_ignored(
    source: Shots | Cloud | SurfaceFile | OutlineFile | Depths | Rods, files: Files
) -> tuple[Note, ...]:
    """
    Note each file whose own word on its unit is passed over.

    Parameters
    ----------
    source : Shots, Cloud, SurfaceFile, OutlineFile, Depths or Rods
        With `ignores_unit`.
    files : Files
        What the run has opened.

    Returns
    -------
    tuple of Note
        Code ``file-unit-ignored``; none for a file that says nothing else than the job.
    """
    paths = source.paths if isinstance(source, Shots | Cloud) else (source.path,)
    sheet, notes = getattr(source, "sheet", None), []
    for path in paths:
        said = [
            one for one in _find_said(path, source.unit, files, sheet) if one.unit != source.unit
        ]
        if said:
            text = (
                f"{escape(path.name)}: {said[0].where} says that it is in "
                f"{name_unit(said[0].unit)}. As the job asks (ignore_file_unit), that was passed "
                f"over, and its numbers were read in {name_unit(source.unit)}."
            )
            notes.append(Note("file-unit-ignored", text))
    return tuple(notes)


def _find_said(path: Path, unit: str, files: Files, sheet: str | None) -> tuple[Declared, ...]:
    """All that a file says of its unit."""
    file = files.open(path)
    if file.kind == "LAS":
        units = read_las_header(path).units
        both = {units.plan: "its header", units.elevation: "its header, of elevations,"}
        return tuple(Declared(said, where) for said, where in both.items() if said)
    if file.kind not in {"text", "workbook"}:
        return find_declared(file, files)
    is_text = file.kind == "text"
    table = read_sample(file)[0] if is_text else files.parse(path, read_sheet_of(sheet))
    if grid := find_sheet(table):
        table = grid.table
    headings = read_headings(table.header or ())
    return (
        *(
            Declared(heading.unit, f"its heading {escape(heading.text)!r}")
            for heading in headings
            if heading.unit and contradicts(heading, unit)
        ),
        *(Declared(said.unit, f"its line {said.line}") for said in find_other(table, unit)),
    )
