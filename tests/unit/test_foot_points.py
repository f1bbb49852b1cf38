"""Points to set out where the rod's foot stands above the base: they are for that rod."""

import csv
from xml.etree import ElementTree

import pytest

from gradevol import check_job, read_job
from gradevol.answer.compose import compose_answer
from tests.exported import export
from tests.small_job import HEADER, JOB, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

#: A hump of 0.1 ft in a base that is on grade as the rod reads it, under a foot 0.02 ft high.
FOOT = 0.02
ROWS = [
    (e, n, 99.62 if (e, n) == (8, 3) else 99.52) for e in range(0, 17, 4) for n in range(0, 10, 3)
]
SHOTS = HEADER + "".join(f"{row},{e},{n},{z}\n" for row, (e, n, z) in enumerate(ROWS, start=1))
CUT = "CUT 0.10 FROM 99.62"
TEXT = JOB.replace("[slab]", f'foot_high = {FOOT}\n[slab]\nbase_high = "1/4 in"')


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("foot")
    result = check_job(read_job(write_job(folder, job=TEXT, shots=SHOTS)))
    export(result, folder, ["points", "landxml"])
    return folder, result


def test_a_shot_on_grade_is_so_by_the_rod_that_shot_it(made):
    with (made[0] / "set_out.csv").open(encoding="ascii") as file:
        rows = list(csv.DictReader(file))
    assert {row["D"] for row in rows} == {"OK", f"RESHOOT {CUT}"}
    assert {row["Z"] for row in rows} == {"99.520"}


def test_the_worst_place_is_told_as_it_was_read(made):
    told = compose_answer(made[1]).points.statements
    ((_, _, _, level, what),) = [row.cells for row in told if row.mark == "FIX1"]
    assert (level, what) == ("99.520", f"RESHOOT {CUT}")


def test_shots_in_the_surfaces_file_are_as_measured_and_the_surface_is_lower(made):
    text = (made[0] / "surfaces.xml").read_text(encoding="utf-8")
    held: dict[str, list[float]] = {}
    for node in ElementTree.fromstring(text).iter():
        kind = node.tag.rpartition("}")[2]
        if kind in ("CgPoint", "P"):
            held.setdefault(kind, []).append(float((node.text or "").split()[2]))
    assert max(held["CgPoint"]) == 99.62
    assert min(held["P"]) == pytest.approx(99.50)
