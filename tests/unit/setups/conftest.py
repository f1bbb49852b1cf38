"""Shots by rod from two setups."""

import pytest

from gradevol.files import read_base
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.job import read_job

FOOT = METRES["ft"]


SLAB = '[slab]\nedge = [[0, 0], [20, 0], [20, 20], [0, 20]]\nthickness = "6 in"\n'


TOP = "[top]\nlevel = 100.5\n"


ONE = "[base.setups]\nA = { benchmark = 101.25, backsight = 4.37 }\n"


TWO = ONE + "B = { height = 105.18, closing = 3.94, closing_benchmark = 101.25 }\n"


SHOTS = "point,setup,e,n,rod\n1,A,0,0,5.62\n2,A,20,0,5.60\n3,B,20,20,5.18\n4,b,0,20,5.10\n"


@pytest.fixture
def read(tmp_path):
    """Read a job whose base is shots by rod."""

    def read_text(shots, setups=TWO, *, base="", top=TOP, form=None):
        (tmp_path / "shots.csv").write_text(shots)
        if form is not None:
            (tmp_path / "form.csv").write_text(form)
        path = tmp_path / "job.toml"
        path.write_text(f'units = "ft"\n[base]\nshots = "shots.csv"\n{base}{setups}{SLAB}{top}')
        return read_job(path)

    return read_text


@pytest.fixture
def survey(read):
    """Read the survey of such a job."""

    def survey_of(shots, setups=TWO, **rest):
        return read_base(read(shots, setups, **rest).base.source, progress=lambda *_: None)[0]

    return survey_of


@pytest.fixture
def refuse(survey):
    """Read shots that must be refused; return what is said."""

    def refuse_text(shots, setups=TWO, **rest):
        with pytest.raises(InputError) as caught:
            survey(shots, setups, **rest)
        return str(caught.value)

    return refuse_text
