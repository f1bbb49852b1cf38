"""What errors say is in the units of the job that they are about."""

import re

import numpy as np
import pytest

from gradevol.doubts.control import compare_control
from gradevol.files.clouds.bins import bin_points
from gradevol.files.clouds.layers import too_wide
from gradevol.files.clouds.stored import store_points
from gradevol.ground.errors import GeometryError, GradevolError, InputError
from gradevol.ground.notes import Kind, Measure
from gradevol.ground.units import CUBIC_YARD, METRES, SQUARE_FOOT, Units
from gradevol.job import read_job
from gradevol.measures.overlaid import build_field
from gradevol.runs.check import check_job
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface, build_surface
from gradevol.site.top import Level, build_top
from tests.small_job import JOB, SHOTS, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

FEET = Units.of_job("ft")


def test_measures_are_in_metres_until_the_units_are_known():
    error = GeometryError("They share {}.").measuring(Measure(12.0, Kind.SOME_AREA))
    assert str(error) == "They share 12.0 m²."
    error.put_in(FEET)
    assert str(error) == "They share 129 ft²."


def test_every_gap_is_filled_in_order():
    error = GeometryError("{} of {}: {}.").measuring(
        Measure(SQUARE_FOOT, Kind.EXACT_AREA),
        Measure(CUBIC_YARD, Kind.EXACT_VOLUME),
        Measure(2 * METRES["ft"], Kind.EXACT_LENGTH),
    )
    error.put_in(FEET)
    assert str(error) == "1 ft² of 1 yd³: 2 ft."


def test_a_place_is_told_in_the_jobs_coordinates_once_they_are_known():
    error = GeometryError("A gap.", place=(3.048, 6.096))
    error.put_in(FEET, (METRES["ft"] * 1000, METRES["ft"] * 2000, 0.0))
    assert str(error) == "A gap. It is near E 1010.00, N 2020.00 ft."


def test_an_error_keeps_its_kind_and_braces_that_a_user_chose():
    error = InputError("pour {a} takes {}", remedy="See {b}").measuring(
        Measure(CUBIC_YARD, Kind.VOLUME)
    )
    error.put_in(FEET)
    assert str(error) == "pour {a} takes 1.00 yd³. See {b}."


def parts_that_overlap(unit):
    metres = METRES[unit]
    rings = [np.array([[0, 0], [a, 0], [a, 9], [0, 9]]) * METRES["ft"] / metres for a in (12, 4)]
    pours = "".join(f"[[pour]]\nedge = {ring.tolist()}\n" for ring in rings)
    job = JOB.replace(
        "[[0, 0], [16, 0], [16, 9], [0, 9]]",
        str((np.array([[0, 0], [16, 0], [16, 9], [0, 9]]) * METRES["ft"] / metres).tolist()),
    )
    job = job.replace('"ft"', f'"{unit}"').replace("level = 100", f"level = {30.48 / metres}")
    return job.replace('"shots.csv"', '"shots.csv"\nunits = "ft"') + pours


@pytest.mark.parametrize(("unit", "told"), [("ft", "36 ft²"), ("us-ft", "36 ft²"), ("m", "3.3 m²")])
def test_what_pours_share_is_told_in_the_jobs_unit(tmp_path, unit, told):
    job = read_job(write_job(tmp_path, job=parts_that_overlap(unit)))
    with pytest.raises(GeometryError, match=f"share {told} of the slab.* It is near E .* {unit}"):
        check_job(job)


def overlapping_field():
    slab = Slab(SQUARE, (), 0.2, 0.18)
    shots = np.column_stack([SQUARE, np.zeros(4)])
    base = build_surface(shots)
    twice = Surface(
        base.points, np.vstack([base.triangles] * 2), np.ones(2 * len(base.triangles), bool)
    )
    build_field(twice, build_top(Level(0.2), slab).surface, slab)


def a_cloud_too_wide_to_tell_ground():
    raise too_wide(np.array([1e9, 1e9]))


SQUARE = np.array([[0, 0], [4, 0], [4, 4], [0, 4.0]])
SCENES = {
    "base covered twice": overlapping_field,
    "least thickness": lambda: Slab(SQUARE, (), 0.1, 0.2),
    "bins": lambda: bin_points(store_points(np.array([[0, 0, 0], [1e19, 1, 0]])), 0.1),
    "ground": a_cloud_too_wide_to_tell_ground,
    "control": lambda: compare_control(np.zeros((9, 3)), np.array([[50, 50, 0.0]])),
}


def test_a_number_off_the_earth_is_told_in_the_jobs_unit(tmp_path):
    job = write_job(tmp_path, shots=SHOTS.replace("5,4.0000,0.0000", "5,4,1e12"))
    with pytest.raises(InputError, match=r"the survey holds a number of 1e\+12 ft,"):
        check_job(read_job(job))


@pytest.mark.parametrize("scene", SCENES)
def test_no_error_of_a_job_in_feet_speaks_of_metres(scene):
    with pytest.raises(GradevolError) as caught:
        SCENES[scene]()
    assert re.search(r"\d m[²³]?\b", str(caught.value))
    caught.value.put_in(FEET)
    assert not re.search(r"\d m[²³]?\b", str(caught.value))
    assert re.search(r"\d ft", str(caught.value))
