import pytest
from numpy.testing import assert_allclose

from gradevol.files.sheets.level_notes import read_level_notes
from gradevol.files.shots.delimited import read_delimited
from gradevol.files.sources import Shots
from gradevol.ground.errors import InputError
from gradevol.ground.lengths import parse_length

INCH = 0.0254


@pytest.fixture
def read(tmp_path):
    """Elevations, in, of shots whose last column is these cells."""

    def take(*cells, unit="ft", notation=None, key="base"):
        path = tmp_path / "shots.csv"
        rows = [f"{k},{k % 2}.5,{k}.5,{cell}" for k, cell in enumerate(cells)]
        path.write_text("\n".join(["point,n,e,z", *rows]) + "\n", encoding="utf-8")
        survey = read_delimited(Shots((path,), unit, notation=notation, key=key))
        return (survey.points[:, 2] + survey.origin[2]) / INCH

    return take


@pytest.mark.parametrize(
    ("cells", "notation", "inches"),
    [
        (("4-7", "4-6", "5-0"), "feet-inches", [55, 54, 60]),
        (("4-6-4", "4-6-0", "4-7"), "feet-inches-eighths", [54.5, 54, 55]),
        (("77 1/8", "76-3/4", "77"), "inches", [77.125, 76.75, 77]),
        (("54⅝", "54½", "55"), "inches", [54.625, 54.5, 55]),
        (("4-7", "4'-6½\"", "5-0"), None, [55, 54.5, 60]),
        (("4-7", "6-4-3/4", "5-0"), None, [55, 76.75, 60]),
        (("4’-7”", "4′ 6½″", "54 5/8''"), None, [55, 54.5, 54.625]),
        (('54 5/8"', '54⅝"', "54-5/8 in"), None, [54.625] * 3),
        (("0", "4'-6\"", "0-6 1/2"), None, [0, 54, 6.5]),
    ],
)
def test_columns_are_read_as_their_hand_writes_them(read, cells, notation, inches):
    assert_allclose(read(*cells, notation=notation), inches, atol=1e-10)


@pytest.mark.parametrize(
    ("cells", "named"),
    [
        (("4-7", "4-6", "5-0"), "'4-7' can be read in two ways"),
        (("4-6-4", "4-6-0", "4-7-1"), "'4-6-4' can be read in two ways"),
        (("77 1/8", "76 3/4", "77"), "'77 1/8' can be read in two ways"),
        (("6-1/2", "6-1/4", "7-1/8"), "'6-1/2' can be read in two ways"),
        (("4'-6\"", "4-6-4", "4'-7\""), "'4-6-4' is not written in feet-inches"),
    ],
)
def test_what_nothing_settles_names_the_cell_and_the_key(read, cells, named):
    with pytest.raises(InputError, match=r"line [23]") as caught:
        read(*cells, key="top")
    assert named in str(caught.value)
    assert "top.notation" in str(caught.value)


@pytest.mark.parametrize(
    ("cells", "named"),
    [
        (('54 5/8"', '54 3/8"', "54 1/2"), "'54 1/2' carries no mark, while others"),
        (('54"', '55"', "54"), "'54' carries no mark, while others"),
        (("4'-6\"", "4'-7\"", "4.5"), "'4.5' carries no mark, while others"),
        (("4-6", "4'-7\"", "4"), "'4' carries no mark, while others"),
        (("6.1", "6.2", '6"'), "'6\"' carries a mark, while most"),
    ],
)
def test_a_bare_number_among_marked_ones_is_refused(read, cells, named):
    with pytest.raises(InputError) as caught:
        read(*cells)
    assert named in str(caught.value)


def test_marks_of_the_unit_of_bare_numbers_go_with_them(read):
    assert_allclose(read("4.5 ft", "4.6", "4.75'"), [54, 55.2, 57])
    assert_allclose(read('54 1/2"', "54 1/2", "54", unit="in"), [54.5, 54.5, 54])


def test_levels_without_a_mark_are_not_feet_where_the_source_is_in_inches(read):
    with pytest.raises(InputError, match=r"'54' carries no mark of inches, which base.notation"):
        read("54", "55", "56", notation="inches")


def test_a_number_of_a_hundred_thousand_digits_is_refused_in_few_words(read):
    with pytest.raises(InputError, match="100,000 characters") as caught:
        read("9" * 100_000, "1", "2'")
    assert len(str(caught.value)) < 500


def test_level_notes_are_read_as_their_hand_writes_them(tmp_path):
    path = tmp_path / "notes.csv"
    path.write_text("point,BS,IS,FS,known\nBM,4-7,,,100\n1,,5-0,,\nBM,,,4-7,\n")
    with pytest.raises(InputError, match=r"'4-7' can be read in two ways.*--notation"):
        read_level_notes(path, unit="ft")
    page = read_level_notes(path, unit="ft", notation="feet-inches")
    assert page.notes.rows[0].backsight == pytest.approx(55 * INCH)


def test_text_of_a_job_follows_the_notation_of_its_base():
    assert parse_length("4-7", unit="ft") == pytest.approx(55 * INCH)
    assert parse_length("6-1/2", unit="ft", notation="inches") == pytest.approx(6.5 * INCH)
    for text in ("4-6-4", "6 1/2", "6-1/2"):
        with pytest.raises(ValueError, match="two ways"):
            parse_length(text, unit="ft")


def test_control_bytes_and_length_do_not_reach_the_message():
    with pytest.raises(ValueError, match=r"names no known unit|not a length") as caught:
        parse_length("6 \x1b[31mfurlongs" + "x" * 70, unit="ft")
    assert "\x1b" not in str(caught.value)
    assert len(str(caught.value)) < 120
