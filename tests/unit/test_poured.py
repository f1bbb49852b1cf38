"""Small pours by what the tickets say of where loads went."""

import pytest

from gradevol.after.poured import FORMED, doubt_poured, find_poured
from gradevol.files.tickets.table import Load
from gradevol.ground.errors import InputError
from gradevol.job.terms import SmallPour

PAD = SmallPour("equipment pad", 0.9)
BASES = SmallPour("bollard base", 0.2, 3)
CURB = SmallPour("curb", 1.0, is_partial=True)


def went(*names):
    return Load(9, "8", "", 6.0, went_to=names)


@pytest.mark.parametrize(
    ("told", "name", "count"),
    [
        ("equipment pad", "equipment pad", 1),
        ("Pad", "equipment pad", 1),
        ("bollard", "bollard base", 1),
        ("2 bollard bases", "bollard base", 2),
        ("bollard base x3", "bollard base", 3),
        ("bollard base × 2", "bollard base", 2),
        ("7 bollards", "bollard base", 3),  # there are three
    ],
)
def test_a_name_is_known_by_its_words_and_counted(told, name, count):
    found = find_poured([went("slab", told)], [PAD, BASES])
    assert [(held, number) for held, number, _ in found.filled] == [(name, count)]


def test_each_load_that_names_it_fills_one_more():
    found = find_poured([went("bollard base"), went("slab", "bollard base")], [PAD, BASES])
    assert found.volume == pytest.approx(0.4)
    assert found.sigma == pytest.approx(FORMED * 0.4)


def test_what_went_into_parts_of_the_slab_went_into_the_slab():
    assert find_poured([went("West half"), went()], [PAD], parts=["west half"]).volume == 0


def test_of_what_may_have_stopped_part_way_half_is_taken_and_said():
    found = find_poured([went("curb")], [CURB])
    assert found.volume == pytest.approx(0.5)
    assert found.partly == ("curb",)
    assert found.sigma > 0.25


@pytest.mark.parametrize("told", ["footing", "base plate", "x"])
def test_a_name_that_no_pour_has_is_asked_about(told):
    with pytest.raises(InputError, match=f"load 8 went to '{told}'") as refused:
        find_poured([went(told)], [PAD, BASES])
    assert refused.value.line == 9


def test_a_name_that_two_pours_share_is_asked_about():
    with pytest.raises(InputError, match="'north pad', 'south pad'"):
        find_poured([went("pad")], [SmallPour("north pad", 1.0), SmallPour("south pad", 1.0)])


@pytest.mark.parametrize(
    ("loads", "said"),
    [
        ([went("slab", "7 bollards")], "fill bollard base 7 times, and the job has 3"),
        ([went("slab", "3 bollards"), went("slab", "1 bollard")], "bollard base 4 times"),
        ([went("pad")], "went to pad alone, and held {}, where that takes {}"),
        ([went("slab", "3 bollards", "pad"), went("slab", "pad")], ""),  # they shared the pad
    ],
)
def test_more_than_there_is_and_more_than_it_takes_is_told(loads, said):
    notes = list(doubt_poured(loads, [PAD, BASES]))
    assert [note.code for note in notes] == ["ticket-small-pours"] * bool(said)
    assert all(said in note.text for note in notes)
