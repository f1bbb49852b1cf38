"""`gradevol levels` as a process: notes from a file and from standard input. All are invented."""

import subprocess
import sys

import pytest

NOTES = "point,BS_ft,IS_ft,FS_ft,known_ft\nBM1,4.26,,,100.00\n101,,4.88,,\nBM1,,,4.27,\n"


@pytest.fixture
def levels(tmp_path):
    """Run the program in a folder that holds page.csv."""

    def levels(*words, stdin=None):
        (tmp_path / "page.csv").write_text(NOTES)
        (tmp_path / "folder").mkdir(exist_ok=True)
        return subprocess.run(
            [sys.executable, "-m", "gradevol", "levels", *words],
            cwd=tmp_path, input=stdin, capture_output=True, check=False,
        )  # fmt: skip

    return levels


def test_notes_from_standard_input_are_reduced_as_from_a_file(levels):
    by_file, by_dash = levels("page.csv"), levels("-", stdin=NOTES.encode())
    assert by_file.returncode == by_dash.returncode == 0
    assert b"99.38" in by_dash.stdout
    assert by_dash.stdout == by_file.stdout


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16"])
def test_notes_with_a_mark_and_windows_lines_are_read(levels, encoding):
    done = levels("-", stdin=NOTES.replace("\n", "\r\n").encode(encoding))
    assert done.stdout == levels("page.csv").stdout


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
def test_notes_that_cannot_be_used_are_refused_in_a_paragraph(levels, words, stdin, says):
    done = levels(*words, stdin=stdin)
    assert (done.returncode, done.stdout) == (2, b"")
    assert says in done.stderr.decode()
    assert b"Traceback" not in done.stderr


def test_the_notes_are_not_written_over_by_their_shots(levels, tmp_path):
    done = levels("page.csv", "--out", str(tmp_path / "folder" / ".." / "page.csv"))
    assert done.returncode == 2
    assert "over the notes it is made from" in done.stderr.decode()
    assert (tmp_path / "page.csv").read_text() == NOTES
