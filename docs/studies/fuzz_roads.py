"""The roads on which a damaged file is read: a check, level notes, a pour, the account after it."""

import contextlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np

import gradevol.runs.check
from gradevol.answer.account import compose_account
from gradevol.answer.compose import compose_answer
from gradevol.answer.levels import present_levels
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.said.day import tell_day
from gradevol.answer.tree.day import compose_day
from gradevol.files.level_notes import read_level_notes
from gradevol.job import read_job
from gradevol.out.outputs import write_outputs
from gradevol.out.text.account import compose_account_text
from gradevol.out.text.day import compose_day_text
from gradevol.out.text.levels import compose_levels
from gradevol.runs.pour import pour_job
from gradevol.runs.reconcile import reconcile_result
from gradevol.site.levelling import misclosure, reduce_levels
from gradevol.uncertainty import interpolation


@dataclass(frozen=True, slots=True)
class Told:
    """
    What one run answered.

    Attributes
    ----------
    volume : float or None
        What must not move in silence.
    count : int or None
        Points, readings or loads that were used.
    said : frozenset of str
        What it warned of.
    """

    volume: float | None = None
    count: int | None = None
    said: frozenset[str] = frozenset()


Road = Callable[[Path], Told]

#: What is quick leaves out what is simulated between shots, and takes the margin of a base whose
#: fit between them failed: most of a check's time.
_SIMULATED = ("study_hidden", "plan_next_shots")
_is_quick = False


@contextlib.contextmanager
def quick(is_quick: bool) -> Iterator[None]:
    """Leave out of checks what takes long and reads no file, if they are to be quick."""
    global _is_quick  # noqa: PLW0603
    _is_quick = is_quick
    with contextlib.ExitStack() as stack:
        for name in _SIMULATED if is_quick else ():
            stack.enter_context(
                patch.object(gradevol.runs.check, name, lambda *_args, **_rest: None)
            )
        if is_quick:
            failed = patch.object(interpolation, "fit_process", side_effect=np.linalg.LinAlgError)
            stack.enter_context(failed)
        yield


def check(folder: Path) -> Told:
    """Check a job; where not in haste, write what it makes but pictures."""
    answer = compose_answer(gradevol.runs.check.check_job(read_job(folder / "job.toml")))
    if not _is_quick:
        out = folder / "out"
        write_outputs(answer, None, out, inputs=(), has_pictures=False, progress=lambda *_: None)
    plain = answer.plain()
    suspect = {"suspect"} if plain["survey"]["suspect"] else set()
    said = _say(plain["notes"]) | suspect
    return Told(plain["concrete"]["volume"], plain["survey"]["count"], said)


def _say(notes: list[dict[str, Any]]) -> frozenset[str]:
    # what lies beyond the survey is told by how much it is
    return frozenset(
        note["text"] if note["code"] == "beyond-survey" else note["code"] for note in notes
    )


def level(folder: Path) -> Told:
    """Reduce level notes."""
    page = read_level_notes(folder / "page.csv", unit="ft")
    view = present_levels(page, misclosure.adjust_by_setups(reduce_levels(page.notes)))
    compose_levels(view, page.decimals)
    return Told(None, len(view["rows"]), _say(view["notes"]))


def pour(folder: Path) -> Told:
    """Follow a pour."""
    job = read_job(folder / "job_pour.toml")
    day = pour_job(job, folder / "tickets.csv", kept=folder / "kept")
    loads, modelled = len(day.tickets.loads), day.model.volume
    topics = tell_day(day.progress, day.units, loads=loads, modelled=modelled, notes=day.notes)
    compose_day_text(day.title, topics)
    plain = compose_day(
        day.progress,
        Rounding(day.units, day.origin),
        title=day.title,
        part=day.part,
        loads=loads,
        modelled=modelled,
        notes=day.notes,
    )
    said = _say(plain["notes"]) | {alert["text"] for alert in plain["alerts"]}
    return Told(plain["ticketed"], loads, said)


_checked: dict[str, Result] = {}


def reconcile(folder: Path) -> Told:
    """Account for a pour; the check before it is the same each time."""
    job = read_job(folder / "job_pour.toml")
    result = _checked.get(folder.name) or gradevol.runs.check.check_job(job)
    _checked[folder.name] = result
    done = reconcile_result(
        result,
        job,
        folder / "tickets.csv",
        top_shots=folder / "top_shots.csv",
        cores=folder / "cores.csv",
    )
    answer = compose_account(done)
    compose_account_text(answer)
    plain = answer.plain()
    return Told(plain["rows"][0]["volume"], len(done.tickets.loads), _say(plain["notes"]))
