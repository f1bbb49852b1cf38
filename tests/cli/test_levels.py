"""`gradevol levels`: notes from a file and from standard input. All are invented."""

import pytest

NOTES = "point,BS_ft,IS_ft,FS_ft,known_ft\nBM1,4.26,,,100.00\n101,,4.88,,\nBM1,,,4.27,\n"


@pytest.fixture
def page(tmp_path):
    """A folder that holds page.csv."""
    (tmp_path / "page.csv").write_text(NOTES)
    (tmp_path / "folder").mkdir()
    return tmp_path


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_notes_from_standard_input_are_reduced_as_from_a_file(invoke, page, encoding):
    stdin = NOTES.replace("\n", "\r\n").encode(encoding)
    by_file, by_dash = (
        invoke("levels", "page.csv", cwd=page),
        invoke("levels", "-", stdin=stdin),
    )
    assert by_file.exit_code == by_dash.exit_code == 0
    assert "99.38" in by_dash.stdout
    assert by_dash.stdout == by_file.stdout


def test_a_process_reads_and_says_the_same(gradevol, invoke, page):
    done = gradevol("levels", "-", stdin=NOTES.encode("utf-16"))
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == invoke("levels", "page.csv", cwd=page).stdout


@pytest.mark.parametrize(
    ("words", "stdin", "says"),
    [
        (("-",), b"", "Error: standard input: it is empty."),
        (("-",), b"a,b\n1,2\n", "Error: standard input: its header 'a,b' names no point"),
        (("-",), b"\x00\x01\x02", "Error: standard input: it seems to be a binary file"),
        (("-",), NOTES.replace("4.88", "wet").encode(), "Error: standard input, line 3: "),
        (("folder",), None, "Error: folder: it is a folder. Name the file in it."),
        (("pgae.csv",), None, "Error: pgae.csv: there is no such file. Did you mean 'page.csv'?"),
    ],
)
def test_notes_that_cannot_be_used_are_refused_in_a_paragraph(invoke, page, words, stdin, says):
    done = invoke("levels", *words, cwd=page, stdin=stdin)
    assert (done.exit_code, done.stdout) == (2, "")
    assert says in done.stderr
    assert "Traceback" not in done.stderr


def test_the_notes_are_not_written_over_by_their_shots(invoke, page):
    out = page / "folder" / ".." / "page.csv"
    done = invoke("levels", "page.csv", "--out", out, cwd=page)
    assert done.exit_code == 2
    assert "over the notes it is made from" in done.stderr
    assert (page / "page.csv").read_text() == NOTES


def test_the_former_name_of_the_rule_by_accuracy_is_refused_with_the_new_one(invoke, page):
    done = invoke("levels", "page.csv", "--order", "third", cwd=page)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "write --accuracy third" in done.stderr
    assert "--order" not in invoke("levels", "--help").stdout


def test_a_file_of_others_is_not_written_over_but_its_own_is(invoke, page):
    out, given = page / "shots.csv", ("levels", "page.csv", "--out", page / "shots.csv")
    out.write_text("point,easting,northing,elevation\n1,2,3,4\n")
    refused = invoke(*given, cwd=page)
    assert (refused.exit_code, "would be written over" in refused.stderr) == (2, True)
    assert out.read_text().endswith("1,2,3,4\n")
    out.unlink()
    assert [invoke(*given, cwd=page).exit_code for _ in range(2)] == [0, 0]
