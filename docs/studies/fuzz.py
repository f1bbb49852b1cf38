"""Fuzzing: files of every format, damaged in every way, against what a check promises.

    python docs/studies/fuzz.py                    some minutes; prints the table of fuzz.md
    python docs/studies/fuzz.py --minutes 600 --processes 4
    python docs/studies/fuzz.py --count 1000000    so many, however long they take
    python docs/studies/fuzz.py --only laz         what has it in its name
    python docs/studies/fuzz.py --at 4711          one again, with all it says
    python docs/studies/fuzz.py --keep FOLDER      keeps each folder that broke a promise

Promises: an answer or a refusal in words, no traceback and no warning of Python's; within 10 s of
the processor; within 1 GB; a volume that moved by more than 1 % against the good file's goes with a
note that the good file's has not, or a suspect; and so does a file of which fewer points were used.
What is not weighed, and what most checks leave out, stands in fuzz.md. Every number is damaged
alike each time, whatever ran before it. Processes are forked from one that has loaded everything,
and take five hundred files each.
"""

import argparse
import itertools
import json
import os
import resource
import shutil
import signal
import sys
import tempfile
import time
import warnings
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line does, before numpy loads

sys.path.insert(0, str(Path(__file__).parents[2]))

from docs.studies.fuzz_cases import Case
from docs.studies.fuzz_oracle import FINE, VERDICTS
from docs.studies.fuzz_study import Study, judge

SECONDS, BY_THE_CLOCK, MEMORY = 10, 90, 1 << 30
#: Files of one forked process.
BATCH = 500


def run_batch(study: Study, numbers: list[int], folder: Path, pipe: int) -> None:
    """Judge numbers one by one, within limits, and tell of each when it begins and when it ends."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
    warnings.simplefilter("error")
    held = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (held + MEMORY, held + MEMORY))
    for number in numbers:
        os.write(pipe, f"{number}\n".encode())
        signal.alarm(BY_THE_CLOCK)
        signal.setitimer(signal.ITIMER_PROF, SECONDS)  # either ends the process
        told = judge(study, number, folder)
        signal.setitimer(signal.ITIMER_PROF, 0)
        restore(study, told["number"], folder)
        os.write(pipe, json.dumps(told).encode() + b"\n")


def restore(study: Study, number: int, folder: Path) -> None:
    """Put the good file back."""
    case = study.case(number)
    shutil.copy(study.good_files / case.folder / case.target, folder / case.folder / case.target)


def judge_all(study: Study, numbers: Iterator[int], folder: Path) -> Iterator[dict[str, Any]]:
    """Judge numbers in processes that may end."""
    shutil.copytree(study.good_files, folder)
    while batch := list(itertools.islice(numbers, BATCH)):
        while batch:
            reading, writing = os.pipe()
            child = os.fork()
            if child == 0:
                os.close(reading)
                run_batch(study, batch, folder, writing)
                os._exit(0)
            os.close(writing)
            begun = None
            with os.fdopen(reading) as pipe:
                for line in pipe:
                    if not line.startswith("{"):
                        begun = int(line)
                        continue
                    begun = None
                    yield json.loads(line)
                    batch.pop(0)
            status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
            if begun is not None:
                case, way, _ = study.damage(begun)
                is_hang = status in {-signal.SIGALRM, -signal.SIGPROF}
                yield {
                    "number": begun,
                    "name": case.name,
                    "way": way,
                    "verdict": "hang" if is_hang else "killed",
                    "said": f"exit {status}",
                }
                restore(study, begun, folder)
                batch.pop(0)


def work(study: Study, numbers: Iterator[int], folder: Path, keep: Path | None, pipe: int) -> None:
    """Judge numbers, keep what broke a promise, and tell of each."""
    for told in judge_all(study, numbers, folder):
        if keep and told["verdict"] not in FINE:
            case, _, raw = study.damage(told["number"])
            place = keep / f"{told['verdict'].replace(' ', '_')}-{told['number']}"
            shutil.copytree(study.good_files / case.folder, place, dirs_exist_ok=True)
            (place / case.target).write_bytes(raw)
        os.write(pipe, json.dumps(told).encode() + b"\n")  # shorter than what a pipe takes at once


def fuzz(study: Study, given: argparse.Namespace, folder: Path) -> Counter:
    """Let processes take turns until the count is reached, the time is up, or Ctrl-C."""
    counts: Counter = Counter()
    until = time.monotonic() + 60 * given.minutes if given.minutes else float("inf")
    reading, writing = os.pipe()
    children = []
    for first in range(given.processes):
        children.append(os.fork())
        if children[-1] == 0:
            os.close(reading)
            signal.signal(signal.SIGINT, signal.SIG_DFL)
            own = range(given.first + first, given.first + given.count, given.processes)
            numbers = itertools.takewhile(lambda _: time.monotonic() < until, own)
            work(study, numbers, folder / f"trial-{first}", given.keep, writing)
            os._exit(0)
    os.close(writing)
    try:
        with os.fdopen(reading) as pipe:
            for line in pipe:
                told = json.loads(line)
                counts[told["name"], told["verdict"]] += 1
                if told["verdict"] not in FINE:
                    print(
                        f"{told['number']} {told['name']} {told['way']}: {told['verdict']} "
                        f"{told['said']}",
                        file=sys.stderr,
                        flush=True,
                    )
    except KeyboardInterrupt:
        print("stopped: so far", file=sys.stderr)
        for child in children:
            os.kill(child, signal.SIGTERM)
    for child in children:
        os.waitpid(child, 0)
    return counts


def print_table(cases: list[Case], counts: Counter) -> None:
    """Print how often each group of cases came to what."""
    groups = {case.name: case.group for case in cases}
    print(f"| damaged | all | {' | '.join(VERDICTS)} |\n|{' --- |' * (2 + len(VERDICTS))}")
    for name in (*dict.fromkeys(groups.values()), "all"):
        row = [
            sum(
                count
                for (one, told), count in counts.items()
                if told == verdict and name in {groups[one], "all"}
            )
            for verdict in VERDICTS
        ]
        print(f"| {name} | {sum(row)} | {' | '.join(map(str, row))} |")


def _spend() -> float:
    """Time of a processor that all children have taken that ended, s."""
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    return spent.ru_utime + spent.ru_stime


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--minutes", type=float, help="stop after so many [3, without --count]")
    parser.add_argument("--count", type=int, help="stop after so many files")
    parser.add_argument("--first", type=int, default=0, help="number to begin with")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="cases with this in their name")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--at", type=int, help="this number alone")
    parser.add_argument("--keep", type=Path)
    given = parser.parse_args()
    if given.minutes is None and given.count is None:
        given.minutes = 3.0
    given.count = given.count or 1 << 40
    with tempfile.TemporaryDirectory() as made:
        study = Study(Path(made), seed=given.seed, only=given.only)
        if given.at is not None:
            shutil.copytree(study.good_files, Path(made) / "trial")
            print(json.dumps(judge(study, given.at, Path(made) / "trial"), indent=1))
            return
        began, spent = time.monotonic(), _spend()
        counts = fuzz(study, given, Path(made))
        took, spent, count = time.monotonic() - began, _spend() - spent, counts.total()
        print_table(study.cases, counts)
        print(
            f"\n{count} files in {took / 60:.1f} min: {count / took:.1f} a second, and "
            f"{1000 * spent / count:.1f} ms of a processor each"
        )


if __name__ == "__main__":
    main()
