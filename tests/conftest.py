"""The few shapes everyone uses, and how a job is measured from arrays."""

import gc
import os
import pickle
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any, TypeAlias

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line does, before numpy loads

import numpy as np
import pytest
from hypothesis import settings

from gradevol.ground.arrays import FloatArray
from gradevol.measures.concrete import Concrete, measure_concrete
from gradevol.measures.field import ThicknessField
from gradevol.measures.overlaid import build_field
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab, Thickening
from gradevol.site.surface import build_surface, merge_shots
from gradevol.site.survey import Survey
from gradevol.site.top import (
    Between,
    Design,
    Fall,
    Level,
    Panel,
    Panels,
    build_top,
)
from gradevol.uncertainty import interpolation, likely_kernels, process

if TYPE_CHECKING:
    from gradevol.answer.result import Result

if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:  # of a shell that runs us behind it
    signal.signal(signal.SIGINT, signal.default_int_handler)

USUAL = 15
settings.register_profile("ci", derandomize=True, deadline=None, max_examples=USUAL, database=None)
settings.register_profile("thorough", deadline=None, max_examples=40 * USUAL)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))

#: Letters for any text; hypothesis takes a second to list those of all scripts.
ODD = "".join(map(chr, range(256))) + "⅛⅜½′″−–٣४漢\u2028\u200b\ufeff😀"
SAMPLES = Path(__file__).parents[1] / "sample_surveys"
#: What a check simulates of the base between the shots, which is most of its time.
SIMULATED = ("study_hidden", "plan_next_shots")
#: How it looks for what the base does between the shots, which is most of the rest: with fewer of
#: them, in fewer cells, among fewer ranges and no streaks.
COARSE: dict[ModuleType, dict[str, Any]] = {
    likely_kernels: {
        **{"_SEARCHED": 40, "_MOST": 3, "_TIMES": 1, "_MOST_HALVED": 1},
        "list_streaked": lambda *_: [],
    },
    process: {"_NOISES": 7, "_SCALES": 5},
    interpolation: {"MOST_PLACES": 120},
}

Measure: TypeAlias = Callable[..., tuple[Concrete, ThicknessField]]


@dataclass(frozen=True)
class Pad:
    """Shots, the slab's edge and its design top, all in one system, m."""

    shots: FloatArray
    edge: FloatArray
    top: Design


def examples(count: int) -> settings:
    """Try another number of examples than usual; of a thorough profile as many times more."""
    return settings(max_examples=count * settings().max_examples // USUAL)


def lattice(columns: int, rows: int, spacing: float = 1.0) -> FloatArray:
    """Places of a lattice, (columns · rows, 2), m."""
    east, north = np.meshgrid(np.arange(columns), np.arange(rows), indexing="ij")
    return spacing * np.column_stack([east.ravel(), north.ravel()]).astype(float)


def moved(design: Design, by: FloatArray) -> Design:
    """Put a design elsewhere: `by` is added to its coordinates."""
    if isinstance(design, Level):
        return Level(design.elevation + float(by[2]))
    if isinstance(design, Fall):
        return replace(design, through=design.through + by)
    if isinstance(design, Between):
        return Between(design.first + by, design.second + by)
    if isinstance(design, Panels):
        return Panels(tuple(Panel(p.edge + by[:2], moved(p.design, by)) for p in design.panels))
    return replace(design, points=design.points + by)


def pytest_collection_finish() -> None:
    """Leave what was collected, which lives to the end, out of each search for garbage."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def check_sample(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], "Result"]:
    """Check a job of the samples, such as "apron/job.toml": once for all tests, on all cores."""
    from gradevol.job import read_job  # noqa: PLC0415
    from gradevol.runs import check  # noqa: PLC0415

    def list_whole() -> list[object]:
        """What `look_coarsely` would have changed."""
        parts = ((check, SIMULATED), *COARSE.items())
        return [getattr(module, name) for module, names in parts for name in names]

    whole = list_whole()
    folder = tmp_path_factory.getbasetemp()
    folder = folder.parent if "PYTEST_XDIST_WORKER" in os.environ else folder

    @cache
    def run(name: str) -> "Result":
        kept = folder / f"{name.replace('/', '-')}.pickle"
        if kept.exists():
            return _unpack(kept.read_bytes())
        assert whole == list_whole(), "unsimulated"
        result = check.check_job(read_job(SAMPLES / name))
        draft = kept.with_suffix(f".{os.getpid()}")
        draft.write_bytes(_pack(result))
        draft.replace(kept)
        return result

    return run


def _pack(result: "Result") -> bytes:
    """Write a result with its arrays apart, so that they are read-only again when it is read."""
    arrays: list[pickle.PickleBuffer] = []
    body = pickle.dumps(result, protocol=5, buffer_callback=arrays.append)
    return pickle.dumps((body, [array.raw().tobytes() for array in arrays]))


def _unpack(packed: bytes) -> Any:
    body, arrays = pickle.loads(packed)
    return pickle.loads(body, buffers=arrays)


@contextmanager
def leave_out_simulated() -> Iterator[None]:
    """Leave out of checks what they simulate, for tests of the rest."""
    with pytest.MonkeyPatch.context() as patch:
        for name in SIMULATED:
            patch.setattr(f"gradevol.runs.check.{name}", lambda *_args, **_rest: None)
        yield


@contextmanager
def look_coarsely() -> Iterator[None]:
    """Leave it out and be coarse about the rest: an interval is an honest one, but another."""
    with leave_out_simulated(), pytest.MonkeyPatch.context() as patch:
        for module, names in COARSE.items():
            for name, few in names.items():
                patch.setattr(module, name, few)
        yield


@pytest.fixture(scope="class")  # of each test, but in a scope that hypothesis bears
def unsimulated() -> Iterator[None]:
    """Leave out of a test's checks what they simulate; look coarsely at the rest."""
    with look_coarsely():
        yield


@pytest.fixture(scope="session")
def measure() -> Measure:
    """Measure concrete from arrays in any system, about a local origin as a job does it."""

    def run(
        shots: FloatArray,
        edge: FloatArray,
        top: Design,
        *,
        openings: tuple[FloatArray, ...] = (),
        thickenings: tuple[Thickening, ...] = (),
        thickness: float = 0.15,
    ) -> tuple[Concrete, ThicknessField]:
        survey = Survey.about_local_origin(np.asarray(shots, float))
        plan = survey.origin[:2]
        slab = Slab(
            np.asarray(edge, float) - plan,
            tuple(ring - plan for ring in openings),
            thickness,
            thickness - 0.019,
            thickenings=thickenings,
        )
        points, _, _ = merge_shots(survey)
        base = extend_level(build_surface(points), slab.outline)
        field = build_field(base, build_top(moved(top, -survey.origin), slab).surface, slab)
        return measure_concrete(field, slab), field

    return run


@pytest.fixture(scope="session")
def level_pad() -> Pad:
    """12 m by 9 m, base at 100.00, top at 100.15."""
    plan = lattice(5, 4, 3.0)
    edge = np.array([[0, 0], [12, 0], [12, 9], [0, 9.0]])
    return Pad(np.column_stack([plan, np.full(len(plan), 100.0)]), edge, Level(100.15))


@pytest.fixture(scope="session")
def sloping_pad() -> Pad:
    """12 m by 9 m under a level top; the base falls 2 % to the east."""
    plan = lattice(5, 4, 3.0)
    edge = np.array([[0, 0], [12, 0], [12, 9], [0, 9.0]])
    return Pad(np.column_stack([plan, 100 - 0.02 * plan[:, 0]]), edge, Level(100.15))


@pytest.fixture(scope="session")
def dish() -> Pad:
    """12 m square, the base a bowl 0.05 m deep in its middle, uneven enough to tell diagonals."""
    plan = lattice(7, 7, 2.0)
    off = (plan - 6) / 6
    level = (
        100 - 0.05 * (1 - (off**2).mean(axis=1)) + 0.01 * np.sin(7 * plan[:, 0] + 3 * plan[:, 1])
    )
    edge = np.array([[0, 0], [12, 0], [12, 12], [0, 12.0]])
    return Pad(np.column_stack([plan, level]), edge, Level(100.15))


@pytest.fixture(scope="session")
def l_shape() -> Pad:
    """An L of 12 m by 12 m with legs 4 m wide, shot all over on a 2 m lattice."""
    plan = lattice(7, 7, 2.0)
    level = 100 + 0.02 * np.sin(plan[:, 0]) - 0.03 * np.cos(2 * plan[:, 1])
    edge = np.array([[0, 0], [12, 0], [12, 4], [4, 4], [4, 12], [0, 12.0]])
    return Pad(np.column_stack([plan, level]), edge, Level(100.15))
