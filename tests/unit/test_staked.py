"""Points that were written to be set out are not taken for shots."""

import pytest

from gradevol import InputError, check_job, read_job, take_inventory
from gradevol.answer.compose import compose_answer
from gradevol.out.tables.topics import write_table
from tests.exported import export
from tests.small_job import HEADER, JOB, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

ROWS = [
    (e, n, 99.62 if (e, n) == (8, 3) else 99.50) for e in range(0, 17, 4) for n in range(0, 10, 3)
]
SHOTS = HEADER + "".join(f"{row},{e},{n},{z}\n" for row, (e, n, z) in enumerate(ROWS, start=1))
TEXT = JOB.replace("[slab]", '[slab]\nbase_high = "1/4 in"')


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A folder with a job, the points that it wrote to be set out, and those of the fix list."""
    folder = tmp_path_factory.mktemp("staked")
    result = check_job(read_job(write_job(folder, job=TEXT, shots=SHOTS)))
    export(result, folder, ["points"])
    write_table(folder / "fix_points.csv", compose_answer(result).points)
    return folder


def check(folder, name, text):
    path = folder / name
    path.write_text(text)
    return check_job(read_job(path))


def test_the_file_of_places_to_set_out_is_no_survey(made):
    with pytest.raises(InputError, match="places to set out, with the elevation of the design"):
        check(made, "again.toml", TEXT.replace("shots.csv", "set_out.csv"))


def test_describe_says_what_it_is(made):
    found = take_inventory(made / "set_out.csv").findings
    assert "set-out" in [finding.code for finding in found]


def test_the_points_of_the_fix_list_are_no_rechecks(made):
    key = 'shots = "shots.csv"\nrechecks = { shots = "fix_points.csv", radius = 5 }'
    with pytest.raises(InputError, match="FIX1"):
        check(made, "rechecked.toml", TEXT.replace('shots = "shots.csv"', key))


def test_a_shot_under_the_name_of_such_a_point_is_one(made):
    rows = (made / "fix_points.csv").read_text().splitlines()
    shot = next(row for row in rows if row.startswith("FIX1")).replace("99.500", "99.530")
    (made / "later.csv").write_text(f"{rows[0]}\n{shot}\n")
    key = 'shots = "shots.csv"\nrechecks = { shots = "later.csv", radius = 2 }'
    result = check(made, "shot.toml", TEXT.replace('shots = "shots.csv"', key))
    assert result.epochs is not None
