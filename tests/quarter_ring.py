"""A job whose slab is a quarter of a ring, invented: its sides 2 and 4 are arcs."""

from dataclasses import dataclass

import numpy as np

from gradevol.files import Files, read_base
from gradevol.job import read_job
from gradevol.job.placement import place_slab, place_survey, place_top
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import Concrete, measure_concrete
from gradevol.measures.drainage import Drainage, measure_drainage
from gradevol.measures.overlaid import build_field
from gradevol.runs.check import check_job
from gradevol.site.slab import Slab
from gradevol.site.tie_ins import TieIns, find_tie_ins
from gradevol.site.top import build_top
from tests.small_job import write_job

OUTER, INNER = 10.0, 6.0
#: A quarter of a ring about the origin, m: side 2 is its outer arc, side 4 its inner one.
QUARTER = (
    f"[[{INNER}, 0], [{OUTER}, 0], {{ curve = [6, 8] }}, [0, {OUTER}], [0, {INNER}], "
    f"{{ curve = [3.6, 4.8] }}]"
)
JOB = """title = "Quarter (invented)"
units = "m"
[base]
shots = "shots.csv"
[slab]
edge = {edge}
thickness = "200 mm"
{slab}
[top]
{top}
{rest}
"""


def lattice(level):
    """Return shots on a lattice over the quarter, at a level by easting and northing, m."""
    rows = [(e, n) for e in range(-1, 15, 3) for n in range(-1, 15, 3)]
    return "easting,northing,elevation\n" + "".join(f"{e},{n},{level(e, n):.9f}\n" for e, n in rows)


def write_quarter(
    folder, *, edge=QUARTER, slab="", top="level = 5", rest="", level=None, files=None
):
    level = level or (lambda e, n: 4.8 + 0.01 * e)  # noqa: ARG005
    job = JOB.format(edge=edge, slab=slab, top=top, rest=rest)
    return write_job(folder, job=job, shots=lattice(level), files=files)


def weigh(folder, **given):
    return measure(write_quarter(folder, **given))


def check(folder, **given):
    return check_job(read_job(write_quarter(folder, **given)))


@dataclass(frozen=True)
class Measured:
    """What a job's volume is made of: a check without what is unsure about it."""

    slab: Slab
    concrete: Concrete
    drainage: Drainage
    tie_ins: TieIns


def measure(path):
    job, files = read_job(path), Files()
    survey, faces = read_base(job.base.source, files, progress=lambda *_: None)
    survey = place_survey(survey, job)
    slab = place_slab(job, files, survey.origin)
    design = place_top(job.top, files, survey.origin)
    top, tie_ins = build_top(design, slab), find_tie_ins(design, slab)
    base = build_base(MeasuredBase(survey, faces), slab, top)
    concrete = measure_concrete(build_field(base.surface, top.surface, slab), slab)
    drainage = measure_drainage(top.surface, slab, tie_ins, job.runoff)
    return Measured(slab, concrete, drainage, tie_ins)


def slab_in(folder, **given):
    """Read the slab alone of a job, about the origin of its coordinates."""
    job = read_job(write_quarter(folder, **given))
    return place_slab(job, Files(), np.zeros(3))
