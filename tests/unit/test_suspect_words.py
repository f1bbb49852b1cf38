"""What is said first of suspect shots and doubts, and of lengths below nought in pictures."""

from dataclasses import replace

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.answer.said.notes import list_calls
from gradevol.answer.said.suspects import say_again, say_first
from gradevol.ground.notes import Note
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.small_job import lattice_shots, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")


def check(folder, shots, more=""):
    job = (
        'units = "ft"\n[base]\nshots = "shots.csv"\n[slab]\n'
        'edge = [[0, 0], [32, 0], [32, 18], [0, 18]]\nthickness = "6 in"\n'
        f'least_thickness = "5 in"\n[top]\nlevel = 100\n{more}'
    )
    return check_job(read_job(write_job(folder, job=job, shots=shots)))


@pytest.fixture(scope="module")
def shots():
    """Shots of a lattice twice as large as the pad's."""
    rows = [line.split(",") for line in lattice_shots().splitlines()[1:]]
    twice = [f"{n},{2 * float(east)},{2 * float(north)},{level}" for n, east, north, level in rows]
    return "point,easting,northing,elevation\n" + "\n".join(twice) + "\n"


def test_a_bench_mark_among_the_shots_is_to_be_left_out_and_not_shot_again(tmp_path, shots):
    result = check(tmp_path, shots + "TBM 1,12.5,7.5,101.25\n")
    assert say_again(result) == "leave out TBM 1"
    assert say_first(result).endswith("leave out TBM 1 first")
    told = compose_answer(result)
    suspects = next(topic for topic in told.topics if topic.key == "suspects")
    assert str(suspects.statements[0].short).startswith("Leave out TBM 1 first, before you cut")
    said = " ".join(str(one.full) for topic in told.topics for one in topic.statements)
    assert "eshoot TBM" not in said
    (key,) = [entry.words for entry in told.drawing.captions.key if entry.mark == "suspect"]
    assert key == "suspect shot: leave out the bench mark"
    (note,) = [note for note in result.notes if note.code == "suspect-shots"]
    assert "or leave out TBM 1 where that is a bench mark" in note.text


def test_other_suspects_are_shot_again_beside_a_bench_mark(tmp_path, shots):
    result = check(tmp_path, shots + "BM,12.5,7.5,101.25\n77,21,11,98.5\n")
    assert say_again(result) == "reshoot 77 and leave out BM"
    assert say_again(result, [result.suspects[0].index]) in {"reshoot 77", "leave out BM"}


def test_one_thing_is_not_said_twice_before_an_order(tmp_path, shots):
    result = check(tmp_path, shots)

    def calls(*codes):
        return list_calls(replace(result, notes=tuple(Note(code, "") for code in codes)))

    assert calls("two-datums") == ["check bench marks first"]
    both = ["check bench mark, top and units first"]
    assert calls("two-datums", "base-above-forms") == both
    assert calls("thickness-far-from-design", "two-datums") == both


def test_a_thickness_below_nought_has_a_whole_minus_in_pictures(tmp_path, shots):
    lines = shots.splitlines()
    at = [number for number, line in enumerate(lines) if line.split(",")[1:3] == ["8.0", "6.0"]]
    lines[at[0]] = "6,8.0,6.0,100.13"
    drawing = compose_answer(check(tmp_path, "\n".join(lines) + "\n")).drawing
    minus = "\N{MINUS SIGN}"
    assert drawing.captions.least.startswith(f"least {minus}1 ")
    assert f"Least {minus}1 " in drawing.captions.facts
    assert any(place.text.startswith(f"{minus}1 ") for place in drawing.spots.thin)
