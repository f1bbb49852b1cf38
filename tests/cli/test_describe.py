"""`gradevol describe`: streams, exit codes, standard input. All files are invented."""

import json

import pytest

GOOD = "point,northing,easting,elevation,code\n" + "\n".join(
    f"{k},{k // 4 * 10}.0,{k % 4 * 9}.0,{100 + k % 3 / 100:.2f},BASE" for k in range(16)
)


@pytest.fixture
def describe(invoke, tmp_path):
    """Run the command in a folder that holds shots.csv."""

    def describe(*words, text=GOOD, stdin=None):
        (tmp_path / "shots.csv").write_text(text)
        return invoke("describe", *words, cwd=tmp_path, stdin=stdin)

    return describe


def test_what_a_file_holds_goes_to_standard_output(describe):
    done = describe("shots.csv")
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.startswith("shots.csv: 16 shots, comma-separated text\n")
    assert "Nothing looks wrong" in done.stdout


def test_json_stands_alone_on_standard_output(describe):
    done = describe("shots.csv", "--json", "--units", "ft")
    view = json.loads(done.stdout)
    assert (done.exit_code, done.stderr) == (0, "")
    assert view["file"] == "shots.csv"
    assert view["unit"] == "ft"
    assert view["wrong"] == []


def test_a_bad_row_does_not_stop_it(describe):
    done = describe("shots.csv", text=GOOD.replace("100.01", "wet"))
    assert done.exit_code == 0
    assert "5 rows are no points" in done.stdout


def test_a_dash_reads_standard_input(describe):
    done = describe("-", stdin=GOOD)
    assert (done.exit_code, done.stderr) == (0, "")
    assert done.stdout.startswith("standard input: 16 shots")


@pytest.mark.parametrize(
    ("words", "stdin", "says"),
    [
        (("-",), "Dear Bob,\nregards\n", "Error: standard input, line 1: it is text, but holds no"),
        (("-",), "", "Error: standard input: it is empty."),
        (("shots.csv", "--columns", "PQ"), None, "Error: --columns is 'PQ', but 'Q' names no"),
        (("shot.csv",), None, "Error: shot.csv: there is no such file. Did you mean 'shots.csv'?"),
        ((".",), None, "Error: .: it is a folder. Name the file in it."),
    ],
)
def test_what_cannot_be_used_is_refused_in_a_paragraph(describe, words, stdin, says):
    done = describe(*words, stdin=stdin)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert says in done.stderr
    assert "Traceback" not in done.stderr


def test_a_sheet_in_feet_and_inches_is_described_by_its_notation(invoke, tmp_path):
    path = tmp_path / "rods.csv"
    path.write_text(",0,10\n0,4-7,4-6\n10,4-7,4-8\n")
    refused = invoke("describe", path, "--units", "ft")
    assert refused.exit_code == 2
    assert "--notation" in refused.stderr
    told = invoke("describe", path, "--units", "ft", "--notation", "feet-inches")
    assert "4.500 ft to 4.667 ft" in told.stdout
