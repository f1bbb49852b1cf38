"""What is said of a result: the base, thin concrete, shots, cover and notes."""

import re
from dataclasses import replace

import numpy as np
import pytest

from gradevol.answer.result import Without
from gradevol.answer.said.notes import tell_notes
from gradevol.answer.said.places import say_place
from gradevol.answer.said.suspects import tell_suspects
from gradevol.answer.said.topics import tell_topics
from gradevol.answer.said.unseen import say_removed
from gradevol.answer.statement import Weight
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.ground.units import CUBIC_YARD, METRES
from gradevol.measures.spots import Spots
from gradevol.plan.fixes.fix import Found
from gradevol.site.metadata import Credits
from gradevol.site.rechecks import Epochs
from gradevol.site.slab import Void
from gradevol.site.survey import Grain
from tests.unit.topics.conftest import find, keys_of, tell, words_in


@pytest.mark.parametrize(
    ("over", "way"), [(0.1, "below"), (-0.1, "above"), (0.001, "as on"), (-0.001, "as on")]
)
def test_a_base_is_told_to_lie_below_or_above_the_drawing(apron, over, way):
    slab = apron.concrete.nominal + over
    result = replace(apron, concrete=replace(apron.concrete, slab=slab))

    assert find(result, "concrete.over_nominal", "parts").label == f"Base {way} the drawing"


def test_the_least_thickness_is_rounded_down_and_taped(apron):
    assert apron.thickness.min / METRES["in"] == pytest.approx(4.967, abs=5e-4)
    said = find(apron, "thickness.min", "thickness")

    assert str(said.figure) == "4 7/8 in"
    assert said.where.startswith("10 ft 2 in from side 2 (bulkhead), ")
    assert said.place == apron.thickness.min_at
    assert said.is_alert
    assert str(find(apron, "thickness.mean", "thickness").details[0]) == "design 6 in"


def test_a_base_above_the_top_is_to_be_cut_first(apron):
    high = replace(
        apron,
        thickness=replace(apron.thickness, min=-0.02),
        concrete=replace(apron.concrete, overlap=0.1),
    )
    said = find(high, "concrete.overlap", "thickness")

    assert str(find(high, "thickness.min", "thickness").figure) == "−7/8 in"  # -0.79 in
    assert said.weight == Weight.ACTS
    assert str(said.short) == "Cut 0.13 yd³ first: the base is above the top of slab there"
    assert "by up to 0.07 ft, and no concrete" in str(said.full)
    scan = replace(high.survey, grain=Grain(0.1, None, None, 1.0))  # of a machine on the base, too
    said = find(replace(high, survey=scan), "concrete.overlap", "thickness")
    assert "Cut 0.13 yd³ first, or scan again without what stood there: " in str(said.short)
    assert "concrete.overlap" not in keys_of(apron, "thickness")


def test_a_base_that_only_a_suspect_shot_puts_above_the_top_is_not_cut_before_it_is_reshot(apron):
    moments = replace(apron.thickness, min=-0.02)
    suspects = apron.suspects[:1]
    name = apron.survey.name(suspects[0].index)

    def say(without):
        high = replace(
            apron,
            thickness=moments,
            suspects=suspects,
            without_suspects=Without(replace(moments, min=without), Found(apron.thin, None, None)),
        )
        return str(find(high, "concrete.overlap", "thickness").short)

    assert say(0.1).startswith(f"Reshoot: only if {name} is right, cut ")
    assert say(-0.01).startswith("Cut ")


def test_no_thin_spot_seen_is_not_told_as_none(apron):
    clean = replace(apron, thin=Spots(0.0, ()))
    said = find(clean, "thin.area", "thin")

    assert str(said.short) == "none seen under 5 1/4 in at the shots"
    assert not said.is_alert
    text = " ".join(str(said) for topic in tell_topics(clean) for said in words_in(topic) if said)
    assert "no thin" not in text.lower()


def test_thin_spots_are_told_with_what_is_to_cut(apron):
    some = replace(apron, thin=replace(apron.thin, unlisted=3))

    assert str(find(apron, "thin.area", "thin").short).startswith("25 ft² under 5 1/4 in in 2 spot")
    cut = sum(spot.volume for spot in apron.thin.listed) / CUBIC_YARD
    told = str(find(some, "thin.area", "thin").short)
    assert told.endswith(f" in 5 spots; {cut:.2f} yd³ to cut in the largest")


def test_what_would_not_show_is_told_and_is_to_be_looked_for_where_all_else_is_well(apron):
    key, topic = "thin.could_hide.width", "unseen"
    said = find(apron, key, topic)
    assert str(said.short) == "A hump narrower than 11 ft could be missed"
    assert said.weight == Weight.MATTERS
    wide = find(replace(apron, widest_gap=None), key, topic)
    assert "A hump between shots or under things on the base" in str(wide.short)

    well = replace(apron, suspects=(), coverage=1.0, work=replace(apron.work, fixes=()))
    said = find(well, key, topic)
    assert said.weight == Weight.ACTS
    assert str(said.short).startswith("Look between the shots as well. A hump")
    below = replace(well, thickness=replace(apron.thickness, min=-0.01))
    assert find(below, key, topic).weight == Weight.MATTERS


def test_what_rests_on_extrapolation_is_told_and_never_rounded_up(apron):
    assert str(find(apron, "survey", "survey").short).endswith("; 86.5 % of the slab inside them")
    said = find(apron, "concrete.beyond_survey", "unseen")
    assert str(said.short) == "Nobody shot the edge strip; 9.56 yd³ there is assumed"
    assert f"{3600 * (1 - apron.coverage):.0f} ft² beyond the outermost shots" in str(said.full)
    assert said.weight == Weight.ACTS
    surface = replace(apron, survey=replace(apron.survey, ids=(), readings=()))  # it may have holes
    said = find(surface, "concrete.beyond_survey", "unseen")
    assert str(said.short) == "Nobody shot part of the slab; 9.56 yd³ there is assumed"

    hair = replace(apron, coverage=0.99999)
    assert "; 99.9 % of the slab" in str(find(hair, "survey", "survey").short)
    assert find(hair, "concrete.beyond_survey", "unseen").weight == Weight.DETAILS
    whole = replace(apron, coverage=1.0)
    assert str(find(whole, "survey", "survey").short).endswith("; all of the slab inside them")
    assert "concrete.beyond_survey" not in keys_of(whole, "unseen")


def test_what_was_not_shot_is_named_the_unlike_ones_first_where_there_is_little_room(apron):
    said = find(apron, "unseen.thickenings.no", "unseen")
    assert str(said.short) == "Not shot, taken as drawn: south beam"

    beam = apron.slab.thickenings[0]
    names = ("a", "a", "b", "c", "d", "e")
    beams = tuple(replace(beam, name=name, surveyed="departure") for name in names)
    former = Void("former {x}", volume=0.1)
    slab = replace(apron.slab, thickenings=beams, voids=(former,), base_low=None)
    bare = replace(apron, slab=slab)
    said = find(bare, "unseen.thickenings.departure", "unseen")
    assert str(said.short) == "Bottom by trench shots, walls as drawn: a, b, c and 2 more"
    assert str(said.full).endswith(": a, a, b, c, d, e")
    assert str(find(bare, "unseen.voids", "unseen").short).startswith("Not on the plan, ")
    assert "no tolerance (slab.base_low): low spots" in str(
        find(bare, "unseen.limits", "unseen").short
    )
    assert "unseen.limits" not in keys_of(apron, "unseen")


def test_thickenings_that_nobody_shot_matter_where_they_are_much_of_the_concrete(apron):
    slab, concrete = apron.slab, apron.concrete
    drawn = tuple(replace(part, surveyed="no") for part in slab.thickenings)
    volume = sum(held for _, held in concrete.parts[: len(drawn)])
    much = replace(concrete, volume=9 * volume)
    result = replace(apron, slab=replace(slab, thickenings=drawn), concrete=much)
    said = find(result, "unseen.thickenings.no", "unseen")
    assert said.weight == Weight.MATTERS
    assert str(said.short).endswith(f"; {apron.units.say_volume(volume)}")

    little = replace(result, concrete=replace(concrete, volume=11 * volume))
    said = find(little, "unseen.thickenings.no", "unseen")
    assert said.weight == Weight.DETAILS
    assert "yd³" not in str(said.short)


def test_points_taken_out_of_a_scan_are_told_once(apron):
    note = Note("cloud-not-base", "1,234 of 9,000 points stand {} up.", (Measure(1, Kind.TAPE),))
    scan = replace(apron, notes=(note,))

    assert say_removed(scan) == "1,234 points of the scan"
    said = find(scan, "unseen.removed", "unseen")
    assert str(said.short).startswith("1,234 points of the scan above or below the base")
    assert str(said.full) == "1,234 of 9,000 points stand 3 ft 3 in up."
    assert tell_notes(scan) == ()
    lone = replace(apron, notes=(Note("cloud-not-base", "1 of 9,000 points stands up."),))
    said = find(lone, "unseen.removed", "unseen")
    assert str(said.short).startswith("1 point of the scan above or below the base was taken away")


def test_suspect_shots_are_told_with_the_slip_and_the_volume_without_them(apron):
    other = replace(apron.suspects[0], index=10, slip="")
    topic = tell(replace(apron, suspects=(*apron.suspects, other)), "suspects")
    first, *shots = topic.statements

    assert first.weight == Weight.DECIDES
    ids = ", ".join(said.mark for said in shots)
    assert str(first.short) == (
        f"Reshoot {ids} first, before you cut or order. Without them: 70.2 yd³"
    )
    said = next(said for said in shots if said.mark == "51")
    assert said.label == "Shot 51"
    assert str(said.short).startswith("0.10 ft above the shots around it; reads like a tenth")
    east, north = apron.survey.points[50, :2]
    assert said.place == (east, north)
    assert said.where == say_place((east, north), apron.slab, apron.units)
    assert said.cells[:2] == ("51", "0.10 ft")
    assert said.cells[3] == said.where


def test_one_suspect_shot_is_told_as_one_and_a_low_one_below(apron):
    low = replace(apron.suspects[0], difference=-0.05, slip="")
    one = replace(apron, suspects=(low,), volume_without_suspects=None)
    topic = tell(one, "suspects")
    first, shot = topic.statements

    assert re.fullmatch(r"Reshoot \w+ first, before you cut or order", str(first.short))
    assert str(shot.short) == "0.16 ft below the shots around it"
    assert str(shot.details[0]) == "no slip fits: look at the place"
    assert shot.cells[1:3] == ("-0.16 ft", "")
    assert tell_suspects(replace(apron, suspects=())) == ()


def test_cover_is_rounded_down_and_what_lacks_some_comes_first(apron):
    kept = replace(apron.cover[0], name="pipe", least=0.2, short=0.0)
    short = replace(apron.cover[0], least=3.99 * METRES["in"], short=2 * METRES["ft"])
    bare = replace(kept, name="duct", required=None)
    result = replace(apron, cover=(kept, bare, short))
    topic = tell(result, "cover")
    said = topic.statements

    assert [one.key for one in said] == ["cover.2", "cover.0", "cover.1"]
    assert str(said[0].short) == "least cover 3 7/8 in, 4 in required, short on 2 ft 0 in"
    assert (said[0].is_alert, said[1].is_alert) == (True, False)
    assert said[0].cells[:4] == ("conduit", "3 7/8 in", "4 in", "2 ft 0 in")
    assert said[0].place == short.at
    assert str(said[2].short).endswith(", no limit is stated")


def test_who_measured_and_when_is_told_with_the_limits(apron):
    credited = replace(
        apron, credits=Credits(by="M. Alder", date="2026-05-12", benchmark="BM-1, closed")
    )
    head = find(credited, "survey", "survey")
    assert re.match(r"\d+ shots; ", str(head.short))
    assert " shots by M. Alder, 2026-05-12; 86.5 % of" in str(head.full)
    facts = {
        said.label: str(said.figure) for said in tell(credited, "survey").statements if said.figure
    }
    assert facts["Measured by"] == "M. Alder"
    assert facts["Bench mark"] == "BM-1, closed"
    assert "Instrument" not in facts
    assert (facts["High spots above"], facts["Low spots below"]) == ("3/8 in", "3/4 in")
    assert facts["Thin below"] == "5 1/4 in"


def test_rechecks_are_told_with_the_volume_before(apron):
    epochs = Epochs(
        survey=apron.survey,
        first=apron.survey,
        later=np.array([3, 4]),
        retired=np.arange(25),
    )
    said = find(
        replace(apron, epochs=epochs, volume_before_rechecks=50.0), "survey.rechecks", "rechecks"
    )
    count = len(apron.survey.points)
    assert str(said.short) == (
        f"2 later shots replace 25 of the first {count}. Before the rework: 65.4 yd³"
    )
    assert f"of the first {count}: 1, 2, 3" in str(said.full)
    assert "20 and 5 more. Before" in str(said.full)


def test_notes_are_those_that_no_topic_tells_with_their_codes(apron):
    codes = ("beyond-survey", "suspect-shots", "base-above-top", "rechecks-applied")
    noted = replace(
        apron,
        notes=(
            *(Note(code, "Told.") for code in codes),
            Note("string-sag", "Strings sag."),
            Note("top-holds-water", "Raise it."),
        ),
    )
    topic = tell(noted, "notes")

    assert [(said.key, said.weight) for said in topic.statements] == [
        ("note.string-sag", Weight.TELLS),
        ("note.top-holds-water", Weight.DETAILS),
    ]
