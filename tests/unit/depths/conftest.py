"""A sheet of depths below a string."""

import pytest

from gradevol.files import read_base
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.job import read_job
from gradevol.runs.check import check_job

FOOT = METRES["ft"]


INCH = METRES["in"]


SLAB = '[slab]\nedge = [[0, 0], [20, 0], [20, 20], [0, 20]]\nthickness = "6 in"\n'


TOP = '[top]\nthrough = [0, 0, 100.5]\nfall = "2 %"\nbearing = 90\n'


SHEET = ",0,10,20\n0,6,6.5,6\n10,6,,5\n20,6,6,6\n"


INCHES = 'units = "in"\nstring = { span = 0 }\n'


@pytest.fixture
def read(tmp_path):
    """Read a job whose base is depths."""

    def read_text(depths, base=INCHES, *, slab=SLAB, top=TOP):
        (tmp_path / "depths.csv").write_text(depths)
        path = tmp_path / "job.toml"
        path.write_text(f'units = "ft"\n[base]\ndepths = "depths.csv"\n{base}{slab}{top}')
        return read_job(path)

    return read_text


@pytest.fixture
def survey(read):
    """Read the survey of such a job, before there is a top."""

    def survey_of(depths, base=INCHES):
        return read_base(read(depths, base).base.source, progress=lambda *_: None)[0]

    return survey_of


@pytest.fixture
def refuse(read):
    """Check a job that must be refused; return what is said."""

    def refuse_text(depths, base=INCHES, **rest):
        with pytest.raises(InputError) as caught:
            check_job(read(depths, base, **rest))
        return str(caught.value)

    return refuse_text
