"""The file of shots on a finished top: of the top alone."""

import pytest

from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.runs.reconcile import reconcile_job
from tests.small_job import HEADER, JOB, SHOTS, write_job
from tests.workbooks import Sheet, write_workbook

pytestmark = pytest.mark.usefixtures("unsimulated")

CODED = SHOTS.replace("elevation\n", "elevation,code\n").replace("\n", ",BASE\n").replace(
    "code,BASE", "code", 1
)  # fmt: skip
TOP = "".join(f"T{at},{1 + at},{1 + at % 3 * 3},100.00,TOP\n" for at in range(14))


#: The base by rod on a field sheet, from one setup that is listed, and the top by rod from it too.
SHEET = ",0,4,8,12,16,setup\n0,4.5,4.5,4.5,4.5,4.5,1\n9,4.5,4.5,4.5,4.5,4.5,1\n"
RODS = JOB.replace('shots = "shots.csv"', 'rods = "rods.csv"\nsetups.1 = { height = 104.0 }')
ROD_TOP = "point,setup,easting,northing,rod\nA,1,2,2,3.99\nB,1,14,2,3.99\nC,1,8,8,3.99\n"


def reconcile_with(folder, top_shots, *, text=None, **files):
    files |= {"tickets.csv": "load,volume_yd3\n1,2.9\n", "top.csv": top_shots}
    files = {name.replace("_", "."): held for name, held in files.items()}
    text = text or JOB.replace("[slab]", 'codes = ["base"]\n[slab]')
    files = {"shots.csv": CODED, **files}
    job = read_job(write_job(folder, job=text, files=files))
    return reconcile_job(job, folder / "tickets.csv", top_shots=folder / "top.csv")


def test_a_file_of_all_shots_of_the_job_is_refused_by_the_bases_own_descriptions(tmp_path):
    few = "".join(CODED.splitlines(keepends=True)[1:4])
    with pytest.raises(InputError, match=r"3 shots stand under a description .* base: 1, 2, 3"):
        reconcile_with(tmp_path, HEADER.replace("\n", ",code\n") + TOP + few)


def test_a_file_of_the_top_alone_is_taken(tmp_path):
    done = reconcile_with(tmp_path, HEADER.replace("\n", ",code\n") + TOP)
    assert done.found.account.row("top").volume == pytest.approx(0, abs=1e-6)


def test_a_workbook_of_the_top_need_not_have_a_sheet_of_the_bases_name(tmp_path):
    def sheet(text, name):
        head, *rows = (line.split(",") for line in text.splitlines())
        return Sheet([head, *([float(cell) for cell in row] for row in rows)], name=name)

    top = "".join(f"{at},{1 + at},{1 + at % 3 * 3},100\n" for at in range(14))
    base = write_workbook(sheet(SHOTS, "Base"), sheet(SHOTS, "Old"))
    text = JOB.replace('"shots.csv"', '"base.xlsx"\nsheet = "Base"')
    made = write_workbook(sheet(HEADER + top, "Top"))
    done = reconcile_with(tmp_path, made, text=text, base_xlsx=base)
    assert done.found.account.row("top").volume == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(("unit", "scale"), [("ft", 1.0), ("m", 0.3048)])
def test_a_file_without_a_header_is_read_as_the_bases_is(tmp_path, unit, scale):
    def write(places):
        rows = (f"{at},{','.join(f'{scale * x:.5f}' for x in row)}\n" for at, row in places)
        return "".join(rows)

    text = JOB.replace("[slab]", f'units = "{unit}"\ncolumns = "PENZ"\n[slab]')
    base = enumerate((e, n, 99.5) for e in (0, 5, 11, 16) for n in (0, 4, 9))
    # it falls from east to west: swapped, it would be another top
    top = list(enumerate((e, n, 100 + e / 100) for e, n in [(1, 1), (8, 1), (8, 8), (1, 8)]))
    bare = reconcile_with(tmp_path / "bare", write(top), text=text, shots_csv=write(base))
    feet = HEADER + "".join(f"{at},{e},{n},{z}\n" for at, (e, n, z) in top)
    headed = reconcile_with(tmp_path / "headed", feet.replace("tion", "tion_ft"))
    volumes = [done.found.account.row("top").volume for done in (bare, headed)]
    assert volumes[0] == pytest.approx(volumes[1], rel=1e-3)


def test_rods_on_the_top_are_taken_off_the_setups_of_a_sheet_too(tmp_path):
    done = reconcile_with(tmp_path, ROD_TOP, text=RODS, rods_csv=SHEET)
    assert done.found.account.row("top").volume == pytest.approx(0.01 * 144 * 0.3048**3, rel=1e-3)


def test_rods_on_the_top_that_name_no_setup_are_not_taken_off_that_of_the_base(tmp_path):
    unnamed = ROD_TOP.replace("setup,", "").replace(",1,", ",")
    with pytest.raises(InputError, match="a shot names no setup"):
        reconcile_with(tmp_path, unnamed, text=RODS, rods_csv=SHEET)
