"""The files of a check."""

from collections.abc import Callable, Collection, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from gradevol.answer.compose import Answer
from gradevol.ground.errors import InputError
from gradevol.ground.words import list_of
from gradevol.out.drafts import locked
from gradevol.out.json import compose_json
from gradevol.out.tables.topics import write_table
from gradevol.out.text.summary import compose_summary
from gradevol.out.whole import whole_folder, write_text

if TYPE_CHECKING:
    from gradevol.answer.surfaces import Surfaces

_EXPORTED = (
    *("surfaces.xml", "drawing.dxf", "spots.geojson", "thickness.tif", "cut_fill.tif", "base.ply"),
    *("body.ply", "base.glb", "body.glb", "body.stl", "set_out.csv"),
)
#: What a check writes always, beside its `result.json`.
ALWAYS = ("summary.txt", "fix_list.csv", "fix_points.csv", "report.html")
#: What a check may write: where this run does not, an older run's is taken away, so that no sheet
#: of other figures lies beside the result.
OURS = ("plan.png", "sheet.pdf", "base3d.png", *(f"exports/{name}" for name in _EXPORTED))


def write_outputs(
    answer: Answer,
    surfaces: "Surfaces | None",
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
    answer : Answer
    surfaces : Surfaces or None
        What exports hold; needed where there are any.
    folder : Path
        Made where it does not exist; files in it that are not a check's are left alone.
    inputs : collection of Path
        Files that must not be written over (`find_inputs`).
    has_pictures : bool
        Whether pictures, and the sheet to print, are drawn.
    exports : collection of str
        Kinds of files for other programs (`exports.EXPORTS`); they go into a folder ``exports``.
    paper : {"letter", "tabloid", "a4", "a3"} or None
        Of the sheet; None: chosen by `sheet.draw_sheet`.
    progress : callable
        Told what is being done and the share that is done.

    Returns
    -------
    list of str
        Sentences about what could not be drawn as meant, or was taken away, for the user.

    Raises
    ------
    InputError
        If the folder can't be written, or holds an input, or what is no check's, under the name of
        a file to be written.
    """
    from gradevol.out.pages.page import compose_page  # noqa: PLC0415

    missing = []
    ours = _list_ours(inputs, folder)
    with whole_folder(folder, ours=ours) as draft:
        refuse_foreign(folder, (*ALWAYS, *OURS), inputs, last="result.json", whose="a check")
        write_text(draft / "result.json", compose_json(answer.plain()))
        write_text(draft / "summary.txt", compose_summary(answer.title, answer.topics))
        write_table(draft / "fix_list.csv", *answer.pick("work"))
        write_table(draft / "fix_points.csv", answer.points)
        picture = draft / "plan.png" if has_pictures else None
        if has_pictures:
            from gradevol.out.paper.sheet import write_sheet  # noqa: PLC0415
            from gradevol.out.pictures.base3d import base3d_beside  # noqa: PLC0415
            from gradevol.out.pictures.plan import draw_plan  # noqa: PLC0415

            progress("plan.png", 0.0)
            with base3d_beside(answer.drawing) as draw_base3d:
                draw_plan(answer.drawing, draft / "plan.png")
                progress("sheet.pdf", 0.4)
                write_sheet(draft / "sheet.pdf", answer, paper=paper)
                progress("base3d.png", 0.8)
                sentence = draw_base3d(draft / "base3d.png")
            if sentence is not None:
                missing.append(sentence)
        progress("report.html", 0.9)
        write_text(draft / "report.html", compose_page(answer, picture=picture))
        if exports and surfaces is not None:
            from gradevol.out.exports import write_exports  # noqa: PLC0415

            (draft / "exports").mkdir()
            write_exports(answer, surfaces, draft / "exports", exports, progress=progress)
        refuse_inputs(draft, folder, inputs)
        stale = [str(name) for name in ours if not (draft / name).exists()]
    if stale:
        were = "was" if len(stale) == 1 else "were"
        missing.append(f"{list_of(stale)} of an earlier check {were} taken away.")
    return missing


def refuse_foreign(
    folder: Path, names: Sequence[str], inputs: Collection[Path], *, last: str, whose: str
) -> None:
    """
    Refuse a folder that holds files under names that will be written, and none of whose they are.

    Parameters
    ----------
    folder : Path
        Need not exist.
    names : sequence of str
    inputs : collection of Path
        Are refused elsewhere.
    last : str
        The file that stands beside all others that a run has written.
    whose : str
        What writes them: a check.

    Raises
    ------
    InputError
        If it holds any of them without `last`.
    """
    if not folder.exists():
        return
    with locked(folder):  # another run that switches its files has its result away meanwhile
        if (folder / last).exists():
            return
        held = [name for name in names if (folder / name).is_file()]
    found = [name for name in held if not _is_read(folder / name, inputs)]
    if found:
        them = "it" if len(found) == 1 else "them"
        raise InputError(
            f"it holds {list_of(found)}, but no {last} of {whose} that wrote {them}, and "
            f"would lose {them}",
            remedy="Name another folder with --out, or move what is yours away",
            path=folder,
        )


def _list_ours(inputs: Collection[Path], folder: Path) -> tuple[Path, ...]:
    """Files that a check may have left in the folder; never one that the job reads."""
    return tuple(
        Path(name)
        for name in OURS
        if (folder / name).is_file() and not _is_read(folder / name, inputs)
    )


def _is_read(place: Path, inputs: Collection[Path]) -> bool:
    """Whether a file is one that the job reads."""
    return any(place.samefile(path) for path in inputs if path.exists())


def refuse_inputs(draft: Path, folder: Path, inputs: Collection[Path]) -> None:
    """Refuse to put any file of a draft in the place of an input."""
    for file in sorted(draft.rglob("*")):
        place = folder / file.relative_to(draft)
        if place.is_file() and _is_read(place, inputs):
            raise InputError(
                "the job reads this file, and a result of the same name would take its place",
                remedy="Name another folder with --out",
                path=place,
            )
