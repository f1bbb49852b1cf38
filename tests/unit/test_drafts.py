import os
import threading
from pathlib import Path

import pytest

from gradevol.out.drafts import hold_draft
from gradevol.out.whole import whole_file, whole_folder

NAMES = ("plan.png", "report.html", "result.json", "new.csv")


def write_run(folder, number, names=NAMES):
    with whole_folder(folder, ours=[Path("sheet.pdf")]) as draft:
        for name in names:
            (draft / name).write_text(str(number))


def killed_at(step, run):
    """Run in a process of its own that is killed before its n-th move; whether it was."""
    child = os.fork()
    if child == 0:
        replace, done = Path.replace, 0

        def counted(self, target):
            nonlocal done
            done += 1
            if done == step:
                os._exit(9)
            return replace(self, target)

        Path.replace = counted  # type: ignore[method-assign]
        run()
        os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 9


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
@pytest.mark.parametrize("step", range(1, 10))
def test_a_run_killed_at_any_move_leaves_no_result_of_mixed_files(tmp_path, step):
    write_run(tmp_path, 1, ("plan.png", "report.html", "result.json"))
    (tmp_path / "sheet.pdf").write_text("1")
    (tmp_path / "mine.txt").write_text("mine")
    was_killed = killed_at(step, lambda: write_run(tmp_path, 2))
    assert was_killed == (step <= 8)  # four files away, four in
    held = {file.name: file.read_text() for file in tmp_path.iterdir() if file.is_file()}
    if "result.json" in held:
        assert held["result.json"] == held["plan.png"] == held["report.html"]
        assert held["mine.txt"] == "mine"

    with pytest.raises(ZeroDivisionError), whole_folder(tmp_path):  # puts back, and writes nothing
        raise ZeroDivisionError
    held = {file.name: file.read_text() for file in tmp_path.iterdir() if file.is_file()}
    old = {"plan.png": "1", "report.html": "1", "result.json": "1", "sheet.pdf": "1"}
    assert held == ({**old} if was_killed else dict.fromkeys(NAMES, "2")) | {"mine.txt": "mine"}
    assert not list(tmp_path.glob(".draft*"))


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_a_file_of_a_killed_run_is_cleared_by_the_next(tmp_path):
    def write(text):
        with whole_file(tmp_path / "slip.txt") as draft:
            draft.write_text(text)

    assert killed_at(1, lambda: write("old"))
    assert len(list(tmp_path.iterdir())) == 1
    write("new")
    assert [file.name for file in tmp_path.iterdir()] == ["slip.txt"]


def test_a_draft_whose_run_lives_is_left_alone(tmp_path):
    with hold_draft(tmp_path, "", is_folder=True, target=tmp_path) as draft:
        write_run(tmp_path, 1)
        assert draft.exists()


@pytest.mark.parametrize("is_new", [False, True])
def test_runs_into_one_folder_at_once_never_mix(tmp_path, is_new):
    folder = tmp_path / "out"
    if not is_new:
        write_run(folder, 0)
    runs = [threading.Thread(target=write_run, args=(folder, number)) for number in range(1, 9)]
    for run in runs:
        run.start()
    for run in runs:
        run.join()
    assert len({(folder / name).read_text() for name in NAMES}) == 1
    assert sorted(file.name for file in folder.iterdir()) == sorted(NAMES)
    assert list(tmp_path.iterdir()) == [folder]


@pytest.mark.parametrize("name", ["job[1]", "job**", "?"])
def test_marks_of_a_search_in_a_name_are_letters(tmp_path, name):
    # as browsers name what is fetched twice
    dead, other = (tmp_path / f".draft-0123abcd-{each}" for each in (name, "job1"))
    dead.mkdir()
    other.mkdir()
    write_run(tmp_path / name, 1)
    assert (tmp_path / name / "result.json").read_text() == "1"
    assert [draft.name for draft in tmp_path.glob(".draft*")] == [other.name]
