"""Whole files: they appear when all of them are written, or not at all."""

import errno
import secrets
import shutil
from collections.abc import Collection, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from gradevol.ground.errors import InputError

#: No file is named in these errors, for it is the disk that is at fault.
_DISK = {errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EIO}


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """
    Yield a path to write to; the file takes the place of `path` only if all went well.

    Parameters
    ----------
    path : Path
        Its folder must exist.

    Raises
    ------
    InputError
        If it can't be written there.
    """
    draft = path.with_name(f".draft-{secrets.token_hex(4)}-{path.name}")  # the suffix stays
    with _told(path, draft):
        try:
            yield draft
            draft.replace(path)
        finally:
            with suppress(OSError):
                draft.unlink()


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
    and all are put back if that is interrupted. The draft of that lies within it, for it may be
    a disk of its own.
    """
    path = path.absolute()
    if path.exists() and not path.is_dir():
        raise InputError(
            "it is a file, where a folder is to be written",
            remedy="Move it away, or name another folder",
            path=path,
        )
    name = f".draft-{secrets.token_hex(4)}"
    is_new = not path.exists()
    made = [folder for folder in (path, *path.parents) if not folder.exists()]
    draft = path.with_name(f"{name}-{path.name}") if is_new else path / name
    with _told(path, draft):
        try:
            draft.parent.mkdir(parents=True, exist_ok=True)
            draft.mkdir()
            yield draft
            if is_new:
                draft.rename(path)
            else:
                _move_in(draft, path, ours)
        except BaseException:
            shutil.rmtree(draft, ignore_errors=True)
            for folder in made:
                with suppress(OSError):  # not empty: someone else has used it meanwhile
                    folder.rmdir()
            raise
        shutil.rmtree(draft, ignore_errors=True)


def _move_in(draft: Path, path: Path, ours: Collection[Path]) -> None:
    """Move every file of `draft` to its place in `path`; put all back if one can't be."""
    names = [file.relative_to(draft) for file in sorted(draft.rglob("*")) if file.is_file()]
    stale = [name for name in ours if name not in names]
    before = draft / ".before"
    try:
        for name in stale:
            (before / name).parent.mkdir(parents=True, exist_ok=True)
            (path / name).replace(before / name)
        for name in names:
            (before / name).parent.mkdir(parents=True, exist_ok=True)
            (path / name).parent.mkdir(parents=True, exist_ok=True)
            if (path / name).is_file():
                (path / name).replace(before / name)
            (draft / name).replace(path / name)
    except BaseException:
        # what has been done is read off the disk, for an interrupt comes between any two steps
        for name in (*stale, *names):
            if (before / name).exists():
                (before / name).replace(path / name)
            elif name in names and not (draft / name).exists():
                (path / name).unlink(missing_ok=True)
        raise
    for folder in {(path / name).parent for name in stale} - {path}:
        with suppress(OSError):  # not empty
            folder.rmdir()


@contextmanager
def _told(path: Path, draft: Path) -> Iterator[None]:
    """Tell what keeps `path` from being written, and leave other errors as they are."""
    try:
        yield
    except OSError as error:
        named = [Path(str(name)) for name in (error.filename, error.filename2) if name]
        is_ours = any(
            name in draft.parents or name.is_relative_to(path) or name.is_relative_to(draft)
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
