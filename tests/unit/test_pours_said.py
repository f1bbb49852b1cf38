"""Each pour with its parts, and figures that rest on a suspect shot. All are invented."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.answer.said.order import tell_order
from gradevol.answer.said.pours import tell_pours
from gradevol.answer.said.thickness import tell_thickness
from gradevol.answer.said.thin import tell_thin
from gradevol.answer.said.work import tell_work
from gradevol.answer.tree.result import present
from gradevol.job import read_job
from gradevol.out.pages.page import compose_page
from gradevol.out.text.order_slip import compose_order
from gradevol.out.text.summary import compose_summary
from gradevol.runs.check import check_job
from tests.small_job import write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

APRON = Path(__file__).parents[2] / "sample_surveys" / "apron"
#: The suspect shot stands in the north half.
HALVES = """
[[pour]]
name = "south half"
edge = [[0, 0], [45, 0], [45, 40], [0, 40]]
[[pour]]
name = "north half"
edge = [[0, 40], [45, 40], [45, 80], [0, 80]]
"""


@pytest.fixture(scope="module")
def halves(tmp_path_factory):
    folder = tmp_path_factory.mktemp("halves")
    (folder / "shots.csv").write_bytes((APRON / "shots.csv").read_bytes())
    (folder / "job.toml").write_text(
        (APRON / "job.toml").read_text() + HALVES + "[order]\nwaste = 0.01\n"
    )
    return check_job(read_job(folder / "job.toml"))


def test_what_a_pour_takes_in_a_thickening_that_was_shot_is_no_low_base(halves):
    first, *rest = halves.delivery.parts
    dug = replace(first.concrete, slab=first.concrete.slab + 1.0, shown=((0, 1.0),))
    parts = (replace(first, concrete=dug), *rest)
    told = replace(halves, delivery=replace(halves.delivery, parts=parts))
    (before,), (after,) = tell_pours(halves), tell_pours(told)
    low = re.compile(r"base low ([\d.]+)")
    was, now = (low.search(str(topic.statements[0].short)) for topic in (before, after))
    assert was
    assert now
    assert was[1] == now[1]


def test_each_pour_is_told_with_its_parts_which_add_up(halves):
    (topic,) = tell_pours(halves)
    view = present(halves)
    for said, pour in zip(topic.statements, view["pours"], strict=True):
        assert pour["slab"] == pytest.approx(
            pour["nominal_volume"] + pour["over_nominal"], abs=1e-5
        )
        parts = pour["slab"] + pour["thickenings"] - pour["voids"]
        assert parts == pytest.approx(pour["volume"], abs=1e-5)
        assert sum(part["volume"] for part in pour["parts"]) == pytest.approx(
            pour["thickenings"] - pour["voids"], abs=1e-5
        )
        assert re.fullmatch(
            r"[\d.]+ yd³ = as drawn [\d.]+ \+ base low [\d.]+ \+ thickenings [\d.]+ − voids [\d.]+",
            str(said.short),
        )
    for key in ("nominal_volume", "over_nominal", "beyond_survey", "thickenings", "voids"):
        whole = view["slab"] if key == "nominal_volume" else view["concrete"]
        assert sum(pour[key] for pour in view["pours"]) == pytest.approx(whole[key], abs=1e-4)


def test_only_the_order_that_rests_on_a_suspect_shot_says_to_reshoot_it_first(halves):
    south, north = (str(topic.statements[0].short) for topic in tell_order(halves))

    title = halves.title.lower()
    assert south.lower().startswith(f"{title}, south half: need ")
    assert north.lower().startswith(f"{title}, north half: reshoot 41 first. need ")
    assert [south, north] == [pour["order"]["slip"] for pour in present(halves)["pours"]]
    untouched, touched = tell_pours(halves)[0].statements
    assert len(untouched.details) == 1
    assert re.match(r"suspect: [\d.]+ yd³ without 41", str(touched.details[1]))


def test_the_least_thickness_and_the_thin_area_say_that_they_rest_on_a_suspect_shot(halves):
    (thickness,), (thin,), survey = (
        tell_thickness(halves),
        tell_thin(halves),
        present(halves)["survey"],
    )
    assert thickness.statements[0].doubt == "suspect: 5 3/8 in without 41"
    assert survey["least_without_suspects"] * 12 == pytest.approx(5.4, abs=0.1)
    assert "(suspect: none without 41)" in str(thin.statements[0].short)
    assert survey["thin_area_without_suspects"] == 0


@pytest.mark.parametrize(
    ("limits", "told"),
    [
        ("", "the job gives no tolerance (slab.base_high, slab.base_low): high and low spots"),
        ('base_low = "2 in"\n', "the job gives no slab.base_high: high spots"),
        ('base_low = "2 in"\nbase_high = "2 in"\n', "Empty: no thin, high or low spot was seen"),
    ],
)
def test_an_empty_fix_list_says_whether_a_tolerance_was_given(tmp_path, limits, told):
    (tmp_path / "shots.csv").write_text(
        "point,e,n,z\n"
        + "\n".join(
            f"{5 * x + y},{5 * x},{5 * y},{99.5 + 0.01 * ((x + y) % 2)}"
            for x in range(5)
            for y in range(5)
        )
    )
    (tmp_path / "job.toml").write_text(
        'units = "ft"\n[base]\nshots = "shots.csv"\n[slab]\nthickness = "6 in"\n'
        f"edge = [[0, 0], [20, 0], [20, 20], [0, 20]]\n{limits}[top]\nlevel = 100\n"
    )
    (work,) = tell_work(check_job(read_job(tmp_path / "job.toml")))
    assert told in str(work.statements[0].short)


RIDGED = """units = "ft"
[base]
shots = "shots.csv"
[slab]
edge = [[0, 0], [32, 0], [32, 18], [0, 18]]
thickness = "6 in"
least_thickness = "5 in"
base_high = 0.02
base_low = 0.05
[top]
level = 100
[order]
waste = 0.01
step = "0.1 yd3"
[[pour]]
name = "west half"
edge = [[0, 0], [16, 0], [16, 18], [0, 18]]
[[pour]]
name = "east half"
edge = [[16, 0], [32, 0], [32, 18], [16, 18]]
"""


def check_ridge(folder, ridge_to, low=0.0, job=None):
    """Check an invented floor that is 0.15 ft high from 2 ft on to some easting."""
    rows = [
        f"{east}-{north},{east},{north},"
        f"{99.5 + 0.15 * (2 <= east <= ridge_to) - low * (east > 24):.2f}"
        for east in range(0, 33, 2)
        for north in range(0, 19, 2)
    ]
    shots = "point,easting,northing,elevation\n" + "\n".join(rows) + "\n"
    return check_job(read_job(write_job(folder, job=job or RIDGED, shots=shots)))


def test_the_order_of_a_part_says_what_the_fix_list_changes_of_it(tmp_path):
    result = check_ridge(tmp_path, 8)
    west, east = (pour["order"]["slip"] for pour in present(result)["pours"])
    head = r"(?:.*, )?west half: fix row 1 first \(([\d.]+) in place then, not ([\d.]+)\)\. Need"
    told = re.match(head, west)
    assert told
    then, now = map(float, told.groups())
    # level over 6 ft, sloping over 2 ft either side, of which all but the lowest 0.02 ft is cut
    cut = (6 * 0.15 + 2 * 2 * (0.15 - 0.02) / 0.15 * (0.15 + 0.02) / 2) * 18 / 27
    assert then - now == pytest.approx(cut, abs=0.011)
    assert "fix" not in east


@pytest.mark.parametrize(("ridge_to", "low"), [(8, 0.0), (22, 0.0), (8, 0.3), (22, 0.3)])
def test_what_parts_take_once_the_fix_list_is_done_adds_up(tmp_path, ridge_to, low):
    result = check_ridge(tmp_path, ridge_to, low)
    must = result.outcome.must
    assert must is not None
    for stage in filter(None, (must, result.outcome.all)):
        assert sum(part.volume for part in stage.parts) == pytest.approx(stage.volume)
        assert {line for part in stage.parts for line in part.lines} == set(stage.lines)
    assert len(must.parts[1].lines) == (ridge_to > 16)


#: Bays of 9 ft across the apron.
BAYS = "".join(
    f"""
[[pour]]
name = "bay {number}"
edge = [[{9 * number}, 0], [{9 * number + 9}, 0], [{9 * number + 9}, 80], [{9 * number}, 80]]
"""
    for number in range(5)
)


def test_many_orders_are_told_as_one_and_hide_nothing_else(tmp_path):
    (tmp_path / "shots.csv").write_bytes((APRON / "shots.csv").read_bytes())
    job = tmp_path / "job.toml"
    job.write_text((APRON / "job.toml").read_text() + BAYS + "[order]\nwaste = 0.01\n")
    answer = compose_answer(check_job(read_job(job)))
    summary = compose_summary(answer.title, answer.topics)
    volumes = [pour["order"]["volume"] for pour in answer.plain()["pours"]]
    said = re.search(r"Order +([\d.]+) yd³ in 5 orders of ([\d.]+) to ([\d.]+);", summary)
    assert said
    total, low, high = said.groups()

    assert (float(low), float(high)) == (min(volumes), max(volumes))
    assert float(total) == pytest.approx(sum(volumes))
    assert "bay 1" not in summary
    assert {"Thickness", "Thin", "Fix list"} <= {row[:11].rstrip() for row in summary.split("\n")}
    page = compose_page(answer)
    head, rest = page.split("</section>", 1)
    assert "bay 1: order" not in head
    assert f"in 5 orders of {low}" in head
    assert rest.count("bay 1") >= 1
    assert f"yd³ in 5 orders of {low} to {high}\n" in compose_order(answer.topics)


def test_work_that_moves_no_digit_of_the_volume_is_told_by_how_much(tmp_path):
    unsure = RIDGED.replace("[slab]", 'datum_sigma = "2.5 in"\n[slab]', 1).partition("[[pour]]")[0]
    result = check_ridge(tmp_path, 2, 0.03, job=unsure)
    slip = present(result)["order"]["slip"]
    told = re.search(r"fix row 1 first \(([\d.]+) yd3 more in place then\)", slip)

    assert told
    # a ridge of 2 ft to either side, all but its lowest 0.02 ft cut
    cut = 2 * 2 * (0.15 - 0.02) / 0.15 * (0.15 + 0.02) / 2 * 18 / 27
    assert float(told[1]) == pytest.approx(cut, abs=0.011)
