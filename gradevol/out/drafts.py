"""Drafts: hidden files and folders that are written before they take their place, and their locks.

A draft is locked as long as its run lives; what is not locked was left by a run that was killed.
Where a system has no locks, one that has stood for a day was; where only a disk has none, none is
cleared.
"""

import os
import secrets
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from glob import escape
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None  # type: ignore[assignment]

#: Within the draft of a folder: what stood in the places of its files, and the names of them all.
BEFORE, NAMES = ".before", ".names"
#: No run lasts longer, s.
_LONGEST = 86_400.0
#: How long is waited for whoever looks into what was just written, s.
_PAUSES = (0.05, 0.1, 0.2, 0.4)


@contextmanager
def hold_draft(parent: Path, name: str, *, is_folder: bool, target: Path) -> Iterator[Path]:
    """
    Make a draft beside or within what it is for, and hold its lock; what is left of it is removed.

    Parameters
    ----------
    parent : Path
        Folder that holds it; what dead runs left there for the same name is cleared.
    name : str
        End of the draft's name.
    is_folder : bool
    target : Path
        The folder that its files go to; for a file, `parent`.
    """
    with locked(parent):
        clear_dead(parent, name, target)
        draft = parent / f".draft-{secrets.token_hex(4)}{name}"
        if is_folder:
            draft.mkdir()
        else:
            draft.touch()
        held = _lock(draft, waits=False)
    try:
        yield draft
    finally:
        if is_folder:
            shutil.rmtree(draft, ignore_errors=True)
        else:
            with suppress(OSError):
                draft.unlink()
        if held is not None:
            os.close(held)


@contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Keep other runs from switching files in a folder meanwhile; waits for one that does."""
    held = _lock(folder, waits=True)
    try:
        yield
    finally:
        if held is not None:
            os.close(held)


def move(source: Path, place: Path) -> None:
    """
    Move a file or a folder to its place; a file that stands there is replaced.

    Windows refuses that while another program has it open, as one that looks for viruses may have
    for a moment after it was written.
    """
    pauses: tuple[float, ...] = _PAUSES if fcntl is None else ()
    for pause in pauses:
        try:
            source.replace(place)
        except PermissionError:
            time.sleep(pause)
        else:
            return
    source.replace(place)


def clear_dead(parent: Path, name: str, target: Path) -> None:
    """Clear drafts of runs that were killed; one that had switched a part is put back."""
    if fcntl is None:
        _clear_old(parent, name)
        return
    for draft in sorted(parent.glob(f".draft-????????{escape(name)}")):
        held = _lock(draft, waits=False)
        if held is None:
            continue
        with suppress(OSError):
            if draft.is_dir():
                put_back(draft, target)
                shutil.rmtree(draft)
            else:
                draft.unlink()
        os.close(held)


def _clear_old(parent: Path, name: str) -> None:
    """Clear drafts by their age; what they hold of older files, newer runs have replaced."""
    for draft in parent.glob(f".draft-????????{escape(name)}"):
        with suppress(OSError):
            if time.time() - draft.stat().st_mtime < _LONGEST:
                continue
            if draft.is_dir():
                shutil.rmtree(draft)
            else:
                draft.unlink()


def put_back(draft: Path, target: Path, *, even_all: bool = False) -> None:
    """
    Undo what of a switch has been done, all of it only if asked: what that is, the disk tells.

    An interrupt, or a kill, comes between any two steps.
    """
    before, names = draft / BEFORE, draft / NAMES
    if not names.exists():
        return
    listed = [Path(name) for name in names.read_text("utf-8").split("\0") if name]
    if not even_all and not any((draft / name).exists() for name in listed):
        return  # all of it is in place
    for name in listed:
        if not (draft / name).exists():
            (target / name).unlink(missing_ok=True)
    if before.is_dir():
        for file in sorted(before.rglob("*")):
            if file.is_file():
                place = target / file.relative_to(before)
                place.parent.mkdir(parents=True, exist_ok=True)
                move(file, place)


def _lock(path: Path, *, waits: bool) -> int | None:
    """Lock a file or folder: what to close for letting go; None where it can't be had."""
    if fcntl is None:
        return None
    try:
        held = os.open(path, os.O_RDONLY)
    except OSError:
        return None
    try:
        fcntl.flock(held, fcntl.LOCK_EX | (0 if waits else fcntl.LOCK_NB))
    except OSError:
        os.close(held)
        return None
    return held
