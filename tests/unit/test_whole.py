import errno
import os
import signal
from pathlib import Path

import pytest

from gradevol.ground.errors import GeometryError, InputError
from gradevol.out.whole import whole_file, whole_folder, write_text


def names_in(folder):
    return sorted(str(path.relative_to(folder)) for path in folder.rglob("*"))


def write_file(path, text, trouble=None):
    with whole_file(path) as draft:
        draft.write_text(text)
        if trouble is not None:
            raise trouble


def write_folder(path, names, trouble=None):
    with whole_folder(path) as draft:
        for name in names:
            (draft / name).write_text("new")
        if trouble is not None:
            raise trouble


def test_text_has_the_same_bytes_on_every_system(tmp_path):
    write_text(tmp_path / "told.txt", "2 m²\nthin\n")
    assert (tmp_path / "told.txt").read_bytes() == "2 m²\nthin\n".encode()


def test_a_file_appears_when_it_is_written(tmp_path):
    with whole_file(tmp_path / "a.txt") as draft:
        draft.write_text("new")
        assert draft.suffix == ".txt"  # some writers go by it
        assert not (tmp_path / "a.txt").exists()

    assert (tmp_path / "a.txt").read_text() == "new"
    assert names_in(tmp_path) == ["a.txt"]


@pytest.mark.parametrize("trouble", [KeyboardInterrupt(), GeometryError("no surface")])
def test_a_file_that_fails_leaves_the_old_one(tmp_path, trouble):
    (tmp_path / "a.txt").write_text("old")

    with pytest.raises((KeyboardInterrupt, GeometryError)):
        write_file(tmp_path / "a.txt", "half", trouble)

    assert (tmp_path / "a.txt").read_text() == "old"
    assert names_in(tmp_path) == ["a.txt"]


def test_a_file_in_a_folder_that_is_not_there_is_refused_by_name(tmp_path):
    with pytest.raises(InputError, match=r"nowhere.a\.txt: it can't be written: no such file"):
        write_file(tmp_path / "nowhere" / "a.txt", "new")


def test_a_new_folder_appears_with_all_its_files(tmp_path):
    with whole_folder(tmp_path / "jobs" / "apron") as draft:
        (draft / "a.txt").write_text("a")
        (draft / "b").mkdir()
        (draft / "b" / "c.txt").write_text("c")
        assert not (tmp_path / "jobs" / "apron").exists()

    assert names_in(tmp_path) == [
        "jobs",
        str(Path("jobs/apron")),
        str(Path("jobs/apron/a.txt")),
        str(Path("jobs/apron/b")),
        str(Path("jobs/apron/b/c.txt")),
    ]


def test_a_folder_that_fails_leaves_nothing_behind(tmp_path):
    with pytest.raises(KeyboardInterrupt):
        write_folder(tmp_path / "jobs" / "apron", ["a.txt"], KeyboardInterrupt())

    assert names_in(tmp_path) == []


def test_ours_are_replaced_and_others_left_alone(tmp_path):
    (tmp_path / "a.txt").write_text("old")
    (tmp_path / "mine.txt").write_text("mine")

    with whole_folder(tmp_path) as draft:
        (draft / "a.txt").write_text("new")
        (draft / "b.txt").write_text("new")

    assert names_in(tmp_path) == ["a.txt", "b.txt", "mine.txt"]
    assert (tmp_path / "a.txt").read_text() == "new"
    assert (tmp_path / "mine.txt").read_text() == "mine"


def test_the_folder_one_stands_in_can_be_written_to(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    with whole_folder(Path()) as draft:
        (draft / "a.txt").write_text("a")

    assert names_in(tmp_path) == ["a.txt"]


@pytest.mark.parametrize("is_done", [False, True], ids=["before", "after"])
@pytest.mark.parametrize("stop_at", range(1, 7))
def test_an_interrupt_at_any_move_puts_all_back(tmp_path, monkeypatch, stop_at, is_done):
    for name in ("a.txt", "c.txt", "mine.txt"):
        (tmp_path / name).write_text("old")
    calls = 0
    replace = Path.replace

    def interrupted(self, target):
        nonlocal calls
        calls += 1
        if calls == stop_at and not is_done:
            raise KeyboardInterrupt
        moved = replace(self, target)
        if calls == stop_at:
            raise KeyboardInterrupt
        return moved

    monkeypatch.setattr(Path, "replace", interrupted)
    # four new files, two of them in place of old ones: six moves
    with pytest.raises(KeyboardInterrupt):
        write_folder(tmp_path, ["a.txt", "b.txt", "c.txt", "d.txt"])

    assert names_in(tmp_path) == ["a.txt", "c.txt", "mine.txt"]
    assert all(path.read_text() == "old" for path in tmp_path.iterdir())


def test_a_file_that_can_not_be_replaced_puts_the_others_back(tmp_path):
    (tmp_path / "a.txt").write_text("old")
    (tmp_path / "b.txt").mkdir()

    with pytest.raises(InputError, match="can't be written"):
        write_folder(tmp_path, ["a.txt", "b.txt"])

    assert (tmp_path / "a.txt").read_text() == "old"
    assert names_in(tmp_path) == ["a.txt", "b.txt"]


def test_a_file_where_the_folder_should_be_is_refused(tmp_path):
    (tmp_path / "apron").write_text("a file")

    with (
        pytest.raises(InputError, match=r"apron: it is a file, where a folder"),
        whole_folder(tmp_path / "apron"),
    ):
        pytest.fail("there is nothing to write to")

    assert (tmp_path / "apron").read_text() == "a file"


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write")
def test_a_folder_without_leave_to_write_is_refused_with_its_name(tmp_path):
    (tmp_path / "locked").mkdir(mode=0o500)

    with (
        pytest.raises(InputError, match=r"locked.apron: it can't be written: permission denied"),
        whole_folder(tmp_path / "locked" / "apron"),
    ):
        pytest.fail("there is nothing to write to")


@pytest.mark.parametrize(
    ("number", "said"), [(errno.ENOSPC, "No space left on device"), (errno.EFBIG, "File too large")]
)
def test_a_full_disk_is_told_and_leaves_nothing(tmp_path, number, said):
    with (
        pytest.raises(InputError, match=rf"{said.lower()}\. Close any program"),
        whole_folder(tmp_path / "apron"),
    ):
        raise OSError(number, said)

    assert names_in(tmp_path) == []


def test_other_troubles_of_files_are_not_taken_for_ours(tmp_path):
    other = tmp_path / "shots.csv"

    with (
        pytest.raises(FileNotFoundError, match=r"shots\.csv"),
        whole_folder(tmp_path / "apron"),
    ):
        other.read_text()


@pytest.mark.skipif(os.name == "nt", reason="no such signal to oneself")
def test_control_c_leaves_nothing_half_written(tmp_path):
    def interrupt_oneself():
        with whole_folder(tmp_path / "apron") as draft:
            (draft / "a.txt").write_text("half")
            os.kill(os.getpid(), signal.SIGINT)

    held = signal.signal(signal.SIGINT, signal.default_int_handler)  # which a shell may pass by
    try:
        with pytest.raises(KeyboardInterrupt):
            interrupt_oneself()
    finally:
        signal.signal(signal.SIGINT, held)

    assert names_in(tmp_path) == []


def test_what_is_ours_and_not_written_again_is_taken_away_and_the_rest_left(tmp_path):
    write_folder(tmp_path / "out", ["result.json", "sheet.pdf"])
    (tmp_path / "out" / "mine.txt").write_text("mine")
    (tmp_path / "out" / "exports").mkdir()
    (tmp_path / "out" / "exports" / "base.ply").write_text("old")
    ours = [Path("sheet.pdf"), Path("exports/base.ply")]

    with whole_folder(tmp_path / "out", ours=ours) as draft:
        (draft / "result.json").write_text("newer")

    assert names_in(tmp_path / "out") == ["mine.txt", "result.json"]


def test_what_is_ours_stays_where_a_file_cannot_be_put_in_its_place(tmp_path):
    write_folder(tmp_path / "out", ["sheet.pdf"])
    (tmp_path / "out" / "result.json").mkdir()

    with (
        pytest.raises(InputError),
        whole_folder(tmp_path / "out", ours=[Path("sheet.pdf")]) as draft,
    ):
        (draft / "result.json").write_text("new")

    assert (tmp_path / "out" / "sheet.pdf").read_text() == "new"


def test_a_drive_that_is_not_there_is_told(tmp_path, monkeypatch):
    # as Z: on Windows, of which not even the root is there
    def refuse(path, **_):
        raise FileNotFoundError(2, "No such file or directory", str(path))

    monkeypatch.setattr(Path, "exists", lambda *_, **__: False)
    monkeypatch.setattr(Path, "mkdir", refuse)
    with (
        pytest.raises(InputError, match="it can't be written: no such file"),
        whole_folder(tmp_path / "z" / "out"),
    ):
        pytest.fail("there is nothing to write to")
