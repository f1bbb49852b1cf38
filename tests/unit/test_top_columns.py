"""Columns of a top's shots, in files without a header row."""

import pytest

from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.small_job import EDGE, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

LATTICE = [(4.0 * column, 3.0 * row) for column in range(5) for row in range(4)]
#: A top that rises by the easting alone, so that a swap of the axes shows.
FORMS = [(east, north, 100 + east / 100) for east in (0.0, 16.0) for north in (0.0, 9.0)]
BASE = "".join(f"{at},{e},{n},{99.5 + e / 100:.2f},BASE\n" for at, (e, n) in enumerate(LATTICE))
PENZD = "".join(f"{at},{e},{n},{z:.2f},FORM\n" for at, (e, n, z) in enumerate(FORMS, start=100))
PNEZD = "".join(f"{at},{n},{e},{z:.2f},FORM\n" for at, (e, n, z) in enumerate(FORMS, start=100))
ORDER = 'columns = "PENZD"\n'


def write(folder, *, top, shots=BASE, base=ORDER, **files):
    job = (
        f'units = "ft"\n[base]\nshots = "shots.csv"\n{base}'
        f'[slab]\nedge = {EDGE}\nthickness = "6 in"\n[top]\n{top}'
    )
    named = {f"{name}.csv": text for name, text in files.items()}
    return write_job(folder, job=job, shots=shots, files=named)


def thickness(job):
    return check_job(read_job(job)).thickness


def test_a_top_out_of_the_bases_own_file_stands_in_its_columns(tmp_path):
    job = write(
        tmp_path,
        top='shots = "shots.csv"\ncodes = "FORM"\n',
        shots=BASE + PENZD,
        base=ORDER + 'codes = "BASE"\n',
    )
    found = thickness(job)
    assert found.min == pytest.approx(0.5 * 0.3048, abs=1e-9)
    assert found.max == pytest.approx(0.5 * 0.3048, abs=1e-9)


def test_a_file_of_its_own_without_a_header_is_not_taken_for_another_order(tmp_path):
    job = write(tmp_path, top='shots = "forms.csv"\n', forms=PENZD)
    with pytest.raises(InputError, match=r"top\.columns is not given, while base\.columns is"):
        check_job(read_job(job))


@pytest.mark.parametrize(
    ("text", "columns"),
    [
        (PENZD, ORDER),
        (PNEZD, 'columns = "PNEZD"\n'),
        ("point,northing,easting,elevation,code\n" + PNEZD, ""),
    ],
)
def test_it_is_read_where_something_says_what_its_columns_are(tmp_path, text, columns):
    job = write(tmp_path, top=f'shots = "forms.csv"\n{columns}', forms=text)
    assert thickness(job).max == pytest.approx(0.5 * 0.3048, abs=1e-9)


def test_beside_a_base_in_the_usual_order_it_is_taken_for_that(tmp_path):
    north_first = "".join(
        f"{at},{n},{e},{99.5 + e / 100:.2f},BASE\n" for at, (e, n) in enumerate(LATTICE)
    )
    stated = 'columns = "PNEZD"\n'
    job = write(tmp_path, top='shots = "forms.csv"\n', shots=north_first, base=stated, forms=PNEZD)
    assert thickness(job).max == pytest.approx(0.5 * 0.3048, abs=1e-9)
