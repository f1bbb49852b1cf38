"""What a pour needs of a check, kept in a file, so that each load is answered at once."""

import hashlib
import secrets
import zipfile
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from gradevol.after.model import Sureness
from gradevol.ground.arrays import FloatArray
from gradevol.measures.field import ThicknessField

#: Of what is in the file: another number makes older files worthless.
_FORM = 2
_PACKAGE = Path(__file__).parents[1]


@dataclass(frozen=True, slots=True)
class Known:
    """
    What is known of a slab before it is poured.

    Attributes
    ----------
    field : ThicknessField
    origin : (3,) array of float
        The survey's, m.
    sureness : Sureness
    released : float
        The loads that the order releases at once, m³.
    """

    field: ThicknessField
    origin: FloatArray
    sureness: Sureness
    released: float


def sign_inputs(paths: Iterable[Path]) -> str:
    """
    Sign all that a check depends on: the bytes of its inputs, and the program's own files.

    Parameters
    ----------
    paths : iterable of Path
        The job file, and all that it names.

    Returns
    -------
    str
        It changes whenever one of them does.
    """
    digest = hashlib.sha256(f"{_FORM} {np.__version__}".encode())
    for path in sorted(paths):
        digest.update(f"\0{path}\0".encode())
        digest.update(path.read_bytes())
    for module in sorted(_PACKAGE.rglob("*.py")):
        held = module.stat()
        digest.update(f"{module.name} {held.st_size} {held.st_mtime_ns}".encode())
    return digest.hexdigest()


def keep_known(path: Path, known: Known, signature: str) -> None:
    """Keep it in a file; where that can't be written, nothing is kept."""
    sure = known.sureness
    draft = path.with_name(f".draft-{secrets.token_hex(4)}-{path.name}")
    with suppress(OSError):
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            with draft.open("wb") as file:
                np.savez(
                    file,
                    signature=np.array(signature),
                    origin=known.origin,
                    numbers=np.array([sure.shared, sure.own, sure.off, known.released]),
                    **{name: getattr(known.field, name) for name in ThicknessField.__slots__},
                )
            draft.replace(path)
        finally:
            draft.unlink(missing_ok=True)


def find_known(path: Path, signature: str) -> Known | None:
    """Find what was kept; None where nothing is, or it is of other inputs."""
    try:
        with path.open("rb") as file, np.load(file, allow_pickle=False) as held:
            if str(held["signature"]) != signature:
                return None
            shared, own, off, released = held["numbers"].tolist()
            field = ThicknessField(**{name: held[name] for name in ThicknessField.__slots__})
            return Known(field, held["origin"], Sureness(shared, own, off), released)
    except (OSError, ValueError, KeyError, TypeError, EOFError, zipfile.BadZipFile):
        return None  # cut short, or another program's: it is made anew
