"""Remarks on a slab as drawn: what its parts share, and what of them lies outside of it."""

import pytest

from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES, SQUARE_FOOT
from tests.small_job import EDGE, JOB, SHOTS
from tests.unit.remarks.conftest import BEAM, PIPE, codes_of, note_of

pytestmark = pytest.mark.usefixtures("unsimulated")

FOOT = METRES["ft"]


def with_openings(*corners, names=""):
    """The job with rectangular openings: west, south, east and north of each."""
    rings = [[[w, s], [e, s], [e, n], [w, n]] for w, s, e, n in corners]
    return JOB.replace(EDGE, f"{EDGE}\nopenings = {rings}\n{names}")


def notes_of(result, code):
    return [note for note in result.notes if note.code == code]


def test_openings_that_share_plan_are_cut_out_once_and_said(check):
    names = 'opening_names = ["pit", "drain", "column"]\n'
    result = check(with_openings((2, 2, 6, 6), (5, 3, 9, 5), (12, 2, 13, 3), names=names))
    (note,) = notes_of(result, "openings-overlap")
    assert note.measures[0].value == pytest.approx(2 * SQUARE_FOOT)
    assert note.say(result.units).startswith("Drain shares 2 ft² with pit: it is cut out once.")
    assert result.slab.area == pytest.approx((16 * 9 - 16 - 8 + 2 - 1) * SQUARE_FOOT)


def test_openings_beside_one_another_are_not_said(check):
    result = check(with_openings((2, 2, 6, 6), (6, 2, 9, 6)))
    assert not notes_of(result, "openings-overlap")
    assert not notes_of(result, "opening-outside-slab")


def test_an_opening_within_another_is_said_and_not_refused(check):
    result = check(with_openings((2, 2, 6, 6), (3, 3, 4, 4)))
    (note,) = notes_of(result, "openings-overlap")
    assert "Opening 2 shares 1 ft² with opening 1" in note.say(result.units)
    assert result.slab.area == pytest.approx((16 * 9 - 16) * SQUARE_FOOT)


def test_an_opening_that_reaches_beyond_the_slab_is_said(check):
    result = check(with_openings((14, 2, 18, 6)))
    (note,) = notes_of(result, "opening-outside-slab")
    said = note.say(result.units)
    assert said.startswith("8 ft² of opening 1 lies beyond the slab's edge, where nothing is cut")
    assert "8 ft² of it lies within" in said
    assert result.slab.area == pytest.approx((16 * 9 - 8) * SQUARE_FOOT)


def test_thickenings_that_share_plan_are_counted_once_and_said(check):
    pad = (
        '[[thickening]]\nname = "pad"\ndepth = 1\noutline = [[2, 0.2], [3, 0.2], [3, 3], [2, 3]]\n'
    )
    apart, both = check(JOB + BEAM + pad.replace("0.2", "1.5")), check(JOB + BEAM + pad)
    assert "thickenings-overlap" not in codes_of(apart)
    assert "thickenings-overlap" not in codes_of(check(JOB + BEAM + pad.replace("0.2", "0.99")))
    note = note_of(both, "thickenings-overlap")
    assert note.measures[0].value == pytest.approx(0.8 * SQUARE_FOOT * 0.1524)
    more = both.concrete.volume - apart.concrete.volume
    assert more == pytest.approx((1.3 * 0.3048 - 0.8 * 0.1524) * SQUARE_FOOT)
    shown = check(JOB + BEAM + pad.replace("depth = 1", "depth = 1\nsurveyed = true"))
    assert "beam shares {} of concrete with pad" in note_of(shown, "thickenings-overlap").text


def test_a_void_beside_the_slab_is_said(check):
    line = "[[0, 4], [20, 4]]"
    result = check(JOB + PIPE.format(line=line))
    note = note_of(result, "void-outside-slab")
    assert note.measures[0].value == pytest.approx(4 * FOOT)  # not short of it by a form's width
    assert "pipe" in note.say(result.units)


def test_a_void_within_the_slab_needs_no_remark(check):
    assert "void-outside-slab" not in codes_of(check(JOB + PIPE.format(line="[[0, 4], [16, 4]]")))


def test_voids_that_take_more_than_there_is_are_refused(check):
    with pytest.raises(
        InputError, match=r"take 5\.00 yd³ of concrete, and the slab has 2\.\d+ yd³"
    ):
        check(JOB + "[[void]]\nvolume = 5\n")
    assert check(JOB + "[[void]]\nvolume = 1\n").concrete.volume > 0


def test_void_forms_in_a_base_that_was_dug_deep_have_room(check):
    deep = SHOTS.replace(",99.", ",98.")  # 1.5 ft under the top of a slab drawn 6 in thick
    assert check(JOB + "[[void]]\nvolume = 5\n", deep).concrete.volume > 0


def test_voids_in_a_base_that_stands_too_high_ask_for_its_levels(check):
    high = SHOTS.replace(",99.5", ",99.9")
    with pytest.raises(InputError, match="whether the base stands too high"):
        check(JOB + "[[void]]\nvolume = 1\n", high)


@pytest.mark.parametrize(("elevation", "below"), [(99.2, "0.80"), (9.96, "90.04")])
def test_a_void_wholly_below_the_slab_is_told(check, elevation, below):
    result = check(JOB + PIPE.format(line=[[0, 4, elevation], [16, 4, elevation]]))
    note = note_of(result, "void-outside-slab")
    assert f"The line of pipe is {below} ft below the top of slab" in note.say(result.units)


def test_a_void_that_reaches_into_the_slab_or_its_beam_is_not_told(check):
    in_slab = PIPE.format(line=[[0, 4, 99.45], [16, 4, 99.45]])  # its base is at 99.5
    assert "void-outside-slab" not in codes_of(check(JOB + in_slab))
    in_beam = PIPE.format(line=[[0, 4, 99.2], [16, 4, 99.2]])
    assert "void-outside-slab" not in codes_of(check(JOB + BEAM + in_beam))
