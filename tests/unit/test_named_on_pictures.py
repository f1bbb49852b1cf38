"""What carries a name on pictures: rows of rod sheets, openings, suspect shots, next shots."""

from contextlib import nullcontext
from dataclasses import replace

import numpy as np
import pytest

from gradevol.answer.compose import compose_answer
from gradevol.answer.drawing import draw_up
from gradevol.answer.drawing.lattice import draw_lattice
from gradevol.out.paper.sheet import draw_sheet
from gradevol.out.pictures import base3d, view_page
from gradevol.out.pictures.colours import ALERT, INK
from gradevol.out.pictures.placing import lead
from gradevol.out.pictures.plan import draw_plan
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.styles import PLACES
from gradevol.uncertainty.next_shots import NextShot, NextShots
from tests.conftest import lattice as lattice_of
from tests.lettering import draw_base3d, words_on

EDGE = np.array([[0, 0], [12, 0], [12, 8], [0, 8]], float)


def lattice(names, make_result, **slab):
    east, north = np.meshgrid([1.0, 4, 8, 11], [0.5, 3.5, 7.5])
    level = 0.003 * np.cos(east) + 0.002 * north
    shots = np.column_stack([east.ravel(), north.ravel(), level.ravel()])
    result = make_result(shots, EDGE, 0.15, **slab)
    return replace(result, survey=replace(result.survey, ids=tuple(names)))


def texts_of(sheet):
    return [word.text for word in words_on(sheet)]


@pytest.fixture
def drawn(monkeypatch):
    """Sheets that would have been written."""
    kept = []
    monkeypatch.setattr(Sheet, "save", lambda sheet, *_args, **_rest: kept.append(sheet))
    monkeypatch.setattr(base3d, "rendering", lambda _scene: nullcontext(lambda: (None, None)))
    return kept


def draw_all(result, drawn, folder):
    """Words on the plan, the view and the sheet."""
    drawing = draw_up(result)
    draw_plan(drawing, folder / "plan.png")
    draw_base3d(drawing, folder / "view.png")
    return [texts_of(sheet) for sheet in (*drawn, draw_sheet(compose_answer(result)))]


def test_rows_and_columns_of_a_rod_sheet_are_labelled_in_the_margin(make_result):
    names = [f"{row}/{column}" for row in ("0.5", "R5", "77") for column in (1, 4, 8, 11)]
    result = lattice(names, make_result)
    lines = draw_up(result).lattice.lines
    assert [line.label for line in lines] == ["0.5", "R5", "77", "1", "4", "8", "11"]
    said = texts_of(draw_sheet(compose_answer(result)))
    for label in ("R5", "77"):
        assert said.count(label) == 2  # at both ends
    assert not set(names) & set(said)  # the margin names them
    assert "row or column of the rod sheet" in " ".join(said)


@pytest.mark.parametrize(
    "names", [[str(n) for n in range(12)], [f"P{n}" for n in range(12)], ["A1", "B7"] * 6]
)
def test_shots_that_are_no_lattice_have_no_margin(make_result, names):
    assert draw_lattice(draw_up(lattice(names, make_result)).shots).lines == ()


def test_openings_have_their_names_and_numbers_without_any(make_result, drawn, tmp_path):
    rings = (np.array([[2, 5], [3, 5], [3, 6], [2, 6.0]]), np.array([[9, 2], [10, 2], [9.5, 3.0]]))
    result = lattice(
        [str(n) for n in range(12)], make_result, openings=rings, opening_names=("winch pit",)
    )
    plan, _, sheet = draw_all(result, drawn, tmp_path)
    for said in (plan, sheet):
        assert {"winch pit", "opening 2"} <= set(said)


def test_suspect_and_next_shots_are_named_on_every_picture(apron, drawn, tmp_path):
    # so many next shots about one place that their names must go far
    around = [NextShot((4.0 + 0.12 * n, 9.0), 0.1) for n in range(9)]
    planned = NextShots(1.0, None, volume=tuple(around), thin=())
    result = replace(apron, next_shots=planned)
    assert result.suspects
    for said in draw_all(result, drawn, tmp_path):
        for number in range(1, 10):
            assert f"NEXT{number}" in said
        for suspect in result.suspects:
            name = result.survey.name(suspect.index)
            assert f"{name} ?" in said or (name in said and any(w.endswith("?") for w in said))


def test_names_that_find_no_room_are_counted(apron, monkeypatch, drawn, tmp_path):
    from gradevol.out.pictures import shots  # noqa: PLC0415

    monkeypatch.setattr(shots, "name_place", lambda *_args, **_rest: False)
    planned = NextShots(1.0, None, volume=(NextShot((4.0, 9.0), 0.1),), thin=())
    result = replace(apron, next_shots=planned)
    draw_plan(draw_up(result), tmp_path / "plan.png")
    said = " ".join(texts_of(drawn[0]))
    assert "1 number left out" in said
    sheet = draw_sheet(compose_answer(result))
    assert "1 next shot found no room for the name." in " ".join(texts_of(sheet))


def test_names_without_room_in_the_view_are_counted_in_its_key(apron, monkeypatch, drawn, tmp_path):
    shots = (NextShot((4.0, 9.0), 0.1), NextShot((8.0, 3.0), 0.1))
    planned = NextShots(1.0, None, volume=shots, thin=())
    drawing = draw_up(replace(apron, next_shots=planned))
    draw_base3d(drawing, tmp_path / "view.png")
    said = " ".join(texts_of(drawn[-1]))
    assert "suspect shot: reshoot first" in said
    assert "left out" not in said
    monkeypatch.setattr(view_page, "name_on_sheet", lambda *_args, **_rest: False)
    draw_base3d(drawing, tmp_path / "view.png")
    said = " ".join(texts_of(drawn[-1]))
    count = len(apron.suspects)
    assert f"reshoot first; {count} number{'s' * (count > 1)} left out: see report.html" in said
    assert "tells most; 2 names left out: see report.html" in said


def test_a_line_that_leads_to_words_covers_no_next_shot():
    sheet = Sheet.blank(2, 2)
    lead(sheet, np.array([[0.0, 1.0], [2.0, 1.0]]))
    PLACES["next"].draw(sheet, np.array([[1.0, 1.0]]))
    [mark] = sheet.axes.lines
    assert mark.get_zorder() > max(line.get_zorder() for line in sheet.axes.collections)


def test_how_thin_and_how_low_places_are_is_said_where_shots_stand_close(
    make_result, drawn, tmp_path
):
    """Beside the shots there is no room for it: a line leads there."""
    turn = np.array([[0.94, 0.342], [-0.342, 0.94]])
    plan = lattice_of(16, 10, 0.75) + 0.4
    level = np.zeros(len(plan))
    level[[45, 112]] = 0.03, -0.03
    shots = np.column_stack([plan @ turn, level])
    result = make_result(shots, EDGE @ turn, 0.15, base_high=0.01, base_low=0.01)
    draw_plan(draw_up(replace(result, suspects=())), tmp_path / "plan.png")
    colours = {text.get_text(): text.get_color() for text in drawn[0].axes.texts}
    assert (colours["120 mm"], colours["low 30 mm"]) == (ALERT, INK)
