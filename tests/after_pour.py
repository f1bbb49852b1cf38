"""The invented apron after its pour, and what truly became of its concrete."""

from gradevol.ground.units import CUBIC_YARD
from gradevol.job import read_job
from gradevol.runs.reconcile import reconcile_result
from tests.conftest import SAMPLES

APRON = SAMPLES / "apron"
JOB = APRON / "job_pour.toml"
TICKETS = APRON / "tickets.csv"
TOP_SHOTS = APRON / "top_shots.csv"
CORES = APRON / "cores.csv"
#: Of the invention itself, yd³.
TRUTH = {
    "ticketed": 78.50,
    "yield": 0.71,
    "returned": 0.19,
    "small_pours": 1.50,
    "neat": 68.80,
    "base": 4.56,
    "top": 1.07,
    "edges": 0.03,
    "spill": 0.85,
    # the base that gave way, 0.8, and what rounding leaves
    "unresolved": 0.79,
}


def reconciled(check_sample, **files):
    """Reconcile the apron from its one check, with more files or none."""
    return reconcile_result(check_sample("apron/job_pour.toml"), read_job(JOB), TICKETS, **files)


def yards(volume):
    return volume / CUBIC_YARD
