"""A trench that the shots are to show, of which none shows the walls."""

import pytest

from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.small_job import EDGE, HEADER, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

BEAM = '[[thickening]]\nname = "beam"\nsides = [4]\nwidth = 1\ndepth = 0.7\nsurveyed = {}\n'


def told(folder, eastings, surveyed="true", beam=BEAM):
    """What is told of the pad of 16 by 9 ft, dug 0.7 ft deeper within 1 ft of E 0 and 16."""
    job = f'units = "ft"\n[base]\nshots = "shots.csv"\n[slab]\nedge = {EDGE}\nthickness = 0.5\n'
    places = [(e, n) for e in eastings for n in (0.0, 3.0, 6.0, 9.0)]
    rows = [
        f"{at},{e},{n},{98.8 if e < 1 or e > 15 else 99.5}" for at, (e, n) in enumerate(places, 1)
    ]
    text = job + "[top]\nlevel = 100\n" + beam.format(surveyed)
    result = check_job(read_job(write_job(folder, job=text, shots=HEADER + "\n".join(rows) + "\n")))
    codes = ("trench-walls-unshot", "no-trench-shots")
    return [note.say(result.units) for note in result.notes if note.code in codes]


def test_what_straight_lines_make_of_walls_that_nobody_shot_is_told(tmp_path):
    (said,) = told(tmp_path, (0.5, 3.5, 8, 12, 14.5))
    # 0.7 ft deep to E 0.5, then straight to E 3.5, is 0.7 ft2 more than drawn, on 9 ft
    assert said.startswith("Shoot the foot and the upper edge of beam: ")
    assert "makes 0.23 yd³ too much if all is dug as drawn" in said
    assert 'Or set its surveyed to "departure"' in said


@pytest.mark.parametrize(
    ("eastings", "said"),
    [
        # of the sill 0.7 ft2 drawn and 1.33 made: level from E 15.7 on, and straight to E 12.5
        ((0.5, 3.5, 8, 12.5, 15.7), [("beam and sill", "0.44 yd³ too much", "set their surveyed")]),
        ((0.5, 3.5, 8, 14.99, 15.01, 15.7), [("beam", "0.23 yd³ too much", "set its surveyed")]),
        # of the sill 0.31 ft2 less: straight from E 14.9 to 15.99
        ((0.5, 3.5, 8, 12.5, 14.9, 15.99), [("beam", "0.23", "much"), ("sill", "0.10", "little")]),
    ],
)
def test_of_two_trenches_that_are_told_whose_walls_are_off(tmp_path, eastings, said):
    two = BEAM + BEAM.replace("beam", "sill").replace("[4]", "[2]")
    found = told(tmp_path, eastings, beam=two.format("true", "true"))
    for text, words in zip(found, said, strict=True):
        assert f"upper edge of {words[0]}: " in text
        assert all(word in text for word in words)


def test_where_no_shot_is_on_the_bottom_that_alone_is_told(tmp_path):
    (said,) = told(tmp_path, (1.5, 3.5, 8, 12, 14.5))
    assert said.startswith("No shot is on the bottom of beam")


def test_shots_at_foot_and_edge_leave_nothing_to_tell(tmp_path):
    assert told(tmp_path, (0, 0.99, 1, 5, 8, 12, 14.5)) == []


@pytest.mark.parametrize("surveyed", ["false", '"departure"'])
def test_walls_that_count_as_drawn_need_no_shots(tmp_path, surveyed):
    assert told(tmp_path, (0.5, 3.5, 8, 12, 14.5), surveyed) == []
