"""Tops between two lines, of which coded shots draw one or both."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import InputError
from tests.quarter_ring import INNER, JOB, OUTER, QUARTER, measure, write_quarter
from tests.small_job import write_job


def forms(*, is_turned=False, renamed=None):
    """Return the base, and forms along both arcs, shot every 5 degrees, one up and one down."""
    angles = np.radians(np.arange(0, 91, 5))
    rows = [f"{e},{n},4.8,BASE" for e in range(-1, 15, 3) for n in range(-1, 15, 3)]
    for radius, code in ((INNER, "IN"), (OUTER, "OUT")):
        way = angles[::-1] if is_turned and code == "OUT" else angles
        name = (renamed or {}).get(code, code)
        rows += [
            f"{radius * math.cos(a):.4f},{radius * math.sin(a):.4f},{4.9 + radius / 50:.4f},{name}"
            for a in way
        ]
    return "easting,northing,elevation,code\n" + "\n".join(rows) + "\n"


def weigh_between(folder, lines, *, slab="", **given):
    job = JOB.format(edge=QUARTER, slab=slab, top=f"between = [{lines}]", rest="")
    job = job.replace('"shots.csv"', '"shots.csv"\ncodes = "BASE"')
    return measure(write_job(folder, job=job, shots=forms(**given)))


@pytest.mark.parametrize("is_turned", [False, True])
def test_forms_along_curves_may_be_shot_the_same_way_or_against_each_other(tmp_path, is_turned):
    lines = '{ codes = "IN" }, { codes = "OUT" }'
    result = weigh_between(tmp_path, lines, is_turned=is_turned)
    # a cone: 4.9 + r / 50 over 4.8, on a quarter of a ring
    area = math.pi / 4 * (OUTER**2 - INNER**2)
    moment = math.pi / 2 * (OUTER**3 - INNER**3) / 3
    assert_allclose(result.concrete.volume, 0.1 * area + moment / 50, rtol=2e-3)
    assert result.tie_ins.flush == (2, 4)


@pytest.mark.parametrize(
    ("codes", "names", "flush"),
    [
        (("FORM*", "OUT"), (), (2,)),
        (("IN", "OUT"), ("a", "Outer form", "b", "former slab"), (4,)),
        (("IN", "Screed 2"), ("a", "walk", "b", "inner bulkhead"), ()),
    ],
)
def test_what_is_called_a_form_is_not_taken_for_existing_concrete(tmp_path, codes, names, flush):
    slab = f"sides = {list(names)}" if names else ""
    lines = ", ".join(f'{{ codes = "{code}" }}' for code in codes)
    renamed = dict(zip(("IN", "OUT"), (code.replace("*", "S") for code in codes), strict=True))
    result = weigh_between(tmp_path, lines, slab=slab, renamed=renamed)
    assert result.tie_ins.flush == flush
    assert set(result.tie_ins.measured) == {2, 4} - set(flush)


def test_a_coded_line_and_a_listed_one_make_the_same_top(tmp_path):
    angles = np.radians(np.arange(0, 91, 5))
    listed = [[round(OUTER * f(a), 4) for f in (math.cos, math.sin)] + [5.1] for a in angles]
    coded = weigh_between(tmp_path / "a", '{ codes = "IN" }, { codes = "OUT" }')
    mixed = weigh_between(tmp_path / "b", f'{{ codes = "IN" }}, {listed}')
    assert_allclose(mixed.concrete.volume, coded.concrete.volume, rtol=1e-9)


def test_a_line_whose_code_no_shot_has_is_refused_by_its_place(tmp_path):
    with pytest.raises(InputError, match=r"top\.between 2\.codes asks for NO, but no description"):
        weigh_between(tmp_path, '{ codes = "IN" }, { codes = "NO" }')


def test_a_line_with_two_shots_at_one_place_is_refused_by_their_names(tmp_path):
    path = write_quarter(tmp_path, top='between = [{ codes = "IN" }, { codes = "OUT" }]')
    path.write_text(path.read_text().replace('"shots.csv"', '"shots.csv"\ncodes = "BASE"'))
    shots = forms()
    (tmp_path / "shots.csv").write_text(shots + shots.splitlines()[-1] + "\n")
    last = len(shots.splitlines())
    with pytest.raises(InputError, match=rf"shots line {last} and line {last + 1} of top"):
        measure(path)
