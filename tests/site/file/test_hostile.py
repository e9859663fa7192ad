"""Site files made to hang or break the reader: each is refused within two seconds."""
# ruff: noqa: E501  (a case to a line)

import os
import subprocess
import sys
import time

import pytest

from suncover.base.errors import FileFaults
from suncover.site.file.sitefile import load_site, site_from_text
from suncover.site.file.toml_text import MOST_MARKS

SECONDS = 10.0  # of a slow, busy machine; a quiet one takes less than two

SITE = '[site]\nname = "x"\nlatitude = 1\nlongitude = 1\n'
WINDOW = '[[window]]\nname = "k"\nazimuth = 1\nwidth = 1\nheight = 1\n'
MEGABYTE = 1_000_000


def lines(line: str, count: int) -> str:
    """`count` lines, in which {} is the number of the line."""
    return "".join(line.format(i) + "\n" for i in range(count))


def comb(number: int) -> str:
    """An obstacle whose sides all overlap in the east-west direction, the worst for the check."""
    corners = ",".join(f"[{i % 2 * 1000},{i}]" for i in range(498))
    return f'[[obstacle]]\nname = "o{number}"\ntop = 3\nx = 1\nfootprint = [{corners},[-1,0]]\n'


NEAR_THE_LIMIT = [
    ("comments to the size limit", lambda: "# hello\n" * (5 * MEGABYTE // 8)),
    ("blank lines to the size limit", lambda: "\n" * 5 * MEGABYTE),
    ("long string", lambda: SITE.replace("x", "y" * 4 * MEGABYTE) + WINDOW),
    ("string of escapes", lambda: f'a = "{chr(92)}n{(chr(92) + "n") * 2 * MEGABYTE}"'),
    ("text of line breaks", lambda: SITE.replace('"x"', '"""' + "x\n" * 2 * MEGABYTE + '"""')),
    ("text of line breaks, placed", lambda: f'a = """{"x" + chr(10)}{"x" * 900_000}"""\n{SITE}'),
    ("long length", lambda: SITE + WINDOW + f'sill = "{"1" * 4 * MEGABYTE}"'),
    ("length of blanks", lambda: SITE + WINDOW + f'sill = "{" " * 4 * MEGABYTE}"'),
    ("long key", lambda: "k" * 4 * MEGABYTE + " = 1"),
    ("long header", lambda: "[" + "k" * 4 * MEGABYTE + "]"),
    ("long zone", lambda: SITE + f'timezone = "{"America/" * 500_000}"\n' + WINDOW),
    ("hexadecimal number", lambda: SITE + WINDOW + "tilt = 0x" + "f" * 4 * MEGABYTE),
    ("digits", lambda: SITE + WINDOW + "tilt = " + "1" * 4 * MEGABYTE),
    ("decimals", lambda: SITE + WINDOW + "sil = 1." + "1" * 4 * MEGABYTE),
    ("exponent", lambda: SITE + WINDOW + "tilt = 1e" + "1" * 4 * MEGABYTE),
    ("unknown keys", lambda: lines("k{} = 1", 249_000)),
    ("unknown keys of a window", lambda: SITE + WINDOW + lines("k{} = 1", 200_000)),
    ("unknown keys deeper", lambda: SITE + WINDOW + "[window.overhang]\n" + lines("k{}=1", 150_000)),
    ("unknown tables", lambda: lines("[[a]]", 240_000)),
    ("list of numbers", lambda: f"a = [{'1,' * 490_000}]"),
    ("empty windows", lambda: lines("[[window]]", 19_999)),
    ("too many windows", lambda: lines("[[window]]", 200_000)),
    ("windows of one name", lambda: SITE + WINDOW * 19_999),
    ("bad windows", lambda: SITE + WINDOW.replace("1", "-1") * 19_999),
    ("skylines of no points", lambda: SITE + (WINDOW + f"skyline = [{'1,' * 9_999}]\n") * 40),
    ("skylines of one azimuth", lambda: SITE + (WINDOW + f"skyline=[{'[1,1],' * 9_999}]\n") * 15),
    ("fins that are none", lambda: SITE + (WINDOW + f"fin = [{'3,' * 99}]\n") * 4_000),
    ("footprint of many corners", lambda: SITE + WINDOW + comb(0).replace("[-1,0]", "[1,1]," * 99_000)),
    ("footprints hard to check", lambda: SITE + WINDOW + "".join(map(comb, range(200)))),
    (
        "names that are nearly right",
        lambda: (
            SITE
            + "".join(WINDOW.replace('"k"', f'"window number {i}"') for i in range(5_000))
            + '[[shade]]\nname = "s"\nwindows = ['
            + ",".join(f'"window nimber {i}"' for i in range(9_999))
            + "]\n"
        ),
    ),
    ("dotted keys", lambda: lines("a.b.c.k{} = 1", 40_000)),
    ("dotted headers", lambda: lines("[a.b.c.d.e.f.g.k{}]", 9_000)),
    ("one long dotted key", lambda: ".".join(["a"] * 690) + " = 1"),
    ("nested lists", lambda: SITE + WINDOW + "skyline = " + "[" * 200 + "]" * 200),
    ("nested tables", lambda: SITE + WINDOW + "overhang = " + "{a=" * 200 + "1" + "}" * 200),
]  # fmt: skip

BEYOND = [
    ("10 MB", lambda: "# hello\n" * (10 * MEGABYTE // 8)),
    ("endless list", lambda: f"a = [{'1,' * 2 * MEGABYTE}]"),
    ("nested lists", lambda: "a = " + "[" * 4 * MEGABYTE),
    ("nested tables", lambda: "a = " + "{a=" * MEGABYTE),
    ("unknown tables", lambda: lines("[[a]]", 800_000)),
    ("dotted key", lambda: ".".join(["a"] * 2 * MEGABYTE) + " = 1"),
    ("dotted key with blanks", lambda: " . ".join(["a"] * MEGABYTE) + " = 1"),
    ("dotted key of digits", lambda: ".".join(["1"] * 2 * MEGABYTE) + " = 1"),
    ("dotted key of decimals", lambda: " . ".join(["1.1"] * 800_000) + " = 1"),
    ("dotted key in quotes", lambda: ".".join(['"a"'] * MEGABYTE) + " = 1"),
    ("dotted header", lambda: "[" + ".".join(["a"] * 2 * MEGABYTE) + "]"),
    ("dotted key in a list", lambda: "a = [{" + ".".join(["a"] * 2 * MEGABYTE) + "= 1}]"),
    ("deep headers", lambda: lines("[" + ".".join(["a"] * 60) + ".k{}]", 30_000)),
    ("quotes", lambda: '"' * 4 * MEGABYTE),
    ("braces", lambda: "{" * 4 * MEGABYTE),
    ("equals signs", lambda: "=" * 4 * MEGABYTE),
    ("carriage returns", lambda: "\r" * 4 * MEGABYTE),
]


def refused_soon(folder, text):
    path = folder / "house.toml"
    path.write_bytes(text.encode())
    start = time.process_time()  # of this process alone: others may be at work too
    with pytest.raises(FileFaults) as caught:
        load_site(path)
    assert time.process_time() - start < SECONDS
    assert str(path) in str(caught.value)
    assert len(caught.value.faults) <= 101
    assert all(len(str(fault)) < 1000 for fault in caught.value.faults)


@pytest.mark.slow  # each holds a time, which says more on a quiet machine
@pytest.mark.parametrize(("_", "make"), NEAR_THE_LIMIT, ids=[name for name, _ in NEAR_THE_LIMIT])
def test_file_just_within_the_limits_is_refused_soon(tmp_path, _, make):
    refused_soon(tmp_path, make())


@pytest.mark.parametrize(("_", "make"), BEYOND, ids=[name for name, _ in BEYOND])
def test_file_beyond_the_limits_is_refused_soon(tmp_path, _, make):
    refused_soon(tmp_path, make())


def test_a_large_site_is_read_within_the_limits():
    """Three thousand windows, each with a skyline and a shade; more than three times as many are
    still not too large.
    """
    text = SITE + "".join(
        f'[[window]]\nname = "w{i}"\nazimuth = 95\nwidth = 1.2\nheight = 1.4\nsill = 0.9\n'
        f"skyline = [[60, 12.5], [95, 8], [130, 15]]\n[window.overhang]\ndepth = 0.6\n"
        f'[[shade]]\nname = "s{i}"\nwindows = ["w{i}"]\ntravel = 60\n'
        for i in range(3_000)
    )
    assert (text.count(",") + text.count("[") + 2 * text.count("=")) * 10 / 3 < MOST_MARKS
    start = time.process_time()
    assert len(site_from_text(text).windows) == 3_000
    assert time.process_time() - start < 8


def test_loading_needs_none_of_the_slow_libraries(tmp_path):
    """A small file is read in a fresh process without what takes long to load."""
    path = tmp_path / "house.toml"
    path.write_text(SITE + WINDOW + WINDOW.replace('"k"', '"l"'), encoding="utf-8")
    program = (
        "import sys, time; from suncover.site.file.sitefile import load_site; "
        "load_site(sys.argv[1]); "
        "slow = {'numpy', 'pandas', 'pvlib', 'shapely', 'scipy', 'tree_sitter', 'tzfpy', 'rich'}; "
        "print(sorted(slow & set(sys.modules)), time.process_time())"
    )
    command = [sys.executable, "-c", program, os.fspath(path)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    loaded, seconds = done.stdout.rsplit(" ", 1)
    assert loaded == "[]"
    assert float(seconds) < 0.5
