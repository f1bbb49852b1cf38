"""The ruler of a pour: what is needed up to a front, and the weight of what is off it."""

import numpy as np
import pytest

from gradevol.after.forecast import forecast
from gradevol.after.fronts import Edge
from gradevol.after.joint import Noise, Prior
from gradevol.after.model import Sureness, build_model
from gradevol.after.ruler import measure_ruler
from gradevol.after.steps import Step
from gradevol.answer.said.ruler import tell_ruler
from gradevol.files.tickets.loads import Load
from gradevol.ground.units import Units
from gradevol.out.paper.ruler import draw_ruler
from gradevol.site.slab import Slab

NOISE = Noise()


@pytest.fixture(scope="module")
def laid(measure, dish):
    _, field = measure(dish.shots, dish.edge, dish.top)
    slab = Slab(dish.edge, (), 0.15, 0.131)
    model = build_model(field, slab, Sureness(0.4, 0.2))
    prior = Prior(1.03, 0.01, model.volume, 0.1, 0.4, 0.2)
    return measure_ruler(model, Edge(slab, 1), prior, NOISE, step=1.0), prior


def test_its_last_mark_is_the_whole(laid):
    ruler, prior = laid
    last = ruler.marks[-1]
    assert ruler.is_whole
    assert (last.behind, last.share, last.grip) == (prior.volume, 1.0, 0.0)
    assert last.needed == pytest.approx(ruler.whole)
    assert last.sigma == pytest.approx(ruler.whole_sigma)


def test_it_rises_and_each_front_leaves_the_whole_surer(laid):
    marks = laid[0].marks
    assert [mark.tapes[0] for mark in marks] == list(range(1, 13))
    for name in ("behind", "share", "needed", "sigma"):
        assert np.all(np.diff([getattr(mark, name) for mark in marks]) > 0)
    assert np.all(np.diff([mark.whole_sigma for mark in marks]) < 0)
    assert laid[0].sides == (4, 2)


@pytest.mark.parametrize("at", [0, 4, 8, 11])
def test_a_pencil_finds_what_the_forecast_does_of_one_front(laid, at):
    ruler, prior = laid
    mark = ruler.marks[at]
    step = Step(Load(2, "1", "", 1.0), mark.needed + 0.1, mark.behind, mark.share, mark.grip)
    found = forecast([step], prior, NOISE)
    assert ruler.whole + mark.weight * 0.1 == pytest.approx(found.total)
    assert mark.whole_sigma == pytest.approx(found.total_sd)


def test_many_marks_are_thinned_to_find_room(measure, dish):
    _, field = measure(dish.shots, dish.edge, dish.top)
    slab = Slab(dish.edge, (), 0.15, 0.131)
    model = build_model(field, slab, Sureness(0.4, 0.2))
    prior = Prior(1.03, 0.01, model.volume, 0.0, 0.4, 0.2)
    assert len(measure_ruler(model, Edge(slab, 1), prior, NOISE, step=0.1).marks) <= 41


@pytest.mark.parametrize("unit", ["m", "ft"])
def test_it_is_a_page_with_a_row_a_mark_and_a_card(laid, unit):
    units = Units.of_job(unit)
    topic = tell_ruler(laid[0], units, level=0.9, names=("west form", "east form"))
    sheet = draw_ruler(topic, units, title="Pad (invented)")
    said = [text.get_text() for text in sheet.axes.texts]
    assert "sum - needed" in said
    for mark in laid[0].marks:
        assert f"{units.to_volume(mark.needed):.1f}" in said
