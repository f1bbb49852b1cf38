"""Volumes that books, manuals and pages print, or that follow in closed form."""

import itertools

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.geometry.prisms import integral, volume_above
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.grading import measure_grading
from gradevol.measures.overlaid import build_field
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab
from gradevol.site.surface import build_surface, surface_of_faces
from gradevol.site.top import Level, build_top

CUBIC_FEET_A_YARD = 27


def field_over(shots, edge, level, *, thickness=1.0):
    slab = Slab(np.asarray(edge, float), (), thickness, thickness)
    base = extend_level(build_surface(np.asarray(shots, float)), slab.outline)
    return build_field(base, build_top(Level(level), slab).surface, slab), slab


def test_one_grid_cell_filled_to_a_level():
    # Worked example, feet: 50 × 50 ft, corners 87.6 87.6 87.6 88.6, to be brought to 90.0;
    # printed 199 yd³. Read at http://www.expertsmind.com/questions/
    # amount-of-borrow-needed-to-bring-area-to-elevation-of-90-ft-30170481.aspx
    edge = [[0, 0], [50, 0], [50, 50], [0, 50]]
    field, slab = field_over(np.column_stack([edge, [87.6, 87.6, 87.6, 88.6]]), edge, 90.0)
    filled = measure_concrete(field, slab).slab / CUBIC_FEET_A_YARD
    assert_allclose(filled, 199, atol=0.5)  # printed to the yard
    assert_allclose(filled, 50 * 50 * 2.15 / 27, rtol=1e-12)  # its mean depth of 2.15 ft


LEVELS = np.array([[45.2, 48.5, 55.6], [47.3, 51.2, 56.6], [50.0, 53.2, 58.5]])
CELLS = np.array(
    [
        [15.0 * column, 24 - 12.0 * row, LEVELS[row, column]]
        for row in range(3)
        for column in range(3)
    ]
)
PLOT = [[0, 0], [30, 0], [30, 24], [0, 24]]


def cut_and_fill(surface):
    """Above and below the formation at 50.00, m³."""
    slab = Slab(np.array(PLOT, float), (), 1.0, 1.0)
    field = build_field(surface, build_top(Level(50.0), slab).surface, slab)
    depth = -field.thickness
    return float(volume_above(field.area, depth).sum()), float(
        volume_above(field.area, -depth).sum()
    )


def summed_over_squares(count=400):
    """Cut and fill of the cells, split in four, by the middles of `count`² squares in each, m³."""
    at = (np.arange(count) + 0.5) / count
    u, v = np.meshgrid(at, at)
    total = np.zeros(2)
    for row, column in itertools.product(range(2), range(2)):
        a, b, c, d = (LEVELS[row + i, column + j] - 50 for i, j in ((0, 0), (0, 1), (1, 1), (1, 0)))
        middle = (a + b + c + d) / 4
        # over the side from one corner to the next: linear along it, and towards the middle
        sides = [(v, u, a, b), (1 - u, v, b, c), (1 - v, 1 - u, c, d), (u, 1 - v, d, a)]
        off = np.array([side[0] for side in sides])
        levels = [
            start + (along - away) * (end - start) + 2 * away * (middle - start)
            for away, along, start, end in sides
        ]
        level = np.choose(off.argmin(axis=0), levels)
        total += [np.maximum(level, 0).mean() * 180, np.maximum(-level, 0).mean() * 180]
    return total


CUT_AND_FILL_BY_SQUARES = summed_over_squares()


@pytest.mark.parametrize("seed", range(4))
def test_cut_less_fill_of_four_cells_is_the_grid_methods_in_whatever_order(seed):
    # Inputs read (metres; 2 × 2 cells of 15 × 12 m, formation 50.00) at https://askfilo.com/
    # user-question-answers-smart-solutions/figure-1-shows-reduced-levels-of-a-plot-which-has-been-
    # 3435303832323832 ; the net of 1138.5 m³ is computed from the 1-2-4 weights of the grid rule.
    order = np.random.default_rng(seed).permutation(9)
    cut, fill = cut_and_fill(build_surface(CELLS[order]))
    weights = np.array([1, 2, 1, 2, 4, 2, 1, 2, 1])
    assert_allclose(180 / 4 * weights @ (CELLS[:, 2] - 50), 1138.5)
    assert_allclose(cut - fill, 1138.5, rtol=1e-12)
    # neither the corner sums' 1732.5 and 594.0, which count twice where a cell is cut and filled,
    # nor one diagonal's: each cell split in four about its middle, summed over fine squares
    assert_allclose([cut, fill], CUT_AND_FILL_BY_SQUARES, atol=0.05)


@pytest.mark.parametrize(
    ("first", "cut", "fill"), [(True, 1526.54, 416.54), (False, 1593.28, 426.28)]
)
def test_either_diagonal_alone_gives_the_cut_and_fill_computed_for_it(first, cut, fill):
    # computed from the same inputs, printed to 0.01 m³: each net hangs on its diagonal, 1110.0
    # and 1167.0, which is why a cell is split at its middle here
    faces = []
    for row, column in itertools.product(range(2), range(2)):
        north_west, north_east = 3 * row + column, 3 * row + column + 1
        south_west, south_east = north_west + 3, north_east + 3
        if first:
            faces += [(north_west, south_west, south_east), (north_west, south_east, north_east)]
        else:
            faces += [(north_west, south_west, north_east), (north_east, south_west, south_east)]
    measured = cut_and_fill(surface_of_faces(CELLS, np.array(faces)))
    assert_allclose(measured, [cut, fill], atol=5e-3)


def bank(stations, heights, *, top_width, slope, rows=0):
    """Shots of a bank's surface: toes and shoulders at each station, more rows on the flanks."""
    shots = []
    for station, height in zip(stations, heights, strict=True):
        shoulder, toe = top_width / 2, top_width / 2 + slope * height
        share = np.linspace(0, 1, rows + 2)
        for side in (-1, 1):
            across = side * (toe + share * (shoulder - toe))
            shots += [
                (station, north, height * part) for north, part in zip(across, share, strict=True)
            ]
    return np.array(shots)


def test_a_bank_holds_what_the_prismoidal_formula_prints_and_not_the_end_areas():
    # Printed (metres): 150 m long, 11 m wide on top, sides 2 to 1, heights 0.5, 1.5, 2.5 m, areas
    # 6.0, 21.0, 40.0 m²: prismoidal 3250 m³, end areas 3450 m³. Read at https://curioustab.com/
    # ground-surface-slopes-1-50-along-proposed-railway-embankment-68568
    # The height grows evenly, so the solid is bounded by planes: top, flanks and ground. Its faces
    # are given as triangles; flanks are planes since toes and shoulders run straight.
    ends = bank([0.0, 150.0], [0.5, 2.5], top_width=11.0, slope=2.0)
    # rows of `ends`: at each station south toe, south shoulder, north toe, north shoulder
    quads = [(0, 4, 5, 1), (1, 5, 7, 3), (3, 7, 6, 2)]
    faces = [face for a, b, c, d in quads for face in ((a, b, c), (a, c, d))]
    surface = surface_of_faces(ends, np.array(faces))
    slab = Slab(ends[[0, 4, 6, 2], :2], (), 1.0, 1.0)
    field = build_field(surface, build_top(Level(0.0), slab).surface, slab)
    volume = measure_concrete(field, slab).overlap  # the bank stands above the ground at nought
    assert_allclose(volume, 3250, rtol=1e-9)
    assert_allclose(150 / 6 * (6 + 4 * 21 + 40), 3250)
    assert abs(volume - 150 * (6 + 40) / 2) > 199  # the end areas' 3450


@pytest.mark.parametrize(
    ("low", "high", "tall"), [(9.0, 8.2, 0.2), (4.0, 2.0, 3.0), (3.0, 0.0, 2.0)]
)
def test_a_frustum_of_a_pyramid(low, high, tall):
    # h/3 (A1 + A2 + √(A1 A2)): closed form, any textbook of solid geometry
    base, roof = ([[-s, -s], [s, -s], [s, s], [-s, s]] for s in (low / 2, high / 2))
    shots = np.vstack(
        [np.column_stack([base, np.zeros(4)]), np.column_stack([roof, np.full(4, tall)])]
    )
    quads = [(i, (i + 1) % 4, 4 + (i + 1) % 4, 4 + i) for i in range(4)] + [(4, 5, 6, 7)]
    faces = [face for a, b, c, d in quads for face in ((a, b, c), (a, c, d))]
    surface = surface_of_faces(shots, np.array(faces))
    slab = Slab(np.array(base), (), 1.0, 1.0)
    field = build_field(surface, build_top(Level(0.0), slab).surface, slab)
    expected = tall / 3 * (low**2 + high**2 + low * high)
    assert_allclose(-integral(field.area, field.thickness).sum(), expected, rtol=1e-12)
    if high > 0:  # its shots alone give the same: each flank is a cell on one circle
        field, _ = field_over(shots, base, 0.0)
        assert_allclose(-integral(field.area, field.thickness).sum(), expected, rtol=1e-12)


@pytest.mark.parametrize("seed", range(3))
def test_a_plane_over_any_outline_is_its_area_times_the_depth_at_its_centroid(seed):
    # closed form
    random = np.random.default_rng(seed)
    spokes = random.uniform(0, 30, (9, 2))
    edge = spokes[np.argsort(np.arctan2(*(spokes - spokes.mean(axis=0)).T))]
    plan = np.vstack([[[-1, -1], [31, -1], [31, 31], [-1, 31]], random.uniform(0, 30, (40, 2))])
    plane = np.array([0.02, -0.013])
    field, slab = field_over(np.column_stack([plan, 5 + plan @ plane]), edge, 7.0)
    middle = slab.outline.centroid
    expected = slab.area * (7 - 5 - plane @ [middle.x, middle.y])
    assert_allclose(measure_concrete(field, slab).slab, expected, rtol=1e-12)


def test_a_plane_graded_to_its_own_design_is_neither_cut_nor_filled():
    # closed form: shots on the design base
    plan = np.array([(i, j) for i in range(5) for j in range(4)], float) * 10
    field, slab = field_over(
        np.column_stack([plan, np.full(20, 99.5)]), [[0, 0], [40, 0], [40, 30], [0, 30]], 100.0,
        thickness=0.5,
    )  # fmt: skip
    grading = measure_grading(field, slab)
    assert_allclose([grading.cut, grading.fill, grading.net], 0, atol=1e-9)
