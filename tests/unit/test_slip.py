import pytest

from gradevol.answer.said.order_basis import say_chances, say_volume
from gradevol.answer.said.slip import BASIC, LONGEST, compose_slip, fold_text, list_loads
from gradevol.answer.said.step_words import StepWords, say_percent, say_short
from gradevol.ground.units import CUBIC_YARD, Units
from gradevol.job.terms import RISK, Costs, SmallPour, Terms
from gradevol.plan.order import place_order
from gradevol.plan.order.need import Line, Need, measure_need
from tests.small_order import COSTS, FEET, concrete_of, need_of, order_of, yards


@pytest.mark.parametrize("title", ["Apron", "A very long title, " * 20, "Line\nbreak"])
@pytest.mark.parametrize(
    "name", ["pad", "pad\n\x1b[31m", "the pad behind the compressor house " * 4]
)
@pytest.mark.parametrize("count", [0, 1, 6])
def test_a_slip_has_no_more_than_300_characters_and_keeps_the_order(title, name, count):
    pours = [SmallPour(name, 0.3, 4)] * count
    terms = Terms(truck=10 * CUBIC_YARD, notice=0.5, spacing=0.3, start=7.0)
    slip = compose_slip(order_of(terms, *pours), FEET, title=title)
    assert len(slip) <= LONGEST == 300
    assert slip.isprintable()
    assert "Order 77: go 7 x 10, hold." in slip
    assert "5 % chance short." in slip  # 4.4 %, never less than it is


@pytest.mark.parametrize(
    ("title", "head"),
    [
        ("Shed", "Shed, west half: need "),
        ("", "west half: need "),
        ("the shed behind the compressor house " * 6, "west half: need "),
    ],
)
def test_a_part_is_named_with_its_job_where_there_is_room(title, head):
    """Two parts of one job can be told apart, and from those of another."""
    terms = Terms(truck=10 * CUBIC_YARD, notice=0.5, spacing=0.3, start=7.0)
    slip = compose_slip(order_of(terms), FEET, title=title, part="west half")
    assert slip.startswith(head)
    assert len(slip) <= LONGEST


def test_what_is_to_be_done_first_comes_first_and_the_chance_goes_by_what_stands():
    slip = compose_slip(order_of(Terms()), FEET, title="x", first="reshoot 41 first")
    assert slip.startswith("x: reshoot 41 first. Need ")
    assert slip.endswith(" As it stands, 5 % chance short.")


@pytest.mark.parametrize("count", [2, 4, 9])
def test_a_slip_keeps_the_order_and_its_chance_however_much_is_to_be_done_first(count):
    first = "; ".join(f"check the bench mark of setup {number} first" for number in range(count))
    terms = Terms(truck=10 * CUBIC_YARD)
    slip = compose_slip(order_of(terms, SmallPour("pad", 0.3, 1)), FEET, title="x", first=first)
    assert "heck the bench mark of setup 0 first; " in slip
    assert "Order 77: go 7 x 10, hold. Call load 8 once load 6 is on site. Expect 3 to" in slip
    assert slip.endswith(" As it stands, 5 % chance short.")
    assert ("more in the check first. Need" in slip) == (count > 2)
    assert len(slip) <= LONGEST


@pytest.mark.parametrize(
    ("mean", "sd", "wanted"),
    [
        (
            74.84,
            1.27,
            "go 7 x 10, hold. Call load 8 once load 6 is on site. Expect 2.75 to 7 for it.",
        ),
        (164.0, 4.0, "go 15 x 10, hold. Call loads 16 to 18 once load 14 is on site."),
        (1145.0, 24.0, "Call loads 110 to 119 once load 108 is on site. Expect"),
    ],
)
def test_loads_that_are_held_are_called_by_their_numbers(mean, sd, wanted):
    order = order_of(Terms(truck=10 * CUBIC_YARD, risk=0.05), need=need_of(mean, sd), level=0.9)
    slip = compose_slip(order, FEET, title="x")
    assert wanted in slip
    assert slip.count(" for them.") == ("loads" in wanted)


def test_an_order_has_no_more_digits_than_the_step():
    for step, wanted in ((1.0, "Order 77"), (0.5, "Order 77"), (0.25, "Order 77")):
        slip = compose_slip(order_of(Terms(risk=0.05, step=step * CUBIC_YARD)), FEET, title="x")
        assert f"{wanted}." in slip
    coarse = compose_slip(order_of(Terms(step=CUBIC_YARD)), FEET, title="x")
    assert "need 75 yd3 (73 to 77 at 80 %)" in coarse
    fine = compose_slip(order_of(Terms(risk=0.2, step=0.1 * CUBIC_YARD)), FEET, title="x")
    assert "Order 76." in fine


@pytest.mark.parametrize(
    ("mean", "sd", "wanted"),
    [
        (603.07, 11.68, "need 603 yd3 (583 to 623 at 90 %)"),
        (74.84, 1.27, "need 74.8 yd3 (72.7 to 77.0 at 90 %)"),
        (0.704, 0.021, "need 0.70 yd3 (0.66 to 0.74 at 90 %)"),
        (0.704, 0.5, "need 0.7 yd3 (0.0 to 1.6 at 90 %)"),
        (1145.0, 23.9, "need 1,145 yd3 (1,105 to 1,185 at 90 %)"),
    ],
)
def test_a_need_has_the_digits_that_its_range_bears(mean, sd, wanted):
    order = order_of(Terms(risk=0.05), need=need_of(mean, sd), level=0.9)
    assert wanted in compose_slip(order, FEET, title="x")


def test_a_chance_of_coming_up_short_is_never_said_to_be_less():
    order = order_of(Terms(risk=0.05))
    assert say_short(order.choice.chance_short, order) == "5 %"  # 4.4
    assert say_short(0.0501, order) == "6 %"  # not what was accepted
    assert say_short(0.003, order) == "under 1 %"
    assert say_short(0.9997, order) == "over 99 %"
    assert say_percent(1.0) == "over 99 %"
    finer = order_of(Terms(risk=0.025))
    assert say_short(0.0241, finer) == "2.5 %"


def test_an_order_that_the_least_load_raises_says_so():
    order = order_of(
        Terms(risk=0.05, truck=10 * CUBIC_YARD, least_load=4 * CUBIC_YARD), need=need_of(0.7, 0.02)
    )
    assert yards(order.choice.volume) == pytest.approx(4.0)
    assert "Order 4: one load. Under 1 % chance short." in compose_slip(order, FEET, title="x")
    assert "0.75 would do, but no load is under 4 yd³" in say_volume(order, FEET)
    plain = order_of(Terms(risk=0.05, truck=10 * CUBIC_YARD, least_load=3 * CUBIC_YARD))
    assert "would do" not in say_volume(plain, FEET)


def test_an_order_under_the_need_says_that_the_costs_ask_for_it():
    cheap = Costs(concrete=170 / CUBIC_YARD, short=1000)
    order = order_of(Terms(costs=cheap), need=need_of(180.63, 5.41))
    assert order.choice.volume < order.need.mean
    assert "That is less than is needed" in say_volume(order, FEET)
    assert "less than is needed" not in say_volume(order_of(Terms(costs=COSTS)), FEET)


def test_coming_up_short_for_nothing_decides_nothing():
    order = order_of(Terms(costs=Costs(concrete=170.0, short=0.0, short_rate=0.0)))
    assert (order.way, order.risk) == ("risk", RISK)


def test_the_middle_is_told_where_it_lies_off_what_is_stated():
    off = Need((Line("slab", "slab", 30.0),), 30.0, 30.0, 1.0, 0.0, off=2.0)
    told = say_chances(place_order(off, Terms(), is_metric=True, level=0.9), Units.of_job("m"))
    assert "off 32.0 m³, what is needed at the middle of the margin" in told
    assert "may be off what is needed: " in say_chances(order_of(Terms()), FEET)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Größe – “Süd” ½ × 3", 'Größe - "Süd" 1/2 x 3'),
        ("Łódź [hall]", "Lódz (hall)"),
        ("a\u00a0b\tc\x1b", "a b c"),
        ("плита", ""),
    ],
)
def test_text_is_folded_into_what_a_plain_message_holds(text, wanted):
    # the acute o is not in the set, and loses its accent
    assert fold_text(text) == wanted.replace("ó", "o")
    assert set(fold_text(text)) <= BASIC


def test_a_long_slip_keeps_its_title_and_as_many_small_pours_as_go_in():
    pours = [SmallPour(f"footing {number} behind the compressor house", 0.3) for number in range(6)]
    slip = compose_slip(order_of(Terms(truck=10 * CUBIC_YARD), *pours), FEET, title="Apron")
    assert slip.startswith("Apron: need")
    assert "Extra goes to: footing 0 behind the compressor house 0.39, " in slip
    assert " more. 5 % chance short." in slip
    assert len(slip) <= LONGEST


def test_an_order_held_up_to_what_is_stated_says_so():
    need = measure_need(concrete_of(50.2), Terms(risk=0.05), survey_sd=1.0, off=-4.0)
    told = say_volume(place_order(need, Terms(), is_metric=True, level=0.9), Units.of_job("m"))
    assert "By the shots 48 would do" in told
    assert "By the shots" not in say_volume(order_of(Terms(risk=0.05)), FEET)


def test_a_slip_is_a_plain_text_message_whatever_its_names():
    pours = [SmallPour("плита № 7", 0.3), SmallPour("фундамент", 0.3)]
    slip = compose_slip(order_of(Terms(truck=10 * CUBIC_YARD), *pours), FEET, title="Площадка")
    assert set(slip) <= BASIC
    assert slip.startswith("Need 74.8 yd3")
    assert "small pour 2 0.3" in slip


@pytest.mark.parametrize("step", [0.125, 1 / 3, 0.25 / CUBIC_YARD])
def test_an_order_in_odd_steps_is_not_said_too_small(step):
    order = order_of(Terms(risk=0.05, step=step * CUBIC_YARD))
    said = float(compose_slip(order, FEET, title="x").split("Order ")[1].split()[0].rstrip("."))
    exact = yards(order.choice.volume)
    assert exact - 1e-6 <= said <= exact + 0.0101


def test_loads_that_are_alike_are_counted():
    order = order_of(Terms(risk=0.1, truck=10 * CUBIC_YARD))
    assert list_loads(order.loads, StepWords(order, FEET)) == "7 x 10 + 6.5"


def test_a_line_of_the_need_is_never_told_as_nothing_but_where_it_is():
    say = StepWords(order_of(Terms()), FEET)
    lines = [say.line(volume * CUBIC_YARD) for volume in (0.0, 0.004, -0.004, -0.03)]
    assert lines == ["0.00", "less than 0.01", "less than 0.01", "-0.03"]
