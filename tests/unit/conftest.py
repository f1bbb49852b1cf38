"""Results to present: an invented apron, and any other pad, without a job file."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np
import pytest
import shapely

from gradevol.answer.compose import compose_answer
from gradevol.answer.result import Result
from gradevol.answer.surfaces import compose_surfaces
from gradevol.answer.tree.result import present
from gradevol.doubts.suspects import find_suspects
from gradevol.geometry.gaps import find_widest_gap
from gradevol.ground.arrays import FloatArray
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.ground.units import CUBIC_YARD, METRES, Units
from gradevol.job import read_job
from gradevol.job.terms import Costs
from gradevol.measures.base import MeasuredBase, field_without
from gradevol.measures.concrete import measure_concrete, measure_coverage
from gradevol.measures.grading import measure_grading
from gradevol.measures.overlaid import build_field
from gradevol.measures.thickness import measure_thickness
from gradevol.out.exports import EXPORTS, write_exports
from gradevol.plan.fixes import plan_work
from gradevol.plan.fixes.fix import find_all
from gradevol.plan.fixes.outcome import measure_outcome
from gradevol.runs.check import check_job
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab, Thickening, Void
from gradevol.site.surface import build_surface, merge_shots
from gradevol.site.survey import Survey
from gradevol.site.top import Level, build_top
from gradevol.site.trench import dug_at, lift_trench_shots
from gradevol.uncertainty.process import Process, fit_process
from tests.conftest import lattice, look_coarsely
from tests.small_job import write_job

FOOT = METRES["ft"]
INCH = METRES["in"]

MakeResult: TypeAlias = Callable[..., Result]


def _result(
    shots: FloatArray,
    edge: FloatArray,
    top: float,
    *,
    unit: str = "m",
    title: str = "Invented pad",
    notes: tuple[Note, ...] = (),
    ids: bool = True,
    costs: Costs | None = None,
    **slab: Any,
) -> Result:
    """Result of shots (n, 3), an edge (m, 2) and a level top, all in one system, m."""
    survey = Survey.about_local_origin(
        np.asarray(shots, float),
        ids=tuple(str(number + 1) for number in range(len(shots))) if ids else (),
        readings=tuple(f"{z / METRES[unit]:.3f}" for z in shots[:, 2]) if ids else (),
        reading_unit=unit,
        sigma=0.002,
    )
    given = {"openings": (), "thickness": 0.15, "least_thickness": 0.131, **slab}
    pad = Slab(edge=np.asarray(edge, float) - survey.origin[:2], **given)
    built = build_top(Level(top - float(survey.origin[2])), pad)
    points, _, _ = merge_shots(survey)
    lifted, edges = lift_trench_shots(points, pad, built.surface)
    base = extend_level(build_surface(lifted, edges=edges), pad.outline)
    field = build_field(base, built.surface, pad)
    concrete = measure_concrete(field, pad)
    suspects = find_suspects(survey, dug_at(survey.points, built.surface, pad))
    doubted = [suspect.index for suspect in suspects]
    sure = field_without(doubted, MeasuredBase(survey), pad, built) if doubted else None
    found = find_all(field, pad)
    without = concrete.volume + 0.25 * CUBIC_YARD if suspects else None
    work = plan_work(
        found,
        find_all(sure, pad) if sure else found,
        grading=measure_grading(sure or field, pad),
        slab=pad,
        survey=survey,
        suspects=suspects,
        costs=costs,
    )
    return Result(
        title=title,
        units=Units.of_job(unit),
        survey=survey,
        used=len(points),
        suspects=suspects,
        volume_without_suspects=without,
        coverage=measure_coverage(field),
        slab=pad,
        top=built,
        field=field,
        thickness=measure_thickness(field),
        concrete=concrete,
        grading=measure_grading(field, pad),
        thin=found.thin,
        high=found.high,
        low=found.low,
        widest_gap=find_widest_gap(survey.points, pad.outline) if ids else None,
        cover=found.cover,
        notes=notes,
        base=base,
        work=work,
        outcome=measure_outcome(
            work, field, sure, pad, volume=concrete.volume, volume_without=without
        ),
    )


@pytest.fixture(scope="session")
def make_result() -> MakeResult:
    """Make a result of shots, an edge and a level top."""
    return _result


@pytest.fixture(scope="session")
def small(tmp_path_factory: pytest.TempPathFactory) -> Result:
    """Check the job of `tests.small_job`, whole."""
    return check_job(read_job(write_job(tmp_path_factory.mktemp("small"))))


@pytest.fixture(scope="session")
def process() -> Process:
    """What thirty invented shots on a slab of 12 by 9 m tell of the base between them."""
    rng = np.random.default_rng(5)
    places = rng.uniform([0, 0], [12, 9], (30, 2))
    readings = 0.01 * np.sin(places[:, 0]) + 0.002 * rng.standard_normal(30)
    return fit_process(places, readings, shapely.box(0, 0, 12, 9), floor=0.002)


@pytest.fixture(scope="session")
def apron() -> Result:
    """45 ft by 80 ft in US units, far from any origin, with something of everything."""
    rng = np.random.default_rng(7)
    east, north = np.meshgrid(np.arange(2.0, 45, 8.2), np.arange(2.0, 80, 7.6), indexing="ij")
    plan = np.column_stack([east.ravel(), north.ravel()])
    level = 99.5 - 0.02 + 0.008 * rng.standard_normal(len(plan))
    level += 0.12 * np.exp(-((plan[:, 0] - 14) ** 2 + (plan[:, 1] - 25) ** 2) / 60)
    level -= 0.15 * np.exp(-((plan[:, 0] - 4) ** 2 + (plan[:, 1] - 74) ** 2) / 90)
    level[50] += 0.10
    corner = np.array([2_000_000.0, 700_000.0])
    conduit = np.array([[0.0, 24, 99.55], [45, 26, 99.55]]) + np.append(corner, 0)
    origin = np.floor(np.array([*(plan.min(axis=0) + corner), level.min()]) * FOOT)
    return _result(
        FOOT * np.column_stack([plan + corner, level]),
        FOOT * (np.array([[0.0, 0], [45, 0], [45, 80], [0, 80]]) + corner),
        FOOT * 100,
        unit="ft",
        title="Loading apron (invented)",
        notes=(
            Note(
                "thickenings-overlap",
                "{} of the plan is counted in both beams",
                (Measure(4 * FOOT**2, Kind.AREA),),
                points=("3",),
                places=((1.0, 2.0),),
            ),
        ),
        thickness=0.5 * FOOT,
        least_thickness=5.25 * INCH,
        base_high=0.375 * INCH,
        base_low=0.75 * INCH,
        thickenings=(Thickening("south beam", depth=4 * INCH, width=FOOT, sides=(1,)),),
        voids=(
            Void(
                "conduit",
                volume=0.05 * CUBIC_YARD,
                diameter=2.375 * INCH,
                line=conduit * FOOT - origin,
                least_cover=4 * INCH,
            ),
        ),
        side_names=("old slab", "bulkhead", "north slab", ""),
    )


@dataclass(frozen=True)
class Exported:
    """A result, its unit, the folder of its exports, and its job file."""

    result: Result
    view: dict[str, Any]
    unit: str
    folder: Path
    job: Path

    @property
    def metres(self) -> float:
        """Metres in one of the unit."""
        return METRES[self.unit]


EXPORTED_JOB = """
title = "Yard \\u201cB\\u201d <old & new>, \\u00e9t\\u00e9"
units = "{unit}"
[base]
shots = "shots.csv"
columns = "PENZD"
[slab]
edge = [[{e0}, {n0}], [{e1}, {n0}], [{e1}, {n1}], [{e0}, {n1}]]
openings = [{{ center = [{oe}, {on}], diameter = {d} }}]
thickness = "6 in"
least_thickness = "5.25 in"
base_high = "0.5 in"
base_low = "0.75 in"
[top]
through = [{e0}, {n0}, {z}]
fall = "1/4 in per ft"
bearing = 40
"""


@pytest.fixture(scope="session", params=["m", "ft", "us-ft"])
def exported(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Exported:
    """All exports of an invented slab wholly within its shots, at state-plane coordinates."""
    unit, folder = request.param, tmp_path_factory.mktemp("exported")
    metres = METRES[unit]
    rng = np.random.default_rng(11)
    corner = {"m": [512_345.123, 4_649_776.457]}.get(unit, [2_123_456.371, 700_123.259])
    plan = lattice(9, 7, 1.7) - 1.1 + rng.uniform(-0.4, 0.4, (63, 2))
    east, north = plan.T
    fall = (0.25 / 12) * (np.sin(np.radians(40)) * east + np.cos(np.radians(40)) * north)
    level = 30.5 - 6 * INCH - fall + 0.012 * rng.standard_normal(63)
    shots = np.column_stack([plan / metres + corner, level / metres])
    lines = [
        f"{number + 1},{e:.4f},{n:.4f},{z:.4f},{'GRAVEL' if number % 2 else 'ROCK & DUST'}"
        for number, (e, n, z) in enumerate(shots)
    ]
    (folder / "shots.csv").write_text("\n".join(lines) + "\n")
    e0, n0 = corner
    e1, n1 = e0 + round(10.8 / metres, 3), n0 + round(7.5 / metres, 3)
    job = folder / "job.toml"
    job.write_text(
        EXPORTED_JOB.format(
            unit=unit, e0=e0, n0=n0, e1=e1, n1=n1, z=30.5 / metres,
            oe=e0 + 5.1 / metres, on=n0 + 3.3 / metres, d=0.8 / metres,
        )
    )  # fmt: skip
    with look_coarsely():
        result = check_job(read_job(job))
    assert result.coverage > 1 - 1e-9
    assert result.high is not None
    assert result.high.listed
    view = present(result)
    out = folder / "exports"
    out.mkdir()
    write_exports(
        compose_answer(result), compose_surfaces(result), out, EXPORTS, progress=lambda *_: None
    )
    return Exported(result, view, unit, out, job)
