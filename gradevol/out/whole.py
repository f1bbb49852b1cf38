"""Whole files: they appear when all of them are written, or not at all."""

import errno
from collections.abc import Collection, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from gradevol.ground.errors import InputError
from gradevol.out.drafts import BEFORE, NAMES, hold_draft, locked, move, put_back

#: No file is named in these errors, for it is the disk that is at fault.
_DISK = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EROFS, errno.EIO}


def write_text(path: Path, text: str) -> None:
    """Write text that has the same bytes on every system: UTF-8, a line feed behind each line."""
    path.write_text(text, encoding="utf-8", newline="\n")


@contextmanager
def whole_file(path: Path, *, makes_folder: bool = False) -> Iterator[Path]:
    """
    Yield a path to write to; the file takes the place of `path` only if all went well.

    Parameters
    ----------
    path : Path
        Its folder must exist, or
    makes_folder : bool
        it is made.

    Raises
    ------
    InputError
        If it can't be written there.
    """
    with _told(path, path.parent):
        if makes_folder:
            path.parent.mkdir(parents=True, exist_ok=True)
        with hold_draft(path.parent, f"-{path.name}", is_folder=False, target=path.parent) as draft:
            yield draft
            move(draft, path)


def refuse_others(path: Path, *, begins: str, ends: str = "") -> None:
    """
    Refuse to write a table over a file of someone else: its first line is another.

    Parameters
    ----------
    path : Path
        Need not exist.
    begins, ends : str
        How the first line of the table begins and ends, ASCII.

    Raises
    ------
    InputError
        If it is a file that neither is empty nor begins so.
    """
    if not path.is_file():
        return
    with _told(path, path.parent), path.open("rb") as file:
        first = file.readline(1000).removeprefix(b"\xef\xbb\xbf").rstrip()
    if first and not (first.startswith(begins.encode()) and first.endswith(ends.encode())):
        raise InputError(
            "this file would be written over, and it is no table of an earlier run",
            remedy="Name another place with --out, or move it away",
            path=path,
        )


@contextmanager
def whole_folder(path: Path, *, ours: Collection[Path] = ()) -> Iterator[Path]:
    """
    Yield a folder to write to; its files appear in `path` only if all went well.

    Parameters
    ----------
    path : Path
        Made where it does not exist. Files in it of the same name are replaced, others are left
        alone.
    ours : collection of Path
        Files within it that are taken away where none of their name is written.

    Raises
    ------
    InputError
        If it can't be written.

    Notes
    -----
    A new folder appears by one renaming. Into a folder that exists, files are moved one by one,
    and all are put back if that is interrupted; one run at a time does so. JSON files, that
    scripts read, are taken away first and come last: while files are mixed there is none. A run
    that is killed amidst it leaves its draft, of which the next run puts the old files back.
    The draft of that lies within the folder, for it may be a disk of its own.
    """
    path = path.absolute()
    standing = next((folder for folder in (path, *path.parents) if folder.exists()), None)
    if standing is not None and not standing.is_dir():
        raise InputError(
            "it is a file, where a folder is to be written",
            remedy="Move it away, or name another folder",
            path=standing,
        )
    is_new = not path.exists()
    made = [folder for folder in (path, *path.parents) if not folder.exists()]
    parent, name = (path.parent, f"-{path.name}") if is_new else (path, "")
    with _told(path, parent):
        try:
            parent.mkdir(parents=True, exist_ok=True)
            with hold_draft(parent, name, is_folder=True, target=path) as draft:
                yield draft
                with locked(parent):
                    # another run may have made the folder meanwhile
                    if is_new and not path.exists():
                        move(draft, path)
                    else:
                        _move_in(draft, path, ours)
        except BaseException:
            for folder in made:
                with suppress(OSError):  # not empty: someone else has used it meanwhile
                    folder.rmdir()
            raise


def _move_in(draft: Path, path: Path, ours: Collection[Path]) -> None:
    """Move every file of `draft` to its place in `path`; put all back if one can't be."""
    names = [file.relative_to(draft) for file in sorted(draft.rglob("*")) if file.is_file()]
    names.sort(key=lambda name: name.suffix == ".json")
    stale = [name for name in ours if name not in names and (path / name).is_file()]
    (draft / NAMES).write_text("\0".join(str(name) for name in names), "utf-8")
    before = draft / BEFORE
    try:
        for name in (*reversed(names), *stale):
            if (path / name).is_file():
                (before / name).parent.mkdir(parents=True, exist_ok=True)
                move(path / name, before / name)
        for name in names:
            (path / name).parent.mkdir(parents=True, exist_ok=True)
            move(draft / name, path / name)
    except BaseException:
        put_back(draft, path, even_all=True)
        raise
    for folder in {(path / name).parent for name in stale} - {path}:
        with suppress(OSError):  # not empty
            folder.rmdir()


@contextmanager
def _told(path: Path, parent: Path) -> Iterator[None]:
    """Tell what keeps `path` from being written, and leave other errors as they are."""
    try:
        yield
    except OSError as error:
        named = [Path(str(name)) for name in (error.filename, error.filename2) if name]
        is_ours = any(
            name == parent
            or name in parent.parents
            or name.is_relative_to(path)
            or _is_draft(name, parent)
            for name in named
        )
        if not is_ours and error.errno not in _DISK:
            raise
        raise InputError(
            f"it can't be written: {(error.strerror or str(error)).lower()}",
            remedy="Close any program that has it open, make room, or name a place that you may "
            "write to",
            path=path,
        ) from error


def _is_draft(name: Path, parent: Path) -> bool:
    """Whether a path lies in a draft of a folder."""
    inner = name.relative_to(parent).parts if name.is_relative_to(parent) else ()
    return bool(inner) and inner[0].startswith(".draft-")
