"""The good files of the fuzz and what they come to, and what comes of one that is damaged."""

import gc
import json
import os
import pickle
import random
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

from docs.studies.fuzz_cases import Case, find_cases
from docs.studies.fuzz_oracle import FINE, is_another, weigh, weigh_words
from docs.studies.fuzz_roads import Told, check
from docs.studies.fuzz_ways import WAYS
from gradevol.doubts.described import take_inventory
from gradevol.ground.errors import GradevolError
from gradevol.out.text.inventory import compose_inventory, compose_inventory_json

#: One number in so many is read, reckoned, said and written whole, the others quickly
#: (`fuzz_roads`); one in so many is described too.
WHOLE, DESCRIBED = 200, 5


class Study:
    """All good files and what they come to, and how each number damages one of them."""

    def __init__(self, folder: Path, *, seed: int, only: str) -> None:
        self.seed, self.good_files = seed, folder / "good"
        self.cases = [case for case in _apart(find_cases, self.good_files) if only in case.name]
        if not self.cases:
            raise SystemExit(f"no case has {only!r} in its name")
        self.turns = [case for case in self.cases for _ in range(case.weight)]
        random.Random(0).shuffle(self.turns)
        # every library is loaded here, but not by unpacking LAZ, which starts threads
        for case in self.cases:
            if case.name in _LOADING:
                _run(case, self.good_files, is_quick=False)
        gc.freeze()  # what is loaded is shared with every process that is forked
        self.good: dict[str, Told] = _apart(self._see_good)

    def _see_good(self) -> dict[str, Told]:
        return {case.name: _run(case, self.good_files) for case in self.cases}

    def case(self, number: int) -> Case:
        """Whose file a number damages."""
        return self.turns[number % len(self.turns)]

    def damage(self, number: int) -> tuple[Case, str, bytes]:
        """Which file a number damages, in which way, and what is left."""
        rng = random.Random(f"{self.seed}/{number}")
        case, way = self.case(number), rng.choice(WAYS)
        raw = (self.good_files / case.folder / case.target).read_bytes()
        return case, way.__name__, way(raw, rng) or b" "


#: Cases that load all libraries.
_LOADING = (
    *("comma.csv", "points.xml", "points.dxf", "faces.stl", "grid.tif", "cloud.las"),
    *("level notes", "tickets", "cores.csv after"),
)


def _apart(work: Any, *given: Any) -> Any:
    """Do something in a process of its own, and take over what it gives."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        with os.fdopen(writing, "wb") as pipe:
            pickle.dump(work(*given), pipe)
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        raw = pipe.read()
    os.waitpid(child, 0)
    return pickle.loads(raw)


def _run(case: Case, folder: Path, *, is_quick: bool = True) -> Told:
    """Do with a file what its case is for."""
    return case.road(folder / case.folder, is_quick) if case.road else Told()


def judge(study: Study, number: int, folder: Path) -> dict[str, Any]:
    """Damage one file in a folder of all, and see what comes of it."""
    case, way, raw = study.damage(number)
    target = folder / case.folder / case.target
    target.write_bytes(raw)
    verdict, said = _try(lambda: _read(study, number, folder, raw, way))
    if case.road is None or number % DESCRIBED == 0:
        described, words = _try(lambda: _describe(target))
        if case.road is None or described not in FINE:
            verdict, said = described, f"described: {words}"
    return {"number": number, "name": case.name, "way": way, "verdict": verdict, "said": said}


def _read(study: Study, number: int, folder: Path, raw: bytes, way: str) -> tuple[str, str]:
    """Do with a damaged file what its case is for, and weigh what comes of it."""
    case, good = study.case(number), study.good_files
    is_quick = number % WHOLE > 0
    told = _run(case, folder, is_quick=is_quick)
    # run as the good one was, so that their notes can be compared
    if is_quick and not is_another(raw, (good / case.folder / case.target).read_bytes(), way):
        verdict, said = weigh(told, study.good[case.name], case)
        if verdict == "silent volume" and case.road is check:
            whole, volume = _run(case, folder, is_quick=False), study.good[case.name].volume
            if None not in (whole.low, whole.high) and whole.low <= volume <= whole.high:
                return "within interval", f"{said}; {whole.low:.4g} to {whole.high:.4g}"
        return verdict, said
    return "answered", ""


def _describe(target: Path) -> tuple[str, str]:
    inventory = take_inventory(target, unit="m")
    compose_inventory(inventory)
    json.loads(compose_inventory_json(inventory))
    return "answered", ""


def _try(judged: Callable[[], tuple[str, str]]) -> tuple[str, str]:
    """What something comes to, if it may raise whatever."""
    try:
        return judged()
    except GradevolError as error:
        return weigh_words(str(error))
    except MemoryError:
        return "memory", ""
    except BaseException:
        return "traceback", traceback.format_exc()[-2500:]
