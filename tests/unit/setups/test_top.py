"""Rods of the top, and slips on a rod."""

from typing import Any

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.doubts.slips import name_slip
from gradevol.files import Files
from gradevol.job.placement import place_top
from gradevol.runs.check import check_job
from gradevol.site.top import Measured
from tests.unit.setups.conftest import FOOT, SHOTS, TWO

pytestmark = pytest.mark.usefixtures("unsimulated")

#: An even base, and one that tells a millimetre.
EVEN: dict[str, Any] = {"sigma": 0.003, "limit": 0.012}


SURE: dict[str, Any] = {"sigma": 0.0005, "limit": 0.002}


def form_of(job):
    top = place_top(job.top, Files(), np.zeros(3))
    assert isinstance(top, Measured)
    return top


FORM = "setup,e,n,rod\nA,0,0,5.12\nA,20,0,5.12\nB,20,20,4.68\nB,0,20,4.68\n"


@pytest.mark.parametrize("setups", ["", 'setups = "base"\n'])
def test_top_shots_may_be_from_the_setups_of_the_base(read, setups):
    job = read(SHOTS, top=f'[top]\nshots = "form.csv"\n{setups}', form=FORM)
    top = form_of(job)
    assert_allclose(top.points[:, 2] / FOOT, 100.5, atol=1e-12)
    assert top.setups == ("A", "A", "B", "B")
    assert [note.code for note in top.notes] == []  # the base says how they closed


def test_top_shots_may_have_setups_of_their_own(read):
    setups = "setups = { A = { height = 105.72 }, B = { height = 105.28, closing = 4.0, "
    setups += "closing_benchmark = 101.25 } }\n"
    job = read(SHOTS, top=f'[top]\nshots = "form.csv"\n{setups}', form=FORM)
    top = form_of(job)
    assert_allclose(top.points[:, 2] / FOOT, 100.6, atol=1e-12)
    assert [note.code for note in top.notes] == ["setup-misclosure"]


def test_elevations_of_the_top_stand_where_its_setups_are_not_those_of_the_base(read):
    form = "setup,e,n,rod,z\nC,0,0,5.12,100\nC,20,0,5.12,100\nC,20,20,4.68,100\n"
    job = read(SHOTS, top='[top]\nshots = "form.csv"\n', form=form)
    top = form_of(job)
    assert_allclose(top.points[:, 2] / FOOT, 100)
    assert top.setups == ("C", "C", "C")


def test_a_place_of_the_top_that_two_setups_shot_is_of_neither(read):
    form = FORM + "B,0,0,4.68\n"
    job = read(SHOTS, top='[top]\nshots = "form.csv"\n', form=form)
    assert form_of(job).setups == ("", "A", "B", "B")


@pytest.mark.parametrize(
    ("top", "setups", "said"),
    [
        ('shots = "form.csv"\nsetups = "bse"\n', TWO, 'a table or "base"'),
        ('shots = "form.csv"\nsetups = "base"\n', "", "base.setups is not given"),
        ('level = 100\nsetups = "base"\n', TWO, "top.setups means nothing beside top.level"),
    ],
)
def test_setups_of_the_top_that_make_no_sense_are_refused(refuse, top, setups, said):
    assert said in refuse(SHOTS, setups, top=f"[top]\n{top}", form=FORM)


def test_a_base_and_a_top_of_one_setup_do_not_depend_on_its_benchmark(read):
    shots = SHOTS.replace("B", "A").replace("b", "A")
    form = FORM.replace("B", "A")
    volumes = [
        check_job(
            read(
                shots,
                f"[base.setups]\nA = {{ height = {height} }}\n",
                top='[top]\nshots = "form.csv"\n',
                form=form,
            )
        ).concrete.volume
        for height in (105.62, 107.62)
    ]
    assert_allclose(volumes[0], volumes[1], rtol=1e-12)


@pytest.mark.parametrize(
    ("rod", "off", "said"),
    [
        ("5.34", -0.09, "two digits changed places (5.43 meant)"),  # rod too small: too high
        ("5.08", -(8 / 12 - 0.08), "inches booked as decimals (5 ft 8 in meant)"),
        ("5.40", -0.10, "a tenth of a foot misread, too high"),
        ("6.40", 1.0, "a foot misread, too low"),
    ],
)
def test_slips_on_a_rod_are_named_with_the_rod_upside_down(rod, off, said):
    high = -off * FOOT
    assert said in name_slip(high, rod, "ft", **EVEN, is_read_down=True)


def test_digits_of_a_rod_that_would_explain_the_contrary_are_not_named():
    assert name_slip(0.09 * FOOT, "5.43", "ft", **SURE, is_read_down=True) == ""
    assert "changed places" in name_slip(0.09 * FOOT, "5.43", "ft", **SURE)


@pytest.mark.parametrize(("closing", "is_told"), [(4.36, False), (4.35, False), (4.33, True)])
def test_a_closing_shot_that_misses_by_more_than_noise_is_told(survey, closing, is_told):
    setups = f"[base.setups]\nA = {{ benchmark = 101.25, backsight = 4.37, closing = {closing} }}\n"
    (note,) = survey("e,n,rod\n0,0,5.62\n20,0,5.60\n20,20,5.58\n", setups).notes
    assert ("more than it should miss" in note.text) == is_told
