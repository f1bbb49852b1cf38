"""A job that is not TOML, is not there, or names files that are not: each told with its cure."""

import pytest

from gradevol.ground.errors import InputError
from gradevol.job import read_job
from tests.unit.job_file.conftest import BASE, SLAB, TOP, UNITS

# Files of the job


def test_text_that_is_not_toml_is_refused_with_its_line(refuse):
    said = refuse(UNITS + BASE + "[slab]\nthickness = 6 in\n")
    assert said.startswith(", line 5: this is not TOML")


@pytest.mark.parametrize(
    "data", [b"point,e,n,z\n1,0,0,9\n", b"LASF\x00\xff\n", b"\xef\xbb\xbf1 2 3\n"]
)
def test_a_data_file_in_place_of_a_job_is_told_where_to_go(tmp_path, data):
    path = tmp_path / "shots.csv"
    path.write_bytes(data)
    with pytest.raises(InputError, match=r"no job file.*`gradevol describe shots\.csv`"):
        read_job(path)


def test_a_job_in_utf16_is_told_to_be_saved_again(tmp_path):
    path = tmp_path / "job.toml"
    path.write_bytes("units = 'm'\n".encode("utf-16"))
    with pytest.raises(InputError, match="Save the job file as UTF-8"):
        read_job(path)


def test_a_table_given_twice_is_told_as_such(refuse):
    assert "Head each table once" in refuse(UNITS + BASE + BASE)


def test_a_base_that_takes_the_forms_of_its_file_too_is_refused(refuse):
    top = "[top]\nshots = 'shots.csv'\ncodes = 'FORM*'\n"
    said = refuse(UNITS + BASE + SLAB + top)
    assert "top.codes picks FORM* out of shots.csv, but [base] takes every shot" in said
    assert (
        refuse(UNITS + BASE + "codes = 'B*'\n" + SLAB + top + "least_fall = 2\n").count("FORM") == 0
    )


@pytest.mark.parametrize("number", [".5", "[[0, 0], [-.5, 0]]", "5."])
def test_a_number_without_a_digit_beside_its_point_is_explained(refuse, number):
    assert "0.5 for .5" in refuse(f"{UNITS}{BASE}sigma = {number}\n")


@pytest.mark.parametrize(
    ("line", "cure"),
    [
        ("title = Slab – west", "Write text, and lengths with a unit, between quotes"),
        ("title = Garage (2 car)", "Write text, and lengths with a unit, between quotes"),
        ("title = http://a.example/b", "Write text, and lengths with a unit, between quotes"),
        ("title = 12. floor slab", "Write text, and lengths with a unit, between quotes"),
        ('title = "Slab', "Close the text with the quotation mark"),
        ('title = "Slab”', "straight quotation marks"),
        ("level = −5", "a plain hyphen"),
        ("level = 1,200.5", "Write it without a comma: 4.5 for 4,5, and 1200 for 1,200"),
        ("level = 4;", "Take out the semicolon"),
        ("level = 0100.5", "without a 0 before it"),
        ("level =", "Write its value behind the ="),
        ("base level = 4", "Write a key as one word"),
        ("surveyed = True", "true or false, in small letters"),
        ("edge = ([0, 0], [9, 0])", "square brackets and commas"),
        ("edge = [[0, 0], [9, 0]]]", "one too many"),
        ("edge = [\n[0, 0]\n[9, 0]\n]", "a comma between what stands here and the line above"),
        ("edge = [\n[0, 0],\n[9, 0],\n\n[base]", "Close with ] the list that begins above"),
        ("edge = [\n[0, 0],\n[9, 0],\nlevel = 5", "Close with ] the list that begins above"),
        ("[slab", "Write a table's name in one word between brackets"),
        ("[[void]", "Write a table's name in one word between brackets"),
        ("[slab]]", "Write a table's name in one word between brackets"),
        ("[base setups]", "Write a table's name in one word between brackets"),
        ("edge = [0, 0], [24, 0], [24, 30]", "one more pair of brackets"),
        (
            "edge = [[0, 0] [24, 0], [24, 30]]",
            "a comma between one corner, or number, and the next",
        ),
        ("thickness = \u201c6 in\u201d", "straight quotation marks"),
        ("thickness\u00a0= 1", "Type its blanks anew"),
        ("thickness = 1\nthickness = 2", "Write each key once"),
        ("thickness = 6 in", "between quotes"),
        ("thickness = 4,5", "without a comma: 4.5 for 4,5"),
        ("thickness: 4.5", "Write = between a key and its value"),
        ("thickness = 0.5 // drawn", "Begin a remark with #"),
        ("edge = [[0; 0], [24; 0]]", "square brackets and commas"),
        ("edge = [[\u22121, 0], [24, 0]]", "a plain hyphen"),
        ("edge = [[0, 0], [24, 0]\nthickness = 1", "Close with ] the list"),
        ("edge = {\n file = 'plan.dxf' }", "between { and } on one line"),
        ("[slab]", "Cannot declare [slab] twice, in '[slab]'"),
    ],
)
def test_what_hands_write_that_is_no_toml_has_its_own_cure(refuse, line, cure):
    assert cure in refuse(f"{UNITS}{BASE}[slab]\n{line}\n")


def test_a_job_that_breaks_off_is_refused_with_its_last_line(refuse):
    assert refuse(UNITS + "[base]\nshots = [").startswith(", line 3: this is not TOML")


def test_backslashes_of_a_path_are_explained(refuse):
    assert "Write / in paths" in refuse(UNITS + '[base]\nshots = "data\\shots.csv"\n')


@pytest.mark.parametrize("path", ["C:\\users\\shots.csv", "C:\\Ulla\\shots.csv", "raw\\xyz.csv"])
def test_backslashes_that_read_like_numbers_of_letters_are_explained_too(refuse, path):
    said = refuse(f'{UNITS}[base]\nshots = "{path}"\n')
    assert "Write / in paths" in said


@pytest.mark.parametrize("path", ['"raw\\new\\table.csv"', "'raw\\shots.csv'"])
def test_a_path_whose_backslashes_are_no_error_of_toml_is_explained(refuse, path):
    assert "Write / in paths" in refuse(f"{UNITS}[base]\nshots = {path}\n")


@pytest.mark.parametrize("far", ["1e300", "-1e300", "1e9"])
def test_a_corner_that_is_nowhere_on_earth_is_refused_and_named(refuse, far):
    slab = f"[slab]\nedge = [[0, 0], [{far}, 0], [{far}, 9], [0, 9]]\nthickness = '6 in'\n"
    said = refuse(UNITS + BASE + slab + TOP)
    assert "the easting of corner 2 of slab.edge is the number" in said
    assert "nothing on Earth is as far" in said


@pytest.mark.parametrize("turned", [False, True])
def test_a_top_between_one_line_and_itself_is_refused(refuse, turned):
    line = [[0, 0, 100], [20, 0, 100.2]]
    other = line[::-1] if turned else line
    said = refuse(f"{UNITS}{BASE}{SLAB}[top]\nbetween = [{line}, {other}]\n")
    assert "line 1 and line 2 of top.between are one line in plan" in said


def test_a_key_given_twice_is_refused_with_its_line(refuse):
    assert refuse(UNITS + UNITS + BASE).startswith(", line 2: this is not TOML")


def test_brackets_without_end_are_refused(refuse):
    assert "nested too deep" in refuse("units = " + "[" * 100_000)


def test_a_job_saved_with_a_byte_order_mark_is_read(read):
    assert read("\ufeff" + UNITS + BASE + SLAB + TOP).unit == "ft"


def test_a_job_that_is_not_utf8_is_refused(tmp_path):
    path = tmp_path / "apron.toml"
    path.write_bytes(b'title = "\xff"\n')
    with pytest.raises(InputError, match="byte 10 is not UTF-8"):
        read_job(path)


@pytest.mark.parametrize("name", ["nowhere.toml", "."])
def test_a_job_that_is_not_there_is_refused(tmp_path, name):
    with pytest.raises(InputError, match="cannot be read"):
        read_job(tmp_path / name)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("[base]\nshots = 'lost.csv'\n" + SLAB + TOP, "base.shots"),
        ("[base]\nshots = ['shots.csv', 'lost.csv']\n" + SLAB + TOP, "base.shots"),
        ("[base]\ncloud = 'lost.csv'\n" + SLAB + TOP, "base.cloud"),
        ("[base]\nsurface_file = 'lost.csv'\n" + SLAB + TOP, "base.surface_file"),
        (BASE + "[slab]\nthickness = 1\nedge = 'lost.csv'\n" + TOP, "slab.edge"),
        (BASE + SLAB + "openings = ['lost.csv']\n" + TOP, "slab.opening 1"),
        (BASE + SLAB + "[top]\nshots = 'lost.csv'\n", "top.shots"),
        (BASE + SLAB + "[top]\nsurface_file = 'lost.csv'\n", "top.surface_file"),
    ],
)
def test_a_file_that_is_not_there_is_named_with_its_key(refuse, tmp_path, text, key):
    said = refuse(UNITS + text)
    assert f"{key} is 'lost.csv', but {tmp_path / 'lost.csv'} is not there" in said


@pytest.mark.parametrize("name", ["\\u0000", "a" * 300])
def test_a_name_that_no_file_can_have_is_refused(refuse, name):
    assert "base.shots is" in refuse(UNITS + f'[base]\nshots = "{name}"\n' + SLAB + TOP)


def test_a_folder_is_no_file_of_shots(refuse):
    assert "is a folder" in refuse(UNITS + "[base]\nshots = 'tiles'\n" + SLAB + TOP)


def test_a_file_named_twice_is_refused(refuse):
    text = "[base]\nshots = ['shots.csv', 'tiles/../shots.csv']\n"
    assert "shots.csv twice" in refuse(UNITS + text + SLAB + TOP)
