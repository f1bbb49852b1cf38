"""An invented apron of 45 by 80 ft with sixty shots, checked from its job file."""

from pathlib import Path

from gradevol.answer.result import Result
from gradevol.job import read_job
from gradevol.runs.check import check_job

#: Easting of the columns and, a row of shots each, northing and elevations; ft. Invented.
_COLUMNS = (1.5, 10, 18.5, 26.5, 35, 43.5)
_ROWS = (
    (0.5, (98.74, 98.81, 98.87, 98.94, 99.02, 99.14)),
    (5, (99.11, 99.16, 99.22, 99.30, 99.38, 99.48)),
    (15, (99.12, 99.24, 99.26, 99.34, 99.46, 99.52)),
    (25, (99.15, 99.26, 99.39, 99.41, 99.50, 99.58)),
    (35, (99.19, 99.30, 99.43, 99.53, 99.55, 99.63)),
    (45, (99.26, 99.35, 99.44, 99.57, 99.68, 99.69)),
    (55, (99.29, 99.38, 99.45, 99.56, 99.78, 99.74)),
    (65, (99.25, 99.39, 99.51, 99.61, 99.73, 99.81)),
    (75, (99.26, 99.42, 99.55, 99.66, 99.75, 99.86)),
    (79.5, (98.99, 99.16, 99.25, 99.36, 99.46, 99.56)),
)

_JOB = """
title = "Apron, bay 3 (invented)"
units = "ft"

[base]
shots = "shots.csv"

[slab]
edge = [[0, 0], [45, 0], [45, 80], [0, 80]]
thickness = "6 in"
least_thickness = "5 1/4 in"
base_high = 0.02
base_low = 0.06

[top]
between = [
  [[0, 0, 99.55], [9, 0, 99.65], [18, 0, 99.73], [27, 0, 99.81], [36, 0, 99.91], [45, 0, 100.00]],
  [[0, 80, 99.95], [9, 80, 100.09], [18, 80, 100.12], [27, 80, 100.22], [36, 80, 100.32],
   [45, 80, 100.40]],
]

[[thickening]]
sides = [1, 3]
width = 1
depth = "4 in"
side_slope = 6
surveyed = "departure"

[[void]]
name = "conduit"
length = 45.2
diameter = "2 3/8 in"
line = [[0, 30], [45, 34]]
least_cover = "3 in"
"""


def check(folder: Path, job: str, shots: list[tuple[str, float, float, float]]) -> Result:
    """Write a job and its shots (id, easting, northing, elevation) to a folder, and check it."""
    lines = [f"{name},{east:.4f},{north:.4f},{up:.4f}" for name, east, north, up in shots]
    (folder / "shots.csv").write_text("\n".join(["P,E,N,Z", *lines]) + "\n")
    (folder / "job.toml").write_text(job)
    return check_job(read_job(folder / "job.toml"))


def apron(folder: Path, *, bust: float = 0.0) -> Result:
    """Check the apron; `bust` ft are added to shot 21, as a slip in the book would."""
    shots = [
        (east, north, up) for north, row in _ROWS for east, up in zip(_COLUMNS, row, strict=True)
    ]
    numbered = [
        (str(number), east, north, up + (bust if number == 21 else 0.0))
        for number, (east, north, up) in enumerate(shots, start=1)
    ]
    return check(folder, _JOB, numbered)
