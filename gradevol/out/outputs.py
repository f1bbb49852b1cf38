"""The files of a check, and the limits it exceeds."""

from collections.abc import Callable, Collection, Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

from gradevol.answer.drawing import draw_up
from gradevol.answer.result import Result
from gradevol.ground.errors import InputError
from gradevol.job import Job
from gradevol.measures.drainage.notes import say_fall
from gradevol.out.json import write_json
from gradevol.out.tables.fix_list import write_fix_list
from gradevol.out.tables.fix_points import write_fix_points
from gradevol.out.text.summary import write_summary
from gradevol.out.whole import whole_folder


def write_outputs(
    result: Result,
    view: dict[str, Any],
    folder: Path,
    *,
    inputs: Collection[Path],
    has_pictures: bool,
    exports: Collection[str] = (),
    paper: str | None = None,
    progress: Callable[[str, float], None],
) -> list[str]:
    """
    Write a check's files into a folder, all of them or none.

    Parameters
    ----------
    result : Result
    view : mapping
        The result as `present` gives it.
    folder : Path
        Made where it does not exist; other files in it are left alone.
    inputs : collection of Path
        Files that must not be written over (`find_inputs`).
    has_pictures : bool
        Whether pictures, and the sheet to print, are drawn.
    exports : collection of str
        Kinds of files for other programs (`exports.EXPORTS`); they go into a folder ``exports``.
    paper : {"letter", "a4"} or None
        Of the sheet; None: A4 for metric jobs, letter for others.
    progress : callable
        Told what is being done and the share that is done.

    Returns
    -------
    list of str
        Sentences about what could not be drawn as meant, for the user.

    Raises
    ------
    InputError
        If the folder can't be written, or holds an input under the name of a file to be written.
    """
    from gradevol.out.pages.page import write_page  # noqa: PLC0415

    missing = []
    with whole_folder(folder) as draft:
        write_json(draft / "result.json", view)
        write_summary(draft / "summary.txt", view, result)
        write_fix_list(draft / "fix_list.csv", view, result)
        write_fix_points(draft / "fix_points.csv", view)
        write_page(draft / "report.html", view, result)
        if has_pictures:
            from gradevol.out.paper.sheet import write_sheet  # noqa: PLC0415
            from gradevol.out.pictures.base3d import draw_base3d  # noqa: PLC0415
            from gradevol.out.pictures.plan import draw_plan  # noqa: PLC0415

            progress("plan.png", 0.0)
            drawing = draw_up(result)
            draw_plan(drawing, draft / "plan.png")
            progress("sheet.pdf", 0.3)
            write_sheet(draft / "sheet.pdf", view, result, paper=paper)
            progress("base3d.png", 0.6)
            sentence = draw_base3d(drawing, draft / "base3d.png")
            if sentence is not None:
                missing.append(sentence)
        if exports:
            from gradevol.out.exports import write_exports  # noqa: PLC0415

            (draft / "exports").mkdir()
            write_exports(result, view, draft / "exports", exports, progress=progress)
        _refuse_inputs(draft, folder, inputs)
    return missing


def _refuse_inputs(draft: Path, folder: Path, inputs: Collection[Path]) -> None:
    """Refuse to put any file of a draft in the place of an input."""
    for file in sorted(draft.rglob("*")):
        place = folder / file.relative_to(draft)
        if place.is_file() and any(place.samefile(path) for path in inputs if path.exists()):
            raise InputError(
                "the job reads this file, and a result of the same name would take its place",
                remedy="Name another folder with --out",
                path=place,
            )


def find_inputs(job: Job) -> frozenset[Path]:
    """
    Find the files that a job reads: itself, and all that it names.

    Parameters
    ----------
    job : Job

    Returns
    -------
    frozenset of Path
    """
    return frozenset(_paths_in(job))


def _paths_in(part: object) -> Iterator[Path]:
    if isinstance(part, Path):
        yield part
    elif isinstance(part, tuple):
        for item in part:
            yield from _paths_in(item)
    elif is_dataclass(part) and not isinstance(part, type):
        for held in fields(part):
            yield from _paths_in(getattr(part, held.name))


def find_exceeded(result: Result) -> list[str]:
    """
    Limits that the job states and the base exceeds, in words.

    Parameters
    ----------
    result : Result

    Returns
    -------
    list of str
        Empty where all are kept.
    """
    units = result.units
    found = []
    if result.thin.area > 0:
        found.append(f"{units.say_area(result.thin.area)} thinner than the least thickness")
    for spots, limit in ((result.high, "base_high"), (result.low, "base_low")):
        if spots is not None and spots.area > 0:
            found.append(f"{units.say_area(spots.area)} beyond {limit}")
    found += [
        f"{cover.name}: {units.say_tape(cover.short)} with less cover than stated"
        for cover in result.cover
        if cover.short > 0
    ]
    return found + _find_undrained(result)


def _find_undrained(result: Result) -> list[str]:
    """Where the top drains less than the job states; nothing where it states no least fall."""
    drainage, units = result.drainage, result.units
    if drainage is None or not drainage.runoff.least_fall:
        return []
    found = []
    if drainage.flat and drainage.flat_area:
        stated = say_fall(drainage.runoff.least_fall)
        found.append(f"{units.say_area(drainage.flat_area)} of the top falls less than {stated}")
    if drainage.ponds:
        count = len(drainage.ponds) + drainage.ponds_unlisted
        deep = units.say_thickness(drainage.ponds[0].depth)
        found.append(
            f"water stands on the top in {count} place{'' if count == 1 else 's'}, {deep} deep in "
            "the largest"
        )
    return found
