"""Level notes worked out in print: readings, elevations, misclosures, corrections.

Every value was read at the address given, unless a comment says that it was worked out here.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.site.levelling import reduce_levels
from gradevol.site.levelling.book import LevelNotes, LevelRow
from gradevol.site.levelling.misclosure import ORDERS, Limit, adjust_by_setups

FOOT = 0.3048
na = None


def notes_of(rows, known, metres=1.0):
    """Notes from rows of (point, BS, IS, FS), in a unit of `metres`."""

    def scaled(reading):
        return None if reading is None else reading * metres

    return LevelNotes(
        tuple(LevelRow(point, *map(scaled, readings)) for point, *readings in rows),
        {point: elevation * metres for point, elevation in known.items()},
    )


def misclosure_of(leg):
    assert leg.misclosure is not None
    return leg.misclosure


def observed(reduction, metres=1.0):
    return [item.observed / metres for item in reduction.rows]


def instruments(reduction, metres=1.0):
    return [item.instrument / metres for item in reduction.rows if item.instrument is not None]


# "Collimation method", https://issuu.com/landsurveyor/docs/collimationmethodeexplained ; metres.
# Columns run together in its text; they were re-assembled, and every figure agrees.
COLLIMATION = [
    # point, BS, IS, FS; printed: reduced, correction, final
    ("BM1", 1.216, na, na, 106.366, 0.000, 106.366),
    ("a", na, 0.025, na, 107.557, 0.007, 107.564),
    ("b", na, 1.555, na, 106.027, 0.007, 106.034),
    ("b, turned on", 1.386, na, 2.508, 105.074, 0.007, 105.081),
    ("bd1", na, 3.625, na, 102.835, 0.014, 102.849),
    ("c", 1.235, na, 1.196, 105.264, 0.014, 105.278),
    ("bd2", 3.655, na, 3.566, 102.933, 0.021, 102.954),
    ("d", 2.126, na, 0.506, 106.082, 0.028, 106.110),
    ("e", na, 2.605, na, 105.603, 0.035, 105.638),
    ("f", na, 1.094, na, 107.114, 0.035, 107.149),
    ("g", 1.125, na, 3.628, 104.580, 0.035, 104.615),
    ("h", na, 1.394, na, 104.311, 0.042, 104.353),
    ("BM2", na, na, 0.484, 105.221, 0.042, 105.263),
]


def test_collimation_method_comes_out_digit_for_digit():
    notes = notes_of([row[:4] for row in COLLIMATION], {"BM1": 106.366, "BM2": 105.263})
    reduction = adjust_by_setups(reduce_levels(notes))

    leg = reduction.legs[0]
    assert len(reduction.legs) == 1
    assert len(leg.backsights) == 6
    assert_allclose(leg.sums, [10.743, 11.888], atol=1e-9)
    assert_allclose(misclosure_of(leg), -0.042, atol=1e-9)  # printed without its sign: came in low
    assert_allclose(
        instruments(reduction), [107.582, 106.460, 106.499, 106.588, 108.208, 105.705], atol=1e-9
    )
    assert_allclose(observed(reduction), [row[4] for row in COLLIMATION], atol=1e-9)
    assert_allclose(
        [item.correction for item in reduction.rows], [row[5] for row in COLLIMATION], atol=1e-9
    )
    assert_allclose(
        [item.elevation for item in reduction.rows], [row[6] for row in COLLIMATION], atol=1e-9
    )


# Universiti Sains Malaysia, course notes "Ukur aras", worked example; metres.
# https://civil.eng.usm.my/wamin/lecture1/FYPGeomatik/JS/Ukur%20Aras/JSSUAE1.htm
COURSE = [
    # point, BS, IS, FS; printed: reduced, correction in mm, final
    ("OBM1", 1.717, na, na, 29.23, 0, 29.23),
    ("A", na, 1.432, na, 29.515, -2, 29.51),
    ("B", 2.918, na, 1.716, 29.231, -2, 29.23),
    ("C", na, 2.272, na, 29.877, -4, 29.87),
    ("D", 0.816, na, 0.953, 31.196, -4, 31.19),
    ("E", 1.436, na, 3.005, 29.007, -6, 29.00),
    ("CP", 1.246, na, 1.391, 29.052, -8, 29.04),
    ("F", na, 1.353, na, 28.945, -10, 28.93),
    ("G", na, 1.462, na, 28.836, -10, 28.83),
    ("OBM2", na, na, 0.628, 29.670, -10, 29.66),
]


def course():
    notes = notes_of([row[:4] for row in COURSE], {"OBM1": 29.23, "OBM2": 29.66})
    return adjust_by_setups(reduce_levels(notes))


def test_university_course_line_closes_ten_millimetres_high():
    reduction = course()
    leg = reduction.legs[0]
    assert_allclose(leg.sums, [8.133, 7.693], atol=1e-9)
    assert_allclose(misclosure_of(leg), 0.010, atol=1e-9)
    assert_allclose(instruments(reduction), [30.947, 32.149, 32.012, 30.443, 30.298], atol=1e-9)
    assert_allclose(observed(reduction), [row[4] for row in COURSE], atol=1e-9)
    corrections = [1000 * item.correction for item in reduction.rows]
    assert_allclose(corrections, [row[5] for row in COURSE], atol=1e-9)


def test_university_course_last_column_is_rounded_to_centimetres_and_one_half_down():
    final = np.array([item.elevation for item in course().rows])
    printed = np.array([row[6] for row in COURSE])
    # F is 28.945 - 0.010 = 28.935, printed 28.93: the half was dropped there
    assert_allclose(final[7], 28.935, atol=1e-9)
    assert_allclose(final[7] - printed[7], 0.005, atol=1e-9)
    others = np.arange(len(final)) != 7
    assert_allclose(final[others], printed[others], atol=4.5e-3)  # rounded to 10 mm


def test_university_course_line_is_within_five_millimetres_by_root_of_setups():
    leg = course().legs[0]
    limit = Limit("5 mm × √setups", 0.005, "setup")  # the page: ±5√n mm
    assert limit.allowed(leg) == pytest.approx(0.0112, abs=5e-5)
    assert limit.is_exceeded(leg) is False


# Feet. Each: source; rows; known; printed elevations; printed sums; printed misclosure.
SHORT_LINES = {
    # askfilo.com, question 3430383238313239, "Field notes for a differential leveling section";
    # homework, arithmetic redone here
    "section": (
        [
            ("BM A", 3.10, na, na),
            ("TP1", 6.44, na, 9.82),
            ("TP2", 8.76, na, 6.96),
            ("TP3", 7.12, na, 3.27),
            ("BM B", na, na, 10.42),
        ],
        {"BM A": 100.00, "BM B": 94.91},
        [100.00, 93.28, 92.76, 98.25, 94.95],
        [25.42, 30.47],
        0.04,
    ),
    # Civil Engineering Survey Review, 3rd ed., table 8-1,
    # https://www.globalspec.com/reference/55907/203279/chapter-8-leveling ; sums worked out here
    "review": (
        [
            ("BM1", 7.25, na, na),
            ("TP1", 9.66, na, 1.07),
            ("TP2", 8.09, na, 0.48),
            ("BM2", na, na, 10.70),
        ],
        {"BM1": 107.34},
        [107.34, 113.52, 122.70, 120.09],
        [25.00, 12.25],
        None,
    ),
    # askfilo.com, question 3339393830303937; homework, arithmetic redone here
    "loop": (
        [
            ("BM100", 2.71, na, na),
            ("TP1", 3.62, na, 4.88),
            ("TP2", 3.51, na, 3.97),
            ("TP3", 3.17, na, 2.81),
            ("TP4", 1.47, na, 1.62),
            ("BM100", na, na, 1.21),
        ],
        {"BM100": 176.56},
        [176.56, 174.39, 174.04, 174.74, 176.29, 176.55],
        [14.48, 14.49],
        -0.01,
    ),
    # https://open-exam-prep.com/study-guides/fe-surveying/ section 7.5
    "study guide": (
        [
            ("BM", 4.20, na, na),
            ("TP1", 5.15, na, 2.50),
            ("TP2", 3.05, na, 3.50),
            ("BM2", na, na, 4.10),
        ],
        {"BM": 100.00},
        [100.00, 101.70, 103.35, 102.30],
        [12.40, 10.10],
        None,
    ),
}


@pytest.mark.parametrize("name", SHORT_LINES)
def test_short_lines_in_feet_come_out_as_printed(name):
    rows, known, printed, sums, misclosure = SHORT_LINES[name]
    reduction = reduce_levels(notes_of(rows, known, FOOT))
    assert_allclose(observed(reduction, FOOT), printed, atol=1e-9)
    (leg,) = reduction.legs
    assert_allclose(np.array(leg.sums) / FOOT, sums, atol=1e-9)
    if misclosure is None:
        assert leg.misclosure is None
    else:
        assert_allclose(misclosure_of(leg) / FOOT, misclosure, atol=1e-9)


def test_review_heights_of_instrument_come_out_as_printed():
    rows, known, *_rest = SHORT_LINES["review"]
    reduction = reduce_levels(notes_of(rows, known, FOOT))
    assert_allclose(instruments(reduction, FOOT), [114.59, 123.18, 130.79], atol=1e-9)


def test_line_with_many_intermediate_sights():
    # Readings: askfilo.com, question 3336343837373033; metres. It prints no elevations that were
    # read: those below were worked out by hand here, so they test against slips, not a source.
    rows = [
        ("BM A", 1.835, na, na),
        ("1", na, 1.707, na),
        ("TP1", 2.493, na, 1.000),
        ("2", na, 2.012, na),
        ("3", na, 1.615, na),
        ("4", na, 1.768, na),
        ("5", na, 1.920, na),
        ("TP2", 2.670, na, 0.908),
        ("6", na, 1.250, na),
        ("7", na, 1.494, na),
        ("8", na, 1.920, na),
        ("TP3", na, na, 0.948),
    ]
    by_hand = [100.128, 100.835, 101.316, 101.713, 101.560, 101.408, 102.420, 103.840, 103.596]
    reduction = reduce_levels(notes_of(rows, {"BM A": 100.000}))
    assert_allclose(observed(reduction)[1:], [*by_hand, 103.170, 104.142], atol=1e-9)


def test_navy_line_from_bm_35_to_bm_19():
    # NAVEDTRA 14069, fig. 14-14, http://www.tpub.com/engbas/14-11.htm ; feet. Its first setup, and
    # what it found at its end. The readings between were not read: one setup with the same
    # rise, to BM 19 as observed, stands for them here.
    rise = 136.457 - 134.851
    rows = [("BM 35", 6.659, na, na), ("TP 1", 5.000, na, 4.971), ("BM 19", na, na, 5.000 - rise)]
    reduction = reduce_levels(notes_of(rows, {"BM 35": 133.163, "BM 19": 136.442}, FOOT))
    assert_allclose(instruments(reduction, FOOT)[0], 139.822, atol=1e-9)
    assert_allclose(observed(reduction, FOOT)[1:], [134.851, 136.457], atol=1e-9)
    assert_allclose(misclosure_of(reduction.legs[0]) / FOOT, 0.015, atol=1e-9)


def test_ground_seen_from_a_benchmark():
    # contractortestla.com, practice question; feet. Readings read there; HI and ground worked out
    # here, like the cut to 107.85 that follows from them.
    reduction = reduce_levels(
        notes_of([("BM", 4.65, na, na), ("ground", na, 2.40, na)], {"BM": 106.35}, FOOT)
    )
    assert_allclose(instruments(reduction, FOOT), [111.00], atol=1e-9)
    assert_allclose(observed(reduction, FOOT)[1], 108.60, atol=1e-9)
    assert_allclose(observed(reduction, FOOT)[1] - 107.85, 0.75, atol=1e-9)


def test_orders_in_feet_and_miles_are_those_in_millimetres_and_kilometres():
    # Third order is 0.050 ft × √miles on the laboratory sheet, https://studylib.net/doc/8628885/file
    # ; the conversion to 12.013 mm × √km was worked out here.
    assert_allclose(Limit.of_order("third").factor * 1000, 12.013, atol=5e-4)
    assert list(ORDERS.values()) == [0.012, 0.017, 0.025, 0.033, 0.050, 0.100]
