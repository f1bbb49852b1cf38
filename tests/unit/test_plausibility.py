"""Plausibility: a unit that is wrong everywhere at once is told, and the right one named."""

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.out.text.summary import compose_summary
from gradevol.runs.check import check_job
from tests.small_job import JOB, SHOTS, lattice_shots, write_job

pytestmark = pytest.mark.usefixtures("unsimulated")

MILLIMETRES = 304.8
INCHES = 12


def job_in(unit, scale, *, thickness="'6 in'", top=None):
    """The pad's job, its numbers in `unit` and `scale` times as many as in feet."""
    corners = [[round(scale * e, 4), round(scale * n, 4)] for e, n in
               ((0, 0), (16, 0), (16, 9), (0, 9))]  # fmt: skip
    level = round(scale * 100, 4) if top is None else top
    return (
        f'units = "{unit}"\n[base]\nshots = "shots.csv"\n[slab]\nedge = {corners}\n'
        f"thickness = {thickness}\n[top]\nlevel = {level}\n"
    )


@pytest.fixture
def check(tmp_path):
    def run(job, shots=SHOTS, **files):
        given = {name.replace("_", "."): text for name, text in files.items()}
        return check_job(read_job(write_job(tmp_path, job=job, shots=shots, files=given)))

    return run


@pytest.fixture
def refuse(check):
    def run(job, shots=SHOTS, **files):
        with pytest.raises(InputError) as caught:
            check(job, shots, **files)
        return str(caught.value)

    return run


def texts(result, code):
    return [note.say(result.units) for note in result.notes if note.code == code]


@pytest.mark.parametrize("unit", ["m", "mm", "ft", "in", "us-ft"])
def test_a_plain_pad_is_plausible_in_every_unit(check, unit):
    scale = {"m": 0.3048, "mm": 304.8, "ft": 1, "in": 12, "us-ft": 1}[unit]
    result = check(job_in(unit, scale), lattice_shots(scale))
    assert texts(result, "unusual-size") == []
    assert texts(result, "elevations-in-another-unit") == []


def test_a_slab_of_miles_is_refused_with_the_unit_that_fits(refuse):
    said = refuse(job_in("m", MILLIMETRES), lattice_shots(MILLIMETRES))
    assert "the slab spans 4,877 by 2,743 m (east by north)" in said
    assert "read in metres; in millimetres it would be 4.88 by 2.74 m" in said


def test_a_job_wholly_in_millimetres_under_feet_is_refused(refuse):
    said = refuse(job_in("ft", MILLIMETRES), lattice_shots(MILLIMETRES))
    assert "the base stands about 147.83 ft below the top" in said
    assert "base and top were read in feet; in millimetres they would fit the design" in said


def test_a_slab_of_a_hand_is_refused_with_the_unit_that_fits(refuse):
    said = refuse(job_in("mm", 0.3048), lattice_shots(0.3048))
    assert "0.00488 by 0.00274 m" in said
    assert "in metres it would be 4.88 by 2.74 m" in said


def test_the_size_that_fits_is_told_in_the_jobs_unit(refuse):
    said = refuse(job_in("in", 0.3048), lattice_shots(0.3048))
    assert "0.406 by 0.229 ft" in said
    assert "in metres it would be 16 by 9 ft" in said


@pytest.mark.parametrize(
    ("unit", "scale", "thickness", "remedies"),
    [("m", 0.3048, "150", ['"150 mm"']), ("m", 0.3048, "15", ['"15 in"', '"15 cm"'])],
)
def test_a_thickness_that_no_slab_has_is_refused(refuse, unit, scale, thickness, remedies):
    said = refuse(job_in(unit, scale, thickness=thickness), lattice_shots(scale))
    assert "and no slab is as thick" in said
    for remedy in remedies:
        assert remedy in said


def test_inches_written_as_bare_feet_are_refused_where_the_shots_say_so(refuse):
    said = refuse(JOB.replace('"6 in"', "6"))
    assert "slab.thickness is 6.00 ft, but the shots lie about 0.48 ft below the top" in said
    assert 'Are inches meant? Write thickness = "6 in"' in said


def test_a_thickness_that_has_its_unit_is_not_doubted_for_a_foot_between_bench_marks(check):
    result = check(JOB.replace("level = 100", "level = 101.02"))
    assert texts(result, "elevations-in-another-unit") == []
    assert "about a whole foot more" in texts(result, "thickness-far-from-design")[0]


def test_a_top_at_the_underside_of_the_slab_is_told(check):
    (said,) = texts(check(JOB.replace("level = 100", "level = 99.53")), "thickness-far-from-design")
    assert "designed, as if [top] gave the slab's underside: are shots" in said


def test_a_raft_of_six_feet_that_the_shots_bear_out_is_only_doubted(check):
    deep = SHOTS.replace(",99.5", ",94.0").replace(",99.6", ",94.1")
    result = check(JOB.replace('"6 in"', "6"), deep)
    (said,) = texts(result, "unusual-size")
    assert "slab.thickness is 72 in, more than" in said


def test_a_job_wholly_in_metres_under_feet_is_told(check):
    result = check(job_in("ft", 0.3048), lattice_shots(0.3048))
    (said,) = texts(result, "elevations-in-another-unit")
    assert said.startswith("The elevations of base and top were read in feet; in metres they would")


def test_a_job_wholly_in_inches_under_feet_is_doubted(check):
    result = check(job_in("ft", INCHES, thickness="6"), lattice_shots(INCHES))
    (said,) = texts(result, "unusual-size")
    assert "more than slabs on ground mostly have" in said


def test_a_thin_slab_is_doubted(check):
    result = check(JOB.replace('"6 in"', "0.14\nleast_thickness = 0.1"))
    (said,) = texts(result, "unusual-size")
    assert "1 5/8 in, less than" in said


def test_a_tolerance_in_the_wrong_unit_is_doubted(check):
    wide = JOB.replace("[top]", "base_high = 0.25\nbase_low = '3/4 in'\n[top]")
    (said,) = texts(check(wide), "unusual-size")
    assert said.startswith("slab.base_high is 3 in, so that the base may be as far off")


@pytest.mark.parametrize("key", ["sigma", "datum_sigma", "foot_sigma", "foot_high"])
def test_an_accuracy_in_the_wrong_unit_is_doubted(check, key):
    given = JOB.replace("[slab]", f"{key} = {{}}\n[slab]")
    (said,) = texts(check(given.format(6)), "size-moves-order")
    assert said.startswith(f"base.{key} is 72 in, ")
    assert texts(check(given.format("'6 mm'")), "size-moves-order") == []


@pytest.mark.parametrize(
    ("away", "rise", "fall", "told"),
    [
        (0.5, 0.2, 0, "16 shots beside the slab are 0.19 ft above those on it"),
        (0.5, 0.05, 0, None),  # no more than a base is uneven
        (2.0, 0.0, 0.12, None),  # the base goes on as the drawing falls
        (9.0, 0.2, 0, None),  # another part of the site
    ],
)
def test_ground_outside_the_forms_is_not_taken_for_base_in_silence(check, away, rise, fall, told):
    east, north = (-away, 4, 8, 12, 16 + away), (-away, 2, 4, 7, 9 + away)
    rows = ["point,easting,northing,elevation"]
    for e in east:
        for n in north:
            is_off = e in (east[0], east[-1]) or n in (north[0], north[-1])
            level = 99.5 + 0.01 * (len(rows) % 2) + fall * n + rise * is_off
            rows.append(f"{len(rows)},{e},{n},{level:.3f}")
    falling = f"through = [0, 0, 100]\nfall = {fall}\nbearing = 180"
    result = check(JOB.replace("level = 100", falling), "\n".join(rows) + "\n")
    said = texts(result, "beside-slab-step")
    assert said == [] if told is None else told in said[0]


def test_a_void_in_the_wrong_unit_is_doubted(check):
    pipe = "[[void]]\nname = 'pipe'\nlength = 10\ndiameter = {}\n"
    (said,) = texts(check(JOB + pipe.format(2)), "size-moves-order")
    assert said.startswith("pipe is 1.16 yd³, a large part of the slab")
    assert texts(check(JOB + pipe.format("'4 in'")), "size-moves-order") == []


def test_a_thickening_in_the_wrong_unit_is_doubted(check):
    beam = "[[thickening]]\nname = 'beam {a}'\nsides = [1]\nwidth = 1\ndepth = 6\n"
    (said,) = texts(check(JOB + beam), "size-moves-order")
    assert said == (
        "beam {a} reaches 6 ft 0 in below the slab's underside: is its depth in the right unit?"
    )


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (
            "[[thickening]]\nname = 'beam'\nsides = [1]\nwidth = 1\ndepth = 6\n",
            "beam reaches 6 ft 0 in below",
        ),
        (
            "[[void]]\nname = 'pipe'\nlength = 10\ndiameter = 2\n",
            "pipe is 1.16 yd³, a large part of the slab",
        ),
    ],
)
def test_a_size_that_the_order_hangs_on_is_told_above_the_volume(check, more, told):
    job = JOB + more + "[order]\nwaste = 0.03\ntruck = 10\n"
    answer = compose_answer(check(job))
    above = compose_summary("Pad", answer.topics).split("of concrete")[0]
    assert told in " ".join(above.split())
    assert "check the unit of a size first" in answer.plain()["order"]["slip"]


@pytest.mark.parametrize(
    ("truck", "told"),
    [("90", ["90.0 yd³, more"]), ("0.5", ["0.50 yd³, less"]), ("'10 m3'", []), ("1", [])],
)
def test_a_truck_that_no_plant_has_is_doubted(check, truck, told):
    said = texts(check(JOB + f"[order]\nwaste = 0.03\ntruck = {truck}\n"), "unusual-size")
    assert said == [
        f"order.truck is {one} than a truck mostly brings: check it, and its unit." for one in told
    ]


def test_base_elevations_in_another_unit_are_refused_with_both_levels(refuse):
    rows = [row.split(",") for row in SHOTS.splitlines()]
    shots = "\n".join(
        ",".join([*row[:3], f"{float(row[3]) * 0.3048:.4f}" if row[3] != "elevation" else row[3]])
        for row in rows
    )
    said = refuse(JOB, shots)
    assert "the base stands about 69.6" in said
    assert "the top at 100.00 ft" in said
    assert "The elevations were read in feet; in metres they would fit the design" in said


def test_top_elevations_in_another_unit_are_refused_with_both_levels(refuse):
    top = "point,easting,northing,elevation\n1,0,0,30.48\n2,16,0,30.48\n3,16,9,30.48\n4,0,9,30.48\n"
    said = refuse(JOB.replace("level = 100", 'shots = "top.csv"'), top_csv=top)
    assert "above the top of slab, where 0.50 ft of concrete is designed" in said
    assert "The elevations of the top were read in feet; in metres they would fit" in said


def test_a_top_on_a_datum_far_away_is_refused_without_a_guess(refuse):
    said = refuse(JOB.replace("level = 100", "level = 812.5"))
    assert "the base stands about 712.99 ft below the top of slab" in said
    assert "Put shots and top on one bench mark" in said


@pytest.mark.parametrize(
    ("level", "words"),
    [(0.48, "look like depths below the top"), (5.62, "look like rod readings")],
)
def test_readings_booked_as_elevations_are_told(refuse, level, words):
    header, *rows = SHOTS.splitlines()
    shots = [",".join([*row.split(",")[:3], f"{level}"]) for row in rows]
    assert words in refuse(JOB, "\n".join([header, *shots]))


def test_readings_whose_distance_to_the_top_is_a_thickness_in_millimetres_are_no_slip_of_units(
    refuse,
):
    header, *rows = SHOTS.splitlines()
    shots = [",".join([*row.split(",")[:3], "5.62"]) for row in rows]
    said = refuse(JOB.replace("6 in", "4 in"), "\n".join([header, *shots]))
    assert "look like rod readings" in said
    assert "millimetres" not in said


def test_a_height_of_the_instrument_above_its_mark_is_told_as_that(refuse):
    rods = ",0,8,16\n0,5.1,5.1,5.1\n9,5.1,5.1,5.1\n"
    job = JOB.replace('shots = "shots.csv"', 'rods = "rods.csv"\ninstrument_height = 4.62')
    said = refuse(job, None, rods_csv=rods)
    assert "base.instrument_height is the elevation of its line of sight" in said
    assert "millimetres" not in said


def test_depths_in_another_unit_are_told(check):
    job = JOB.replace('shots = "shots.csv"', 'depths = "depths.csv"')
    depths = "point,e,n,depth\n1,0,0,6\n2,16,0,6.1\n3,16,9,5.9\n4,0,9,6\n5,8,4,6.2\n"
    (said,) = texts(check(job, None, depths_csv=depths), "elevations-in-another-unit")
    assert "The depths were read in feet; in inches they would fit the design" in said


def test_a_thickening_over_most_of_the_slab_is_doubted(check):
    beam = "[[thickening]]\nname = 'beam'\nsides = [1]\nwidth = 8\ndepth = '6 in'\n"
    (said,) = texts(check(JOB + beam), "size-moves-order")
    assert "is 8 ft 0 in wide, and takes 89 % of the slab: is its width in the right unit?" in said
    pad = beam.replace("sides = [1]\nwidth = 8", "outline = [[0, 0], [16, 0], [16, 8], [0, 8]]")
    (said,) = texts(check(JOB + pad), "unusual-size")
    assert said == "beam takes 89 % of the slab: are its corners in the right unit?"


def test_a_thickening_as_deep_as_a_shaft_is_refused(refuse):
    beam = '[[thickening]]\nname = "beam"\nsides = [1]\nwidth = 1\ndepth = 40\n'
    assert "beam reaches 40.00 ft below" in refuse(JOB + beam)
