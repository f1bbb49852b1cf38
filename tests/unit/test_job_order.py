"""[order] and [[pour]] as they are written."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import InputError
from gradevol.ground.units import CUBIC_YARD
from gradevol.job import read_job
from gradevol.job.pours import PartDesign
from gradevol.job.terms import Pump, SmallPour

JOB = """
units = "{unit}"
[base]
shots = "shots.csv"
[slab]
edge = [[0, 0], [9, 0], [9, 9], [0, 9]]
thickness = "6 in"
[top]
level = 100
{text}
"""


@pytest.fixture
def read(tmp_path):
    def read_text(text, unit="ft"):
        (tmp_path / "job.toml").write_text(JOB.format(unit=unit, text=text))
        (tmp_path / "shots.csv").touch()
        return read_job(tmp_path / "job.toml")

    return read_text


def test_every_key_of_an_order_is_read(read):
    terms = read(
        "[order]\nwaste = 0.02\nsettlement = 0.01\nyield_short = 0.005\nsigma = 0.01\nrisk = 0.1\n"
        'truck = 10\nstep = "0.5 m3"\nleast_load = "81 ft3"\nnotice = "90 min"\nspacing = 0.25\n'
        'start = "6:45"\npump = { line = "100 ft", diameter = "5 in", hopper = 0.3 }\n'
        "costs = { concrete = 168, returned = 60, short = 1280, short_rate = 95 }\n"
    ).order
    assert (terms.waste, terms.settlement, terms.yield_short, terms.sigma, terms.risk) == (
        *(0.02, 0.01, 0.005, 0.01, 0.1),
    )
    assert_allclose(
        [terms.truck, terms.step, terms.least_load], [10 * CUBIC_YARD, 0.5, 3 * CUBIC_YARD]
    )
    assert (terms.notice, terms.spacing, terms.start) == (1.5, 0.25, 6.75)
    pump = terms.pump
    assert isinstance(pump, Pump)
    assert_allclose([pump.line, pump.hopper], [30.48, 0.3 * CUBIC_YARD])
    assert pump.diameter == 0.127
    assert_allclose(terms.costs.left_over * CUBIC_YARD, 228)
    assert_allclose(terms.costs.short_rate * CUBIC_YARD, 95)
    assert terms.costs.short == 1280


def test_a_time_of_toml_is_a_start_too(read):
    assert read("[order]\nstart = 13:30:00\n").order.start == 13.5


def test_many_hours_take_their_unit(read):
    assert read('[order]\nnotice = "45 h"\n').order.notice == 45
    assert read('[order]\nnotice = "45 mins"\n').order.notice == 0.75
    assert read("[order]\nnotice = 12\n").order.notice == 12


def test_work_prices_alone_ask_for_no_order_but_those_of_a_shortage_do(read):
    assert not read("[order.costs]\nconcrete = 168\nmachine = 90\nreturned = 5\n").order.is_order
    assert read("[order.costs]\nconcrete = 168\nshort = 500\n").order.is_order
    assert read("[order]\nwaste = 0\n").order.is_order


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("risk = 0", "order.risk is the number 0, but it must be a share from 0.001 to 0.5"),
        ("waste = 3", "order.waste is the number 3, but it must be a share from 0 to 0.5"),
        ('step = "0.001 yd3"', "order.step is the text '0.001 yd3'"),
        ("truck = -8", "order.truck is the number -8"),
        ("truck = 4\nleast_load = 5", "order.least_load is 5, but order.truck is 4"),
        ("truck = 0.5\nstep = 1", "order.step is 1, but order.truck is 0.5"),
        ('notice = "soon"', "order.notice is the text 'soon'"),
        ('spacing = "20 s"', "order.spacing is the text '20 s'"),
        ("notice = 45", "it must be a number of hours, 12 at most without a unit"),
        ('start = "25:00"', "order.start is the text '25:00'"),
        ("start = 7", "order.start is the number 7"),
        ('pump = { line = "100 ft" }', "order.pump.line is given without order.pump.diameter"),
        ("pump = { line = 100, diameter = 5 }", "it must be 1 ft (0.3 m) or less, as pump lines"),
        ("pump = { hopper = 30 }", "it must be 2.6 yd³ (2 m³) or less, as hoppers are"),
        ("pump = { hoper = 1 }", "there is no key 'hoper' in order.pump"),
        ("allowance = 1", "there is no key 'allowance' in order"),
    ],
)
def test_what_cannot_be_used_is_refused_in_words(read, text, told):
    with pytest.raises(InputError, match=r"job\.toml") as caught:
        read(f"[order]\n{text}\n")
    assert told in str(caught.value)


def test_small_pours_and_parts_are_read_in_their_order(read):
    pours = read(
        '[[pour]]\nname = "pad"\narea = "80 ft2"\nthickness = "5 in"\n'
        "[[pour]]\nvolume = 0.26\ncount = 3\npartial = true\n"
        '[[pour]]\nname = "north"\nedge = [[0, 4], [9, 4], [9, 9], [0, 9]]\n'
    ).pours
    pad, second, north = pours
    assert isinstance(pad, SmallPour)
    assert (pad.name, pad.count, pad.is_partial) == ("pad", 1, False)
    assert_allclose(pad.volume, 80 * 5 / 12 / 27 * CUBIC_YARD)
    assert isinstance(second, SmallPour)
    assert (second.name, second.count, second.is_partial) == ("pour 2", 3, True)
    assert_allclose(second.volume, 0.26 * CUBIC_YARD)
    assert isinstance(north, PartDesign)
    assert isinstance(north.edge, np.ndarray)
    assert_allclose(north.edge / 0.3048, np.array([[0, 4], [9, 4], [9, 9], [0, 9]]))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('name = "pad"', "what 'pad' takes is not given"),
        ("volume = 1\narea = 2", "given by pour 1.volume and by pour 1.area"),
        ("area = 2", "pour 1.thickness is missing"),
        ("volume = 1\nthickness = 2", "pour 1.thickness means nothing beside pour 1.volume"),
        ("edge = [[0, 0], [1, 0], [1, 1]]\ncount = 2", "pour 1.count means nothing beside"),
        ("volume = 0", "pour 1.volume is the number 0, but it must be more than 0"),
        ("volume = 1\ncount = 1.5", "pour 1.count is the number 1.5"),
        ("volume = 1\ncount = 101", "pour 1.count is the number 101"),
        ('volume = 1\npartial = "yes"', "pour 1.partial is the text 'yes'"),
        ('edge = "north.csv"', "pour 1.edge is 'north.csv', but"),
    ],
)
def test_a_pour_that_cannot_be_is_refused_in_words(read, text, told):
    with pytest.raises(InputError) as caught:
        read(f"[[pour]]\n{text}\n")
    assert told in str(caught.value)


def test_a_pumps_line_is_a_cylinder():
    assert Pump(line=2.0, diameter=0.1).held_in_line == pytest.approx(math.pi * 0.05**2 * 2)


def test_a_share_is_a_fraction_or_percent(read):
    keys = ("waste", "settlement", "yield_short", "sigma", "risk")
    percent, fraction = (
        read("[order]\n" + "".join(f"{key} = {value}\n" for key in keys)).order
        for value in ('"5 %"', "0.05")
    )
    assert percent == fraction
    assert percent.risk == 0.05
