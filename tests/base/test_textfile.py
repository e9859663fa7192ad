"""Reading text files: what is no ordinary UTF-8 file is refused, soon and in plain words."""

import errno
import os
import time
from pathlib import Path

import pytest

from suncover.base.errors import FileFaults
from suncover.base.textfile import printable, read_text


def complaint(path):
    start = time.monotonic()
    with pytest.raises(FileFaults) as caught:
        read_text(path, 1000)
    assert time.monotonic() - start < 2
    return str(caught.value)


def written(folder, data):
    path = folder / "file.toml"
    path.write_bytes(data)
    return path


@pytest.mark.parametrize(
    ("data", "text"),
    [
        ("Küche\r\n".encode(), "Küche\r\n"),
        (b"\xef\xbb\xbfa = 1", "a = 1"),
        (b"#" * 1000, "#" * 1000),
    ],
    ids=["whole", "byte order mark", "of just the size allowed"],
)
def test_text_is_read(tmp_path, data, text):
    assert read_text(written(tmp_path, data), 1000) == text


NUL = "there is a NUL byte here, so this is not a text file"


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (
            b"a = 1\nb = 'K\xfcche'\n",
            ':2:7: byte 0xFC (in Latin-1 it would be "ü") is not valid UTF-8 here; '
            "save the file as UTF-8",
        ),
        ("ä\u00e9".encode() + b"\xe9", ":1:3: byte 0xE9"),
        (b"a = '\x80'", ":1:6: byte 0x80 is not valid UTF-8"),
        (b"a = 1\n\0", f":2:1: {NUL}"),
        (b"\x7fELF\0\xff", f":1:5: {NUL}"),
        ("a = 1".encode("utf-16"), ":1: the file is in UTF-16; save it as UTF-8"),
        (b"#" * 1001, ": the file is too large; at most 0.001 MB are read"),
    ],
    ids=["Latin-1", "letters", "stray byte", "NUL", "binary", "UTF-16", "too large"],
)
def test_what_is_no_utf8_text_is_refused_with_its_place(tmp_path, data, message):
    path = written(tmp_path, data)
    assert complaint(path).startswith(f"{path}{message}")


def test_what_is_no_file(tmp_path):
    assert complaint(tmp_path / "no.toml") == f"{tmp_path}/no.toml: there is no such file"
    through = written(tmp_path, b"") / "x"
    part = "there is no such file: a part of its path is not a folder"
    assert complaint(through) == f"{through}: {part}"
    assert complaint(tmp_path) == f"{tmp_path}: this is a folder; name a file in it"
    assert complaint("-") == "-: there is no such file"
    assert complaint("a\0b") == "a\\x00b: this is not the name of a file"
    assert "its name is too long" in complaint("a" * 5000)
    (tmp_path / "a").symlink_to(tmp_path / "b")
    (tmp_path / "b").symlink_to(tmp_path / "a")
    assert "its links go round in a circle" in complaint(tmp_path / "a")


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="has no /dev/zero")
def test_a_pipe_without_a_writer_and_a_device_without_end_are_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe")
    for path in (tmp_path / "pipe", "/dev/zero"):
        assert "not an ordinary file" in complaint(path)


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

    def refuse(*_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, "open", refuse)
    assert complaint("house.toml") == f"house.toml: {message}"


def test_control_characters_are_written_as_escapes():
    for text, shown in (
        ("Küche 窓", "Küche 窓"),
        ("a\nb\x1b[2J", "a\\nb\\x1b[2J"),
        ("\u202egnp", "\\u202egnp"),
        ("\udcff", "\\udcff"),
    ):
        assert printable(text) == shown
