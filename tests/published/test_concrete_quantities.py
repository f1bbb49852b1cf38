"""Quantities of concrete that manuals and trade pages print. Feet, cubic yards, inches."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.measures.concrete import measure_concrete
from gradevol.measures.overlaid import build_field
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab, Thickening
from gradevol.site.surface import build_surface
from gradevol.site.thickening import volume_as_drawn
from gradevol.site.top import Level, build_top


def rectangle(long, wide):
    return np.array([[0, 0], [long, 0], [long, wide], [0, wide]], float)


def poured(edge, thickness, *, low=0.0):
    """Concrete over a level base that lies `low` below the design, ft³."""
    slab = Slab(edge, (), thickness, thickness)
    base = extend_level(build_surface(np.column_stack([edge, np.full(4, -low)])), slab.outline)
    return measure_concrete(
        build_field(base, build_top(Level(thickness), slab).surface, slab), slab
    )


def test_a_thickened_edge_tapering_over_five_feet():
    # TM 5-809-1: 125 % of the thickness at the edge, tapering to it over 5 ft. Read at
    # https://buildingcriteria1.tpub.com/ufc_3_320_06a/ufc_3_320_06a0038.htm ; the volume is
    # computed: for 6 in, ½ · 1.5 in · 5 ft = 0.3125 ft³ a foot.
    slab = Slab(rectangle(40, 30), (), 0.5, 0.4375)
    edge = Thickening("edge", depth=0.125, width=0.0, side_slope=5 / 0.125, sides=(1,))
    assert_allclose(volume_as_drawn(edge, slab) / 40, 0.3125, rtol=1e-12)


def test_an_eighth_of_an_inch_on_a_four_inch_slab_is_a_yard_in_thirty_two():
    # NRMCA CIP 8: 1/8 in on a 4 in slab is 3 % short, 1 yd³ of an order of 32. Read at
    # http://www.concreteanswers.org/CIPs/CIP8.htm as far as "1 y..."; the 32 is from memory, the
    # arithmetic (3.125 %) computed.
    edge = rectangle(32 * 27 * 3 / 36, 36)
    concrete = poured(edge, 4 / 12, low=1 / 96)
    assert_allclose(concrete.nominal / 27, 32, rtol=1e-12)
    assert_allclose(concrete.over_nominal / 27, 1.0, rtol=1e-9)
    assert_allclose(concrete.over_nominal / concrete.nominal, 0.03, atol=0.005)  # printed to 1 %


def test_the_navy_manuals_slab():
    # NAVEDTRA 14070, Engineering Aid, ch. 5: a slab of 18.67 × 30.67 × 0.33 ft, printed as
    # 188.96 ft³. Read at http://engineeringtraining.tpub.com/14070/css/14070_103.htm
    assert_allclose(poured(rectangle(30.67, 18.67), 0.33).volume, 188.96, atol=5e-3)


@pytest.mark.parametrize(
    ("inches", "coverage"),
    [(2, 162), (3, 108), (4, 81), (5, 64.8), (6, 54), (7, 46.29), (8, 40.5)],
)
def test_a_yard_covers_what_the_tables_say(inches, coverage):
    # 324 / t: computed
    volume = poured(rectangle(coverage, 1.0), inches / 12).volume
    assert_allclose(volume, 27, rtol=0.005 / coverage * 1.01 + 1e-12)  # printed to 0.01 ft² at most
