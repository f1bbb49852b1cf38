"""The roads on which a damaged file is read: a check, level notes, a pour, the account after it."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, nullcontext
from dataclasses import asdict, dataclass
from functools import lru_cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from unittest.mock import patch

import gradevol.runs.check
import gradevol.runs.pour
from gradevol.after import as_built
from gradevol.answer.account import compose_account
from gradevol.answer.compose import compose_answer
from gradevol.answer.levels import present_levels
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.said.day import tell_day
from gradevol.answer.tree.account import compose_reconciliation
from gradevol.answer.tree.day import compose_day
from gradevol.answer.tree.notes import compose_notes
from gradevol.files.sheets.level_notes import read_level_notes
from gradevol.job import Job, read_job
from gradevol.out.outputs import write_outputs
from gradevol.out.text.account import compose_account_text
from gradevol.out.text.day import compose_day_text
from gradevol.out.text.levels import compose_levels
from gradevol.runs.pour import know_check
from gradevol.runs.reconcile import reconcile_result
from gradevol.site.levelling import misclosure, reduce_levels


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
    low, high : float or None
        Between which it says that the volume lies, where it does.
    """

    volume: float | None = None
    count: int | None = None
    said: frozenset[str] = frozenset()
    low: float | None = None
    high: float | None = None


#: Of a folder, in haste or whole.
Road = Callable[[Path, bool], Told]

#: What a quick check leaves out, and what stands in its place: nothing of it is read from a file,
#: and no volume, no suspect and no note that is weighed comes of it.
_LEFT_OUT: Mapping[str, Any] = {
    "measure_drainage": None,
    "refuse_unlike_weights": None,
    "look_over": SimpleNamespace(
        found=SimpleNamespace(thin=None, high=None, low=None, cover=None), shot=None
    ),
    "measure_grading": None,
    "fit_between": None,
    "share_out_top": None,
    "study_top": None,
    "estimate_interval": SimpleNamespace(notes=(), low=None, high=None),
    "plan_work": SimpleNamespace(more=0, fixes=()),
    "find_widest_gap": None,
    "measure_moves": None,
    "measure_outcome": None,
    "measure_parts": (),
    "plan_delivery": SimpleNamespace(parts=(), order=None),
    "measure_height": None,
    "remark_on_drainage": (),
    "study_hidden": None,
    "plan_next_shots": None,
}
_QUICK = {name: (lambda *_args, given=given, **_rest: given) for name, given in _LEFT_OUT.items()}
_WHOLE = {name: getattr(gradevol.runs.check, name) for name in _LEFT_OUT}


@contextmanager
def _leave_out() -> Iterator[None]:
    """Check in haste; a patch of the same by mock takes half a millisecond."""
    held = vars(gradevol.runs.check)
    held.update(_QUICK)
    try:
        yield
    finally:
        held.update(_WHOLE)


def _read(folder: Path) -> Job:
    """Read a job, once where it is the same."""
    path = folder / "job.toml"
    return _read_once(path, path.read_bytes())


@lru_cache(maxsize=256)  # more than there are jobs
def _read_once(path: Path, _raw: bytes) -> Job:
    return read_job(path)


def check(folder: Path, is_quick: bool) -> Told:
    """Check a job; where not in haste, say it in words and write what it makes but pictures."""
    job = _read(folder)
    with _leave_out() if is_quick else nullcontext():
        result = gradevol.runs.check.check_job(job)
    if not is_quick:
        out = folder / "out"
        answer = compose_answer(result)
        write_outputs(answer, None, out, inputs=(), has_pictures=False, progress=lambda *_: None)
    suspects = {
        f"{result.survey.name(each.index)} too {'high' if each.difference > 0 else 'low'}"
        for each in result.suspects
    }
    notes = compose_notes(result, Rounding(result.units, result.survey.origin))
    return Told(
        result.concrete.volume,
        result.survey.count,
        _say(map(asdict, notes)) | suspects,
        *((result.interval.low, result.interval.high) if result.interval else ()),
    )


#: Notes of good files too that tell by how much, or shot by shot.
_BY_HOW_MUCH = {
    *("beyond-survey", "codes-left-out", "control-residuals", "epochs-step", "rechecks-applied"),
    "ticket-returned-by-note",
}


def _say(notes: Iterable[Mapping[str, Any]]) -> frozenset[str]:
    return frozenset(
        note["text"] if note["code"] in _BY_HOW_MUCH else note["code"] for note in notes
    )


def level(folder: Path, is_quick: bool) -> Told:
    """Reduce level notes."""
    page = read_level_notes(folder / "page.csv", unit="ft")
    view = present_levels(page, misclosure.adjust_by_setups(reduce_levels(page.notes)))
    if not is_quick:
        compose_levels(view, page.decimals)
    return Told(None, len(view["rows"]), _say(view["notes"]))


def pour(folder: Path, is_quick: bool) -> Told:
    """Follow a pour; in haste, on a job that is checked once."""
    job = _read(folder)
    known = know_check(_check_once(folder, job)) if is_quick else None
    instead = patch.object(gradevol.runs.pour, "know_job", lambda *_args, **_rest: known)
    with instead if is_quick else nullcontext():
        day = gradevol.runs.pour.pour_job(job, folder / "tickets.csv", kept=folder / "kept")
    loads, modelled = len(day.tickets.loads), day.model.volume
    if not is_quick:
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


def _check_once(folder: Path, job: Job) -> Result:
    """Check the job of a pour, which is the same each time."""
    if folder.name not in _checked:
        _checked[folder.name] = gradevol.runs.check.check_job(job)
    return _checked[folder.name]


def reconcile(folder: Path, is_quick: bool) -> Told:
    """Account for a pour, on a job that is checked once."""
    job = _read(folder)
    checked = _check_once(folder, job)
    unsimulated = patch.object(as_built, "study_hidden", lambda *_args, **_rest: None)
    with unsimulated if is_quick else nullcontext():
        done = reconcile_result(
            checked,
            job,
            folder / "tickets.csv",
            top_shots=folder / "top_shots.csv",
            cores=folder / "cores.csv",
        )
    if not is_quick:
        compose_account_text(compose_account(done))
    tree = compose_reconciliation(done)
    return Told(tree.rows[0].volume, len(done.tickets.loads), _say(map(asdict, tree.notes)))
