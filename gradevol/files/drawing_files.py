"""Opening drawings: files that are not there, or are something else."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from gradevol.ground.errors import InputError

#: First bytes of drawings given for one another. DWG's is common knowledge, no source; the others
#: are from PKWARE APPNOTE 4.3.7 and ISO 32000-1 7.5.2.
_OTHERS = (
    (
        b"AC10",
        "a DWG drawing, whose format is not published",
        "Save it as DXF in the drawing program",
    ),
    (b"PK\x03\x04", "a zip archive", "Unpack it and name the file in it"),
    (b"%PDF-", "a PDF", "Have the drawing itself sent, as DXF or LandXML"),
)


@contextmanager
def open_drawing(path: Path) -> Iterator[BinaryIO]:
    """
    Open a file for reading its bytes.

    Raises
    ------
    InputError
        If it can't be read, is empty, or is a DWG, a zip or a PDF.
    """
    try:
        file = path.open("rb")
    except (OSError, ValueError) as error:  # ValueError: a name with a NUL
        raise InputError(
            f"the file cannot be read ({getattr(error, 'strerror', None) or error})",
            remedy="Check its name and that you may read it",
            path=path,
        ) from error
    with file:
        opening = file.read(8)
        file.seek(0)
        _refuse_others(opening, path)
        yield file


def _refuse_others(opening: bytes, path: Path) -> None:
    if not opening:
        raise InputError("it is empty", remedy="Check that this is the right file", path=path)
    for start, kind, remedy in _OTHERS:
        if opening.startswith(start):
            raise InputError(f"it is {kind}", remedy=remedy, path=path)
