"""What a pour needs of a check, kept in a file, so that each load is answered at once."""

import hashlib
import secrets
import zipfile
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from gradevol.after.model import Sureness
from gradevol.ground.arrays import FloatArray
from gradevol.measures.field import ThicknessField
from gradevol.plan.order.need import Need
from gradevol.uncertainty.mixture import Mixture

#: Of what is in the file: another number makes older files worthless.
_FORM = 3
_PACKAGE = Path(__file__).parents[1]


@dataclass(frozen=True, slots=True)
class Known:
    """
    What is known of a slab before it is poured.

    Attributes
    ----------
    origin : (3,) array of float
        The survey's, m.
    released : float
        The loads that the order releases at once, m³.
    need : Need or None
        What the order is worked out from, without its lines; None where the job makes none, or
        nothing is known of how sure it is.
    """

    field: ThicknessField
    origin: FloatArray
    sureness: Sureness
    released: float
    need: Need | None = None


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
                    **_list_need(known.need),
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
            sure, need = Sureness(shared, own, off), _find_need(held)
            return Known(field, held["origin"], sure, released, need)
    except (OSError, ValueError, KeyError, TypeError, EOFError, zipfile.BadZipFile):
        return None  # cut short, or another program's: it is made anew


def _list_need(need: Need | None) -> dict[str, Any]:
    if need is None or need.survey_sd is None or need.allowance_sd is None or need.survey is None:
        return {}
    numbers = (need.in_place, need.mean, need.survey_sd, need.allowance_sd, need.off, need.jobs)
    survey = need.survey
    return {
        "need": np.array(numbers),
        "survey": np.array([survey.chance, survey.mean, survey.sd]),
    }


def _find_need(held: Any) -> Need | None:
    if "need" not in held:
        return None
    in_place, mean, survey_sd, allowance_sd, off, jobs = held["need"].tolist()
    survey = Mixture(*held["survey"])
    return Need((), in_place, mean, survey_sd, allowance_sd, off, survey, int(jobs))
