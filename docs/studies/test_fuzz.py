"""What the fuzz leaves out must not change what it weighs."""

import pytest

from docs.studies.fuzz_cases import find_cases

#: Notes that only a whole check finds: of the interval, the fix list and the falls.
LEFT_OUT = {
    *("interval-few-shots", "interval-fit-failed", "interval-forms", "interval-rows"),
    *("fix-list-cut", "top-flat", "top-flat-at-tie-in", "top-holds-water"),
    *("order-without-allowance", "order-without-margin", "pours-leave-rest"),
}


@pytest.fixture(scope="module")
def good_files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("good") / "files"
    return folder, {case.name: case for case in find_cases(folder)}


@pytest.mark.parametrize(
    "name",
    [
        *("comma.csv", "cloud.las", "faces.stl", "sheet.csv", "top.csv", "rechecks.csv"),
        *("tickets", "cores.csv after", "samples: courtyard edge.csv", "samples: apron job.toml"),
    ],
)
def test_a_quick_check_finds_what_a_whole_one_finds(good_files, name):
    folder, cases = good_files
    case = cases[name]
    quick, whole = (case.road(folder / case.folder, is_quick) for is_quick in (True, False))
    assert (quick.volume, quick.count) == (whole.volume, whole.count)
    assert quick.said <= whole.said
    assert whole.said - quick.said <= LEFT_OUT
