from dataclasses import replace

import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import InputError
from gradevol.ground.units import CUBIC_YARD, SQUARE_FOOT
from gradevol.job import read_job
from gradevol.job.terms import BASE_WEIGHT, LOOSE, POUND, Costs, Pace

JOB = """
units = "{unit}"
[base]
shots = "shots.csv"
[slab]
edge = [[0, 0], [9, 0], [9, 9], [0, 9]]
thickness = "6 in"
[top]
level = 100
[order]
{order}
"""


@pytest.fixture
def costs(tmp_path):
    def read(text, unit="ft"):
        (tmp_path / "job.toml").write_text(JOB.format(unit=unit, order=f"costs = {{ {text} }}"))
        (tmp_path / "shots.csv").touch()
        order = read_job(tmp_path / "job.toml").order
        assert order is not None
        return order.costs

    return read


def test_costs_left_out_are_not_known_and_paces_are_stated(costs):
    assert costs("concrete = 150", "m") == Costs(concrete=150.0)
    assert costs("concrete = 168").currency == "$"
    assert costs("concrete = 168").crew is None
    assert_allclose(costs("concrete = 168").weight, BASE_WEIGHT)
    assert_allclose(costs("concrete = 168").loose, LOOSE)


def test_prices_are_of_yards_and_tons_where_lengths_are_feet(costs):
    read = costs(
        "concrete = 168, returned = 60, machine = 115, labour = 52, base_material = 24, "
        "base_weight = 1.5, area_rate = 1000, volume_rate = 5, currency = 'CAD '"
    )

    assert_allclose([read.concrete * CUBIC_YARD, read.returned * CUBIC_YARD], [168, 60])
    assert_allclose(read.material * 2000 * POUND, 24)
    assert_allclose(read.weight * CUBIC_YARD, 1.5 * 2000 * POUND)
    assert_allclose(read.pace.area, 1000 * SQUARE_FOOT)
    assert_allclose(read.pace.volume, 5 * CUBIC_YARD)
    assert (read.crew, read.currency) == (219, "CAD ")


def test_prices_are_of_cubic_metres_and_tonnes_where_lengths_are_metres(costs):
    read = costs("concrete = 140, base_material = 30, place_hours = 1, loose = 1.3", "mm")

    assert_allclose(read.material, 0.03)
    assert replace(read, material=None) == Costs(140.0, loose=1.3, pace=Pace(place=1.0))


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("machine = 100", "order.costs.concrete is missing"),
        ("concrete = 100, machin = 1", "there is no key 'machin' in order.costs"),
        ("concrete = 100, loose = 0.9", "order.costs.loose is the number 0.9"),
        ("concrete = 100, labour = -1", "order.costs.labour is the number -1"),
        ("concrete = 'much'", "order.costs.concrete is the text 'much'"),
        ("concrete = 100, area_rate = 0", "order.costs.area_rate is the number 0"),
    ],
)
def test_a_cost_that_can_not_be_used_is_named(costs, text, problem):
    with pytest.raises(InputError, match=problem):
        costs(text)
