"""Reading text files: what is no ordinary UTF-8 file is refused, soon and in plain words."""
# ruff: noqa: E501  (a case to a line)

import errno
import os
import time
from pathlib import Path

import pytest

from suncover.base.errors import FileFaults
from suncover.base.textfile import printable, read_text


def complaint(path: Path | str, most_bytes: int = 1000) -> str:
    start = time.monotonic()
    with pytest.raises(FileFaults) as caught:
        read_text(path, most_bytes)
    assert time.monotonic() - start < 2
    return str(caught.value)


def written(folder: Path, data: bytes) -> Path:
    path = folder / "file.toml"
    path.write_bytes(data)
    return path


def test_text_is_read_whole(tmp_path):
    assert read_text(written(tmp_path, "Küche\r\n".encode()), 1000) == "Küche\r\n"


def test_a_byte_order_mark_is_dropped(tmp_path):
    assert read_text(written(tmp_path, b"\xef\xbb\xbfa = 1"), 1000) == "a = 1"


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"a = 1\nb = 'K\xfcche'\n", ':2:7: byte 0xFC (in Latin-1 it would be "ü") is not valid UTF-8 here; save the file as UTF-8'),
        ("ä\u00e9".encode() + b"\xe9", ":1:3: byte 0xE9"),
        (b"a = '\x80'", ":1:6: byte 0x80 is not valid UTF-8"),
        (b"a = 1\n\0", ":2:1: there is a NUL byte here, so this is not a text file"),
        (b"\x7fELF\0\xff", ":1:5: there is a NUL byte"),
        ("a = 1".encode("utf-16"), ":1: the file is in UTF-16; save it as UTF-8"),
        (b"#" * 1001, ": the file is too large; at most 0.001 MB are read"),
    ],
)  # fmt: skip
def test_what_is_no_utf8_text_is_refused_with_its_place(tmp_path, data, message):
    path = written(tmp_path, data)
    assert complaint(path).startswith(f"{path}{message}")


def test_a_file_of_just_the_size_allowed_is_read(tmp_path):
    assert len(read_text(written(tmp_path, b"#" * 1000), 1000)) == 1000


def test_a_missing_file(tmp_path):
    assert complaint(tmp_path / "no.toml") == f"{tmp_path}/no.toml: there is no such file"


def test_a_path_through_a_file(tmp_path):
    path = written(tmp_path, b"") / "x"
    assert complaint(path) == f"{path}: there is no such file: a part of its path is not a folder"


def test_a_folder(tmp_path):
    assert complaint(tmp_path) == f"{tmp_path}: this is a folder; name a file in it"


def test_a_dash_is_the_name_of_a_file():
    assert complaint("-") == "-: there is no such file"


def test_a_pipe_without_a_writer_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    assert "not an ordinary file" in complaint(tmp_path / "pipe")


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="has no /dev/zero")
def test_a_device_without_end_is_not_read():
    assert "not an ordinary file" in complaint("/dev/zero")


def test_a_name_that_no_file_can_have():
    assert complaint("a\0b") == "a\\x00b: this is not the name of a file"
    assert "its name is too long" in complaint("a" * 5000)


def test_links_in_a_circle(tmp_path):
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    assert "its links go round in a circle" in complaint(tmp_path / "a")


@pytest.mark.parametrize(
    ("number", "message"),
    [
        (errno.EACCES, "you are not allowed to read this file"),
        (errno.EIO, f"it cannot be read: {os.strerror(errno.EIO)}"),
    ],
    ids=["permission denied", "broken disk"],
)
def test_what_the_system_refuses(monkeypatch, number, message):
    """The superuser may read all, so the refusal is played."""

    def refuse(*_: object) -> int:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "open", refuse)
    assert complaint("house.toml") == f"house.toml: {message}"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Küche 窓", "Küche 窓"),
        ("a\nb\x1b[2J", "a\\nb\\x1b[2J"),
        ("\u202egnp", "\\u202egnp"),
        ("\udcff", "\\udcff"),
    ],
)
def test_control_characters_are_written_as_escapes(text, shown):
    assert printable(text) == shown
