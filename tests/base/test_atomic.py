"""Files that appear whole or not at all, also when disk, folder or user is in the way."""

import os
import stat
import threading
from pathlib import Path

import pytest

from suncover.base.atomic import write_all, write_atomically
from suncover.base.errors import RequestError


def names_in(folder):
    return sorted(path.name for path in folder.iterdir())


def test_a_new_file_has_the_permissions_of_the_umask_and_an_old_one_keeps_its_own(tmp_path):
    file = tmp_path / "plan.csv"
    before = os.umask(0o027)
    try:
        write_atomically(file, b"a\r\n")
    finally:
        os.umask(before)
    assert (file.read_bytes(), stat.S_IMODE(file.stat().st_mode)) == (b"a\r\n", 0o640)
    file.chmod(0o604)
    with file.open("rb") as reader:
        write_atomically(str(file), b"n")
        assert reader.read() == b"a\r\n", "who has the old file open still reads it whole"
    assert (file.read_bytes(), stat.S_IMODE(file.stat().st_mode)) == (b"n", 0o604)
    assert names_in(tmp_path) == ["plan.csv"]


def test_a_symbolic_link_stays_and_its_file_is_written(tmp_path):
    (tmp_path / "real").mkdir()
    link, file = tmp_path / "link.csv", tmp_path / "real" / "plan.csv"
    link.symlink_to(file)
    for content in (b"first", b"second"):  # the link dangles at first
        write_atomically(link, content)
        assert link.is_symlink()
        assert file.read_bytes() == content
    assert names_in(tmp_path / "real") == ["plan.csv"]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_named_pipe_and_a_device_are_written_to(tmp_path):
    pipe, received = tmp_path / "pipe", []
    os.mkfifo(pipe)
    reader = threading.Thread(target=lambda: received.append(pipe.read_bytes()))
    reader.start()
    write_atomically(pipe, b"through the pipe")
    reader.join(timeout=10)
    assert received == [b"through the pipe"]
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    write_atomically(os.devnull, b"gone")
    assert not Path(os.devnull).is_file()


@pytest.mark.skipif(not Path("/dev/fd").exists(), reason="no /dev/fd here")
def test_a_stream_that_leads_to_a_file_gets_the_bytes_after_what_it_has(tmp_path):
    with (tmp_path / "out.csv").open("ab") as stream:
        stream.write(b"before ")
        stream.flush()
        write_atomically(f"/dev/fd/{stream.fileno()}", b"after")
    assert (tmp_path / "out.csv").read_bytes() == b"before after"
    assert names_in(tmp_path) == ["out.csv"]


def test_a_folder_in_the_way_a_missing_one_and_a_doubled_name_are_all_named(tmp_path):
    missing = tmp_path / "no" / "plan.ics"
    same = tmp_path / "sub" / ".." / "plan.csv"
    with pytest.raises(RequestError) as caught:
        write_all({tmp_path: b"", missing: b"", tmp_path / "plan.csv": b"", same: b""})
    assert str(caught.value).splitlines() == [
        f"{same}: this is the same file as {tmp_path / 'plan.csv'}; name two different files",
        f"{tmp_path}: this is a folder; name a file in it",
        f"{missing}: there is no folder {missing.parent}; make it first, or name another",
    ]
    assert names_in(tmp_path) == []
    # Control characters in a path neither break a message nor steer the screen.
    with pytest.raises(RequestError) as caught:
        write_atomically(tmp_path / "a\n\x1b[31mb" / "plan.csv", b"")
    assert str(caught.value).isprintable()


def test_a_write_protected_file_is_left_alone(tmp_path, monkeypatch):
    """Whoever runs the test as root may write anything, so the system's answer is stood in for."""
    file = tmp_path / "plan.csv"
    file.write_bytes(b"old")
    monkeypatch.setattr(os, "access", lambda path, mode: not (path == file and mode == os.W_OK))
    with pytest.raises(RequestError) as caught:
        write_atomically(file, b"new")
    told = "this file is write-protected; name another, or allow writing to it"
    assert str(caught.value) == f"{file}: {told}"
    assert file.read_bytes() == b"old"


def raising(error):
    def fail(*_):
        raise error

    return fail


def test_a_full_disk_or_an_interruption_leaves_the_old_file_and_nothing_beside_it(
    tmp_path, monkeypatch
):
    file = tmp_path / "plan.csv"
    file.write_bytes(b"old")
    monkeypatch.setattr(os, "fsync", raising(OSError(28, "No space left on device")))
    with pytest.raises(RequestError) as caught:
        write_all({file: b"new", tmp_path / "plan.ics": b"new"})
    assert str(caught.value) == (
        f"{file}: it cannot be written (No space left on device); check the folder's permissions "
        "and free space, or name another file"
    )
    monkeypatch.setattr(os, "fsync", raising(KeyboardInterrupt()))
    with pytest.raises(KeyboardInterrupt):
        write_atomically(file, b"new")
    assert file.read_bytes() == b"old"
    assert names_in(tmp_path) == ["plan.csv"]


def test_several_files_appear_together(tmp_path):
    write_all({})
    write_all({tmp_path / "plan.csv": b"table", str(tmp_path / "plan.ics"): b"calendar"})
    assert (tmp_path / "plan.csv").read_bytes() == b"table"
    assert (tmp_path / "plan.ics").read_bytes() == b"calendar"
    # A stream that fails keeps the files from appearing.
    with pytest.raises(RequestError, match="/dev/fd/987"):
        write_all({tmp_path / "other.csv": b"table", "/dev/fd/987": b"calendar"})
    assert names_in(tmp_path) == ["plan.csv", "plan.ics"]


def test_when_the_last_cannot_take_its_place_it_is_said_which_others_were_written(
    tmp_path, monkeypatch
):
    first, last = tmp_path / "first.csv", tmp_path / "last.csv"
    replace = Path.replace

    def replace_but_not_last(self, target):
        if target == last:
            raise PermissionError(1, "Operation not permitted")
        return replace(self, target)

    monkeypatch.setattr(Path, "replace", replace_but_not_last)
    with pytest.raises(RequestError) as caught:
        write_all({first: b"made", last: b"never"})
    assert str(caught.value).startswith(f"{last}: it cannot be written (Operation not permitted)")
    assert str(caught.value).endswith(f"; {first} had been written by then")
    assert names_in(tmp_path) == ["first.csv"]
