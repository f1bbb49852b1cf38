"""Mismatch: survey, slab and top that do not meet in plan, and what likely happened."""

import pytest

from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.small_job import HEADER, JOB, SHOTS, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

FORMS = ((0, 0, 100), (16, 0, 100), (16, 9, 100.1), (0, 9, 100.1))
WITH_FORMS = JOB.replace("level = 100", 'shots = "top.csv"')


def forms(place=lambda e, n: (e, n)):
    rows = (f"F{number},{place(e, n)[0]},{place(e, n)[1]},{z}" for number, (e, n, z) in
            enumerate(FORMS))  # fmt: skip
    return HEADER + "\n".join(rows) + "\n"


def moved(place, shots=SHOTS):
    """The shots, their easting and northing as `place` makes them."""
    header, *rows = shots.splitlines()
    made = []
    for row in rows:
        name, east, north, level = row.split(",")
        east, north = place(float(east), float(north))
        made.append(f"{name},{east},{north},{level}")
    return "\n".join([header, *made]) + "\n"


def at(east, north, job=JOB):
    """The job, its slab moved."""
    corners = [[east, north], [east + 16, north], [east + 16, north + 9], [east, north + 9]]
    return job.replace("[[0, 0], [16, 0], [16, 9], [0, 9]]", str(corners))


@pytest.fixture
def check(tmp_path):
    def run(job=JOB, shots=SHOTS, top=None):
        path = write_job(tmp_path, job=job, shots=shots, files={"top.csv": top} if top else {})
        return check_job(read_job(path))

    return run


@pytest.fixture
def refuse(check):
    def run(*parts, **rest):
        with pytest.raises(InputError) as caught:
            check(*parts, **rest)
        return str(caught.value)

    return run


def texts(result, code):
    return [note.say(result.units) for note in result.notes if note.code == code]


# the survey


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (
            lambda e, n: (700 + n, 500 + e),
            "Northing and easting look swapped: check base.columns and slab.edge",
        ),
        (
            lambda e, n: ((500 + e) * 0.3048, (700 + n) * 0.3048),
            "would fit the slab in metres, but were read in feet: check units and base.units",
        ),
        (lambda e, n: (e, n), "is one of them in another coordinate system"),
    ],
)
def test_a_survey_elsewhere_is_refused_with_what_likely_happened(refuse, place, words):
    to_site = place if place(0, 0) != (0, 0) else lambda e, n: (e + 90_000, n)
    said = refuse(at(500, 700), moved(to_site))
    assert "the survey does not meet the slab: its points lie within E " in said
    assert "the slab within E 500.00 to 516.00, N 700.00 to 709.00 (ft)" in said
    assert words in said


def test_an_edge_in_another_unit_than_the_shots_is_told(refuse):
    job = at(500, 700).replace("[500, 700], [516, 700], [516, 709], [500, 709]",
                               "[152.4, 213.36], [157.277, 213.36], [157.277, 216.103], "
                               "[152.4, 216.103]")  # fmt: skip
    said = refuse(job, moved(lambda e, n: (e + 500, n + 700)))
    assert "The slab's edge would fit in metres, but was read in feet" in said


def test_easting_and_elevation_mixed_up_are_told(refuse):
    header, *rows = moved(lambda e, n: (e + 500, n + 700)).splitlines()
    parts = [row.split(",") for row in rows]
    shots = "\n".join([header, *(f"{p},{z},{n},{e}" for p, e, n, z in parts)])
    assert "Easting and elevation look mixed up: check base.columns" in refuse(at(500, 700), shots)


def test_swapped_columns_that_still_cover_most_of_the_slab_are_told(check):
    result = check(shots=moved(lambda e, n: (n, e)))
    (said,) = texts(result, "survey-fits-otherwise")
    assert said == (
        "The shots cover 56 % of the slab, and would cover 100 % if northing and easting were "
        "swapped: check base.columns and slab.edge."
    )


def test_the_two_feet_mixed_far_from_the_origin_are_told(check):
    # 2 parts in a million of 2,000,000 ft are 4 ft
    job = at(2_000_000, 700_000).replace("[slab]", 'units = "us-ft"\n[slab]')
    result = check(job, moved(lambda e, n: (e + 2_000_000, n + 700_000)))
    (said,) = texts(result, "survey-fits-otherwise")
    assert "would cover 100 % if they were in feet instead of US survey feet" in said


@pytest.mark.parametrize(
    ("factor", "said"), [(1.000002, "slab.edge was"), (1 / 1.000002, "they were")]
)
def test_the_two_feet_mixed_are_told_where_shots_end_short_of_the_forms(check, factor, said):
    def place(e, n):
        return 1_000_000 + 0.9 * e + 0.8, 500_000 + 0.8 * n + 0.9

    def look(times):
        job = at(1_000_000 * times, 500_000 * times).replace('"ft"', '"us-ft"')
        return texts(check(job, moved(place)), "survey-fits-otherwise")

    assert f"if {said} in feet instead of US survey feet" in look(factor)[0]
    assert look(1) == []


def test_an_edge_in_the_other_foot_is_told_beside_shots_in_metres(check):
    job = at(2_000_000, 700_000).replace('"ft"', '"us-ft"')
    shots = HEADER + "".join(
        f"{name},{0.3048 * (float(e) + 2e6)},{0.3048 * (float(n) + 7e5)},{0.3048 * float(z)}\n"
        for name, e, n, z in (row.split(",") for row in SHOTS.splitlines()[1:])
    )
    result = check(job.replace("[base]", '[base]\nunits = "m"'), shots)
    (said,) = texts(result, "survey-fits-otherwise")
    assert "would cover 100 % if slab.edge was in feet instead of US survey feet" in said


@pytest.mark.parametrize("share", [1.0, 0.8])
def test_a_survey_that_covers_the_slab_or_lacks_a_strip_is_not_said_to_fit_otherwise(check, share):
    result = check(shots=moved(lambda e, n: (e * share, n)))
    assert texts(result, "survey-fits-otherwise") == []


# the top


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (lambda e, n: (n, e), "Northing and easting look swapped: check top.columns and slab.edge"),
        (
            lambda e, n: (e / 0.3048, n / 0.3048),
            "The numbers of top.shots would fit the slab in metres, but were read in feet: check "
            "units and top.units",
        ),
        (lambda e, n: (e + 90_000, n), "is one of them in another coordinate system"),
        (lambda e, n: (e + 17, n), "Measure the top over the slab itself"),
        (lambda e, n: (e + 16, n), "Measure the top over the slab itself"),  # a side in common
    ],
)
def test_form_shots_off_the_slab_are_refused_with_where_both_lie(refuse, place, words):
    def on_site(east, north):
        if words.startswith("The numbers"):
            return (500 + east) * 0.3048, (700 + north) * 0.3048
        return place(500 + east, 700 + north)

    shots = moved(lambda e, n: (e + 500, n + 700))
    said = refuse(at(500, 700, WITH_FORMS), shots, top=forms(on_site))
    assert "top.shots does not reach over the slab: its points lie within E " in said
    assert "the slab within E 500.00 to 516.00, N 700.00 to 709.00 (ft)" in said
    assert words in said


def test_form_shots_over_a_part_of_the_slab_are_told_with_their_share(check):
    result = check(WITH_FORMS, top=forms(lambda e, n: (e / 2, n)))
    (said,) = texts(result, "top-beyond-points")
    assert said.startswith("72 ft² of the slab (50 %) lies beyond the measured points of the top")


def test_form_shots_that_meet_the_slab_are_not_told(check):
    assert texts(check(WITH_FORMS, top=forms()), "top-beyond-points") == []


def test_form_shots_on_one_line_are_named_as_the_tops(refuse):
    said = refuse(WITH_FORMS, top=forms(lambda e, _: (e, 4.5)).replace("F3,0,", "F3,3,"))
    assert "all points of top.shots lie on one line in plan" in said


def test_where_survey_and_top_lie_together_it_is_the_slab_that_is_elsewhere(refuse):
    said = refuse(at(500, 700, WITH_FORMS), top=forms())
    assert "the survey does not meet the slab" in said


def test_a_top_between_two_lines_elsewhere_is_refused(refuse):
    lines = "between = [[[0, 0, 100], [16, 0, 100]], [[0, 9, 100], [16, 9, 100]]]"
    job = at(500, 700).replace("level = 100", lines)
    said = refuse(job, moved(lambda e, n: (e + 500, n + 700)))
    assert "top.between does not reach over the slab: its points lie within E 0.00 to" in said


def test_shots_of_a_panel_on_another_panel_are_refused(refuse):
    job = JOB.replace(
        "level = 100",
        "[[top.panel]]\nedge = [[0, 0], [8, 0], [8, 9], [0, 9]]\nlevel = 100\n[[top.panel]]\n"
        'edge = [[8, 0], [16, 0], [16, 9], [8, 9]]\nshots = "top.csv"\n',
    )
    said = refuse(job, top=forms(lambda e, n: (e / 2, n)))
    assert "top.panel 2.shots does not reach over its panel" in said
    assert "its panel within E 8.00 to 16.00" in said


def test_a_plane_whose_points_are_swapped_is_refused(refuse):
    plane = "plane = [[700, 500, 100], [709, 500, 100], [700, 516, 100]]"
    job = at(500, 700).replace("level = 100", plane)
    said = refuse(job, moved(lambda e, n: (e + 500, n + 700)))
    assert "top.plane lies far off the slab" in said
    assert "Northing and easting look swapped: check top.plane and slab.edge" in said


def test_a_plane_from_far_away_is_told(check):
    job = JOB.replace("level = 100", 'through = [0, 900, 100]\nfall = "0 %"\nbearing = 0')
    (said,) = texts(check(job), "top-drawn-elsewhere")
    assert "lie 891 ft 0 in off the slab, which is 18 ft 4 in long" in said


def test_a_plane_through_a_point_beside_the_slab_is_not_told(check):
    job = JOB.replace("level = 100", 'through = [0, 40, 100]\nfall = "0 %"\nbearing = 0')
    assert texts(check(job), "top-drawn-elsewhere") == []


@pytest.mark.parametrize(
    ("top", "said"),
    [
        (
            "between = [[[0, 0, 100], [16, 0, 100]], [[0, 90, 100.2], [16, 9, 100]]]",
            "Point 1 of line 2 of top.between lies 81 ft 0 in off the slab",
        ),
        (
            "plane = [[0, 0, 100], [160, 0, 100], [0, 9, 100]]",
            "Point 2 of top.plane lies 144 ft 0 in off the slab",
        ),
    ],
)
def test_one_point_of_a_top_that_lies_far_off_is_told(check, top, said):
    (told,) = texts(check(JOB.replace("level = 100", top)), "top-drawn-elsewhere")
    assert told.startswith(said)
    near = top.replace("90,", "9,").replace("160,", "30,")
    assert texts(check(JOB.replace("level = 100", near)), "top-drawn-elsewhere") == []


# the rechecks


def with_rechecks(how):
    return JOB.replace("[slab]", f'rechecks = {{ shots = "top.csv", {how} }}\n[slab]', 1)


@pytest.mark.parametrize("count", [1, 2])
def test_one_or_two_rechecks_will_do(check, count):
    rows = ["R1,4,3,99.2", "R2,5,4,99.2"][:count]
    result = check(with_rechecks("radius = 2"), top=HEADER + "\n".join(rows) + "\n")
    assert result.epochs is not None
    assert len(result.epochs.later) == count
    assert result.concrete.volume > result.volume_before_rechecks


def test_an_empty_file_of_rechecks_is_refused(refuse):
    said = refuse(with_rechecks('radius = 2, codes = ["X"], columns = "PENZD"'), top="1,4,3,99,Y\n")
    assert "no description matches" in said


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("R1,706,504,99.2", "Northing and easting look swapped: check base.rechecks.columns"),
        ("R1,90504,706,99.2", "Check that both are in one coordinate system and unit"),
    ],
)
def test_rechecks_elsewhere_are_refused_with_where_both_lie(refuse, row, words):
    shots = moved(lambda e, n: (e + 500, n + 700))
    said = refuse(at(500, 700, with_rechecks("radius = 2")), shots, top=f"{HEADER}{row}\n")
    assert "the shots of base.rechecks lie far off the first: within E " in said
    assert "the first within E 500.00 to 516.00, N 700.00 to 709.00 (ft)" in said
    assert words in said


def test_rechecks_that_retire_nearly_all_are_named_as_the_cause(refuse):
    rows = "R1,4,3,99.2\nR2,6,3,99.2\nR3,4,5,99.2\n"
    said = refuse(with_rechecks("radius = 900"), top=HEADER + rows)
    assert "the survey covers 1 % of the slab after base.rechecks retired 20 of its shots" in said
    assert "Make the radius or the outline of base.rechecks smaller" in said
