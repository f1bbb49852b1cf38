"""Several jobs side by side: what becomes of the others when one takes its process with it."""

import os
from dataclasses import dataclass
from pathlib import Path

import pytest

from gradevol.cli.abreast import Failed, run_all


@dataclass(frozen=True)
class Task:
    name: str

    @property
    def job(self) -> Path:
        return Path(self.name)


def do(task: Task) -> str:
    if task.name == "deadly":
        os._exit(9)  # as where a system without memory ends a process
    return f"{task.name} is done"


def test_a_process_that_dies_fails_its_own_job_alone():
    tasks = [Task(name) for name in ("one", "deadly", "two", "three")]
    one, deadly, *others = run_all(do, tasks, 2, progress=lambda *_: None)
    assert [one, *others] == ["one is done", "two is done", "three is done"]
    assert isinstance(deadly, Failed)
    assert deadly.problem.startswith("deadly: the process that worked on it died")


@pytest.mark.parametrize(("asked", "count", "started"), [(64, 100, 61), (64, 3, 3), (2, 100, 2)])
def test_no_more_processes_are_started_than_windows_can_wait_for(
    monkeypatch, asked, count, started
):
    """Of `concurrent.futures`: ``max_workers must be <= 61`` there."""
    asked_for = []

    def refuse(workers, **_):
        asked_for.append(workers)
        raise InterruptedError

    monkeypatch.setattr("concurrent.futures.ProcessPoolExecutor", refuse)
    tasks = [Task(str(number)) for number in range(count)]
    with pytest.raises(InterruptedError):
        run_all(do, tasks, asked, progress=lambda *_: None)
    assert asked_for == [started]
