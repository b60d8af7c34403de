"""Files inside one folder: whole or not at all, and never outside of it."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rungwise.tutor.files.tree import FolderTree, OutsideError, only_one

links = pytest.mark.skipif(os.name == "nt", reason="links need rights on Windows")


def mode(path: Path) -> int:
    return stat.S_IMODE(path.lstat().st_mode)


def everything(folder: Path) -> list[str]:
    return sorted(str(p.relative_to(folder)) for p in folder.rglob("*"))


@links
def test_what_is_private_is_for_its_owner_only(tmp_path: Path) -> None:
    (tmp_path / "keys").mkdir(mode=0o755)
    tree = FolderTree(tmp_path, private="keys")
    before = os.umask(0o022)
    try:
        tree.write("keys/01-ann/key.pdf", b"k")
        tree.write("students/01-ann/sheet.pdf", b"s")
    finally:
        os.umask(before)
    assert mode(tmp_path / "keys") == mode(tmp_path / "keys/01-ann") == 0o700
    assert mode(tmp_path / "keys/01-ann/key.pdf") == 0o600
    assert mode(tmp_path / "students/01-ann/sheet.pdf") == 0o644
    assert everything(tmp_path) == [
        *("keys", "keys/01-ann", "keys/01-ann/key.pdf"),
        *("students", "students/01-ann", "students/01-ann/sheet.pdf"),
    ]


@given(st.text(max_size=30))
def test_no_name_leads_out(name: str) -> None:
    root = Path("/nowhere")
    try:
        path = FolderTree(root, private="keys").path(name)
    except OutsideError:
        return
    assert os.path.normpath(path) == str(path)
    assert path.is_relative_to(root) and path != root


@pytest.mark.parametrize(
    "path", ["../x", "a/../../x", "/etc/x", "a//x", "a/.", "C:\\x", "a/con.", "a\0b", "~", "", "a/"]
)
def test_paths_that_are_refused(tmp_path: Path, path: str) -> None:
    with pytest.raises(OutsideError):
        FolderTree(tmp_path, private="keys").write(path, b"")
    assert not everything(tmp_path)


@links
def test_links_inside_are_not_followed(tmp_path: Path) -> None:
    out, elsewhere = tmp_path / "out", tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "mine.txt").write_text("mine")
    (out / "students").mkdir(parents=True)
    (out / "students/01-ann").symlink_to(elsewhere)
    (out / "keys").symlink_to(elsewhere)
    tree = FolderTree(out, private="keys")
    for path in ("students/01-ann/mine.txt", "keys/mine.txt", "keys/01-ann/key.pdf"):
        with pytest.raises(OutsideError, match="link"):
            tree.write(path, b"no")
        with pytest.raises(OutsideError, match="link"):
            tree.remove(path.replace("01-ann/key.pdf", "mine.txt"))
    (out / "students/02-bo").mkdir()
    (out / "students/02-bo/sheet.pdf").symlink_to(elsewhere / "mine.txt")
    assert tree.read("students/02-bo/sheet.pdf", 100) is None
    tree.write("students/02-bo/sheet.pdf", b"a file of its own")
    assert (elsewhere / "mine.txt").read_text() == "mine"
    assert everything(elsewhere) == ["mine.txt"]


@links
def test_the_folder_itself_may_be_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "real")
    FolderTree(tmp_path / "out", private="keys").write("students/01-a/x.txt", b"x")
    assert (tmp_path / "real/students/01-a/x.txt").read_bytes() == b"x"


def test_a_failed_write_leaves_what_was_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tree = FolderTree(tmp_path, private="keys")
    tree.write("students/a.txt", b"old")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        tree.write("students/a.txt", b"new")
    monkeypatch.undo()
    assert everything(tmp_path) == ["students", "students/a.txt"]
    assert tree.read("students/a.txt", 10) == b"old"


@links
def test_what_a_killed_run_left_is_no_hindrance(tmp_path: Path) -> None:
    tree = FolderTree(tmp_path, private="keys")
    tree.folder("students")
    left = tmp_path / "students/.a.txt.part"
    left.write_bytes(b"hal")
    tree.write("students/a.txt", b"whole")
    (tmp_path / "mine").write_text("mine")
    left.symlink_to(tmp_path / "mine")
    tree.write("students/a.txt", b"whole again")
    assert (tmp_path / "mine").read_text() == "mine"
    assert everything(tmp_path / "students") == ["a.txt"]


@links
def test_reading_waits_for_no_pipe_and_takes_no_more_than_allowed(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "long").write_bytes(b"x" * 11)
    (tmp_path / "folder").mkdir()
    tree = FolderTree(tmp_path, private="keys")
    assert [tree.read(name, 10) for name in ("pipe", "long", "folder", "none")] == [None] * 4
    assert tree.read("long", 11) == b"x" * 11


def test_what_is_not_ours_is_put_aside_under_a_free_name(tmp_path: Path) -> None:
    tree = FolderTree(tmp_path, private="keys")
    for content in (b"1", b"2"):
        tree.write("students/a.csv", content)
        aside = tree.put_aside("students/a.csv")
    assert aside == "students/a.csv.kept-2"
    assert tree.read("students/a.csv.kept-1", 9) == b"1" and tree.read(aside, 9) == b"2"


def test_a_folder_is_worked_in_by_one_at_a_time(tmp_path: Path) -> None:
    mark = tmp_path / ".making"
    with only_one(mark) as first, only_one(mark) as second:
        assert first and not second
    with only_one(mark) as third:
        assert third
