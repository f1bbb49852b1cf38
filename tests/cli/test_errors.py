"""What a user is told when something can't be used: one paragraph, exit code 2, no files."""

from dataclasses import dataclass, field

import pytest

from tests.small_job import EDGE, HEADER, JOB, SHOTS, lattice_shots, write_job


@dataclass(frozen=True)
class Fault:
    """A job with one fault, and what its error must say."""

    says: tuple[str, ...]
    job: str | bytes | None = JOB
    shots: str | bytes | None = SHOTS
    files: dict[str, str | bytes] = field(default_factory=dict)


def edge(corners):
    return JOB.replace(EDGE, corners)


def slab(line):
    return JOB.replace('thickness = "6 in"', f'thickness = "6 in"\n{line}')


def top(lines):
    return JOB.replace("level = 100", lines)


def panels(west, east):
    return JOB.replace(
        "[top]\nlevel = 100\n",
        f"[[top.panel]]\nedge = [[0, 0], [{west}, 0], [{west}, 9], [0, 9]]\nlevel = 100\n"
        f"[[top.panel]]\nedge = [[{east}, 0], [16, 0], [16, 9], [{east}, 9]]\nlevel = 100\n",
    )


def swapped(text):
    rows = [line.split(",") for line in text.splitlines()[1:]]
    return HEADER + "\n".join(",".join((p, n, e, z)) for p, e, n, z in rows) + "\n"


def shifted(text, east):
    rows = [line.split(",") for line in text.splitlines()[1:]]
    return HEADER + "".join(f"{p},{float(e) + east},{n},{z}\n" for p, e, n, z in rows)


THICKENING = '[[thickening]]\nname = "beam"\nwidth = "1 ft"\ndepth = "6 in"\n'

FAULTS = {
    # the job file
    "an empty job": Fault(("units is missing", "never guessed"), job=""),
    "a job that is a CSV": Fault(("no job file", "gradevol describe job.toml"), job=SHOTS),
    "a job in UTF-16": Fault(("not UTF-8", "Save the job"), job=JOB.encode("utf-16")),
    "a binary job": Fault(("no job file",), job=b"\x89PNG\r\n\x1a\n" + bytes(64)),
    "no units": Fault(("units is missing",), job=JOB.replace('units = "ft"\n', "")),
    "an unknown unit": Fault(("'yards'", "us-ft"), job=JOB.replace('"ft"', '"yards"')),
    "an unknown key": Fault(
        ("'thicknes'", "The nearest key known there is 'thickness'"),
        job=JOB.replace("thickness =", "thicknes ="),
    ),
    "a key in the wrong table": Fault(
        ("'title'", "above the first table"), job=JOB + 'title = "x"\n'
    ),
    "no top": Fault(("top is missing", "[top]"), job=JOB.split("[top]", maxsplit=1)[0]),
    "two tops": Fault(("top.level", "top.plane"), job=top("level = 1\nplane = [[0, 0, 1]]")),
    "no base": Fault(("base",), job=JOB.replace('shots = "shots.csv"\n', "")),
    "words for a length": Fault(("'six inches'",), job=JOB.replace("6 in", "six inches")),
    "a thickness below nought": Fault(("more than 0",), job=JOB.replace("6 in", "-6 in")),
    "a level that is no number": Fault(("not a finite number",), job=top("level = nan")),
    "a backslash in a path": Fault(
        ("line 4", "Write / in paths"), job=JOB.replace("shots.csv", "data\\shots.csv")
    ),
    "a least thickness above the design": Fault(
        ("least_thickness (7 in)", "thickness (6 in)"), job=slab('least_thickness = "7 in"')
    ),
    # the shots
    "no file of shots": Fault(("shots.csv is not there", "Check the name"), shots=None),
    "a folder of that name": Fault(("is a folder",), job=JOB.replace("shots.csv", ".")),
    "an empty file": Fault(("shots.csv: it is empty",), shots=""),
    "a header alone": Fault(("0 shots", "at least three"), shots=HEADER),
    "two shots": Fault(("2 shots", "at least three"), shots=HEADER + "1,0,0,1\n2,9,9,1\n"),
    "shots on one line": Fault(
        ("on one line",), shots=HEADER + "".join(f"{i},{2 * i},{i},99.5\n" for i in range(9))
    ),
    "shots at one place": Fault(
        ("shots stand at one place",), shots=HEADER + "".join(f"{i},4,3,99.5\n" for i in range(9))
    ),
    "a binary file": Fault(("binary file",), shots=bytes(range(256)) * 9),
    "a picture": Fault(("PNG picture",), shots=b"\x89PNG\r\n\x1a\n" + bytes(64)),
    "a word for a number": Fault(
        ("shots.csv, line 3", "'ten'"), shots=SHOTS.replace("2,0.0000", "2,ten")
    ),
    "not a number": Fault(
        ("shots.csv, line 3", "'nan'"), shots=SHOTS.replace("2,0.0000,3", "2,nan,3")
    ),
    "a number without end": Fault(
        ("shots.csv, line 3", "1e400"), shots=SHOTS.replace("2,0.0000,3", "2,1e400,3")
    ),
    "a shot off the Earth": Fault(
        ("the survey holds", "none on Earth is as large"),
        shots=SHOTS.replace("5,4.0000,0", "5,1e200,0"),
    ),
    "an elevation off the Earth": Fault(
        ("the survey holds",), shots=SHOTS.replace("5,4.0000,0.0000,99.5300", "5,4,0,1e99")
    ),
    "a top off the Earth": Fault(("top.level is the number 1e+300",), job=top("level = 1e300")),
    "forms off the Earth": Fault(
        ("forms.csv: the top holds",),
        job=top('shots = "forms.csv"'),
        files={"forms.csv": HEADER + "1,0,0,100\n2,1e99,0,100\n3,16,9,100\n"},
    ),
    # the slab
    "an edge off the Earth": Fault(("corner 2 of",), job=edge("[[0, 0], [1e99, 0], [9, 9]]")),
    "an edge off the Earth in a file": Fault(
        ("edge.csv: the outline holds",),
        job=edge('"edge.csv"'),
        files={"edge.csv": "easting,northing\n0,0\n1e99,0\n9,9\n"},
    ),
    "a bow-tie edge": Fault(
        ("self-intersection", "in order around it"), job=edge("[[0, 0], [16, 0], [0, 9], [16, 9]]")
    ),
    "an edge of two corners": Fault(("3 corners",), job=edge("[[0, 0], [16, 0]]")),
    "an edge on one line": Fault(("edge",), job=edge("[[0, 0], [8, 0], [16, 0]]")),
    "an opening outside": Fault(
        ("job.toml: Opening 1", "near E 31", "N 31"),
        job=slab("openings = [[[30, 30], [32, 30], [32, 32], [30, 32]]]"),
    ),
    "openings that leave nothing": Fault(
        ("leave nothing",), job=slab("openings = [[[-1, -1], [17, -1], [17, 10], [-1, 10]]]")
    ),
    "a side that is not there": Fault(("from 1 to 4",), job=JOB + THICKENING + "sides = [9]\n"),
    "a thickening outside": Fault(
        ("job.toml: beam does not lie within the slab",),
        job=JOB + THICKENING + "along = [[30, 0], [40, 0]]\n",
    ),
    # where they do not fit together
    "a survey elsewhere": Fault(
        ("does not meet the slab", "E 100.00 to 116.00", "E 0.00 to 16.00", "ft"),
        shots=shifted(SHOTS, 100),
    ),
    "northing and easting swapped": Fault(
        ("Northing and easting look swapped", "base.columns"),
        job=edge("[[5000, 0], [5016, 0], [5016, 9], [5000, 9]]"),
        shots=swapped(shifted(SHOTS, 5000)),
    ),
    "shots in metres": Fault(
        ("would fit the slab in m", "base.units"), shots=lattice_shots(scale=0.3048)
    ),
    "shots in inches": Fault(("would fit the slab in in",), job=edge(
        "[[500, 500], [516, 500], [516, 509], [500, 509]]"
    ), shots=HEADER + "".join(
        f"{k},{12 * (500 + 4 * (k % 5))},{12 * (500 + 3 * (k // 5))},1194\n" for k in range(20)
    )),
    "coverage under half": Fault(
        ("covers 33 % of the slab", "Shoot the rest", "allow_gaps"),
        job=edge("[[0, 0], [48, 0], [48, 9], [0, 9]]"),
    ),
    # the top
    "panels with a gap": Fault(
        ("leave a gap", "near E 8.25, N 4.50 ft"), job=panels(west="8", east="8.5")
    ),
    "panels that overlap": Fault(
        ("Panels 1 and 2", "overlap", "near E 7.75, N 4.50 ft"), job=panels(west="8", east="7.5")
    ),
    "a plane through a line": Fault(
        ("on one line",), job=top("plane = [[0, 0, 1], [8, 0, 1], [16, 0, 2]]")
    ),
    "a fall without a bearing": Fault(
        ("top.bearing is missing", "clockwise"), job=top('through = [0, 0, 1]\nfall = "2 %"')
    ),
    "edges whose rulings cross": Fault(
        ("cross",),
        job=top("between = [[[0, 0, 1], [16, 9, 1]], [[0, 9, 1], [16, 0, 1]]]"),
    ),
    "forms of two shots": Fault(
        ("forms.csv", "2 shots"),
        job=top('shots = "forms.csv"'),
        files={"forms.csv": HEADER + "1,0,0,100\n2,16,0,100\n"},
    ),
}  # fmt: skip


def assert_is_one_paragraph(stderr, says):
    assert stderr.startswith("Error: ")
    assert stderr.endswith(".\n")
    assert stderr.count("\n") == 1
    assert "Traceback" not in stderr
    assert ".." not in stderr.replace("...", "")
    assert len(stderr) < 700
    for words in says:
        assert words in stderr


def write(folder, fault):
    return write_job(folder, job=fault.job, shots=fault.shots, files=fault.files)


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_told_in_one_paragraph_and_no_file_is_written(invoke, tmp_path, name):
    fault = FAULTS[name]
    job = write(tmp_path, fault)
    before = sorted(tmp_path.iterdir())
    done = invoke("check", job, "--no-pictures", "--json")
    assert done.exit_code == 2
    assert done.stdout == ""
    assert_is_one_paragraph(done.stderr, fault.says)
    assert sorted(tmp_path.iterdir()) == before


def test_a_process_says_the_same(gradevol, tmp_path):
    fault = FAULTS["a binary file"]
    write(tmp_path, fault)
    before = sorted(tmp_path.iterdir())
    done = gradevol("check", "job.toml", cwd=tmp_path)
    assert (done.returncode, done.stdout) == (2, "")
    assert_is_one_paragraph(done.stderr, fault.says)
    assert sorted(tmp_path.iterdir()) == before


def test_a_job_that_is_not_there_is_wrong_usage(invoke, tmp_path):
    done = invoke("check", "nope.toml", cwd=tmp_path)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "'nope.toml' does not exist" in done.stderr
    assert list(tmp_path.iterdir()) == []


# What looks like a fault and is none.
FINE = {
    "a byte order mark and carriage returns": {
        "job": b"\xef\xbb\xbf" + JOB.replace("\n", "\r\n").encode(),
        "shots": b"\xef\xbb\xbf" + SHOTS.replace("\n", "\r\n").encode(),
    },
    "shots in UTF-16": {"shots": SHOTS.encode("utf-16")},
    "corners the other way round": {"job": edge("[[0, 0], [0, 9], [16, 9], [16, 0]]")},
    "the first corner once more": {"job": edge("[[0, 0], [16, 0], [16, 9], [0, 9], [0, 0]]")},
    "every shot twice": {"shots": SHOTS + SHOTS.split("\n", 1)[1]},
    "no ids": {"shots": "\n".join(row.split(",", 1)[1] for row in SHOTS.splitlines())},
    "no header": {
        "shots": SHOTS.split("\n", 1)[1],
        "job": JOB.replace('"shots.csv"', '"shots.csv"\ncolumns = "PENZ"'),
    },
}


@pytest.mark.usefixtures("unsimulated")
@pytest.mark.parametrize("name", FINE)
def test_what_only_looks_odd_gives_the_same_volume(invoke, tmp_path, name):
    done = invoke("check", write_job(tmp_path, **FINE[name]), "--no-pictures")
    assert (done.exit_code, done.stderr) == (0, "")
    assert "2.59 yd³ of concrete" in done.stdout
