"""Reading within a limit and writing without loss: devices, pipes, links, long names."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from pairing.errors import PairingError
from pairing.files import mode_of, read_text, write_atomically

DEVICE = Path("/dev/zero")
needs_device = pytest.mark.skipif(not DEVICE.exists(), reason="this system has no /dev/zero")


def test_text_comes_back_without_its_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes("\ufeffcafé\n".encode())
    assert read_text(path, 100) == "café\n"


def test_the_limit_is_the_last_byte_that_is_read(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(b"x" * 100)
    assert len(read_text(path, 100)) == 100
    with pytest.raises(PairingError, match="the most that is read"):
        read_text(path, 99)


@pytest.mark.parametrize(
    ("content", "says"), [(b"\xff\xfe", r"not UTF-8 text \(byte 0\)"), (b"a\0b", "NUL bytes")]
)
def test_what_is_no_text_is_refused(tmp_path: Path, content: bytes, says: str) -> None:
    path = tmp_path / "a.csv"
    path.write_bytes(content)
    with pytest.raises(PairingError, match=says):
        read_text(path, 100)


@needs_device
def test_a_device_is_not_read() -> None:
    with pytest.raises(PairingError, match="device or pipe"):
        read_text(DEVICE, 100)


def test_pipes_and_folders_are_neither_read_nor_replaced(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path, says in ((pipe, "device or pipe"), (tmp_path, "is a folder")):
        before = mode_of(path)
        with pytest.raises(PairingError, match=says):
            read_text(path, 100)
        with pytest.raises(PairingError, match=says):
            write_atomically(path, "x")
        assert mode_of(path) == before
    assert [p.name for p in tmp_path.iterdir()] == ["pipe"]


def test_a_device_behind_a_link_is_not_replaced(tmp_path: Path) -> None:
    link = tmp_path / "link"
    link.symlink_to(os.devnull)
    with pytest.raises(PairingError, match="device or pipe"):
        write_atomically(link, "x")
    assert link.is_symlink()


@pytest.mark.parametrize("there", [True, False])
def test_a_link_is_followed_and_stays(tmp_path: Path, there: bool) -> None:
    (tmp_path / "far").mkdir()
    target, link = tmp_path / "far" / "t.csv", tmp_path / "l.csv"
    if there:
        target.write_text("old")
    link.symlink_to(target)
    write_atomically(link, "new")
    assert link.is_symlink()
    assert target.read_text() == "new"
    assert [p.name for p in (tmp_path / "far").iterdir()] == ["t.csv"]


@pytest.mark.parametrize("name", ["a" * 300, "no/such/folder.csv"])
def test_a_place_that_cannot_be_is_one_line(tmp_path: Path, name: str) -> None:
    with pytest.raises(PairingError, match=r"name too long|no folder") as caught:
        write_atomically(tmp_path / name, "x")
    assert "\n" not in str(caught.value)


def test_a_loop_of_links_is_one_line(tmp_path: Path) -> None:
    loop = tmp_path / "loop"
    loop.symlink_to(loop)
    for call in (lambda: write_atomically(loop, "x"), lambda: read_text(loop, 9)):
        with pytest.raises(PairingError, match="symbolic links"):
            call()
    assert loop.is_symlink()
