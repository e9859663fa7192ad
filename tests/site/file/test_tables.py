"""Tables added to a site file's text and taken out of it; all other lines stay."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from suncover.base.errors import RequestError
from suncover.site.file.sitefile import site_from_text
from suncover.site.file.tables import renamed, with_table, without_table

SAMPLES = sorted(Path(__file__).parents[3].glob("sample_sites/*.toml"))
TEXT = """\
[site]
name = "Row house"  # ours
latitude = 47.4
longitude = 8.5

[[window]]
name = "hall"
azimuth = 180
width = 1
height = 1

# beside the door
[[window.fin]]
side = "left"
depth = 0.3

[[window]]
name = "den"
azimuth = 90
width = 1
height = 1

[[shade]]
name = "hall roller"
windows = ["hall"]

[[shade]]
name = "both"
windows = ["den"]  # the other has its own

[[supply]]
name = "left box"
shades = ["hall roller"]
"""


def lines_gone(before: str, after: str) -> list[str]:
    """The lines of `before` that `after` does not have, in order; all others stand as they were."""
    left = after.splitlines()
    gone = []
    for line in before.splitlines():
        if left and left[0] == line:
            left.pop(0)
        else:
            gone.append(line)
    assert not left
    return gone


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_what_was_added_can_be_taken_out_again(path: Path) -> None:
    text = path.read_text("utf-8")
    count = len(tomllib.loads(text)["window"])
    more = with_table(text, ("window",), {"name": "new", "azimuth": 10, "width": 1, "height": 1})
    assert more.startswith(text)
    assert len(site_from_text(more).windows) == count + 1
    assert without_table(more, ("window", count)).rstrip("\n") == text.rstrip("\n")


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
@pytest.mark.parametrize("kind", ["window", "shade", "tree", "obstacle", "option", "spot"])
def test_one_table_goes_and_the_others_stay(path: Path, kind: str) -> None:
    text = path.read_text("utf-8")
    raw: dict[str, Any] = tomllib.loads(text)
    for index, entry in enumerate(raw.get(kind, ())):
        changed = without_table(text, (kind, index))
        after = tomllib.loads(changed)
        assert after.get(kind, []) == [one for one in raw[kind] if one is not entry]
        if kind in ("window", "shade"):
            continue  # what named it is changed too
        del raw[kind][index]
        assert {**after, kind: []} == {**raw, kind: []}
        raw[kind].insert(index, entry)
        first = text.splitlines().index(f"[[{kind}]]")
        assert [line for line in lines_gone(text, changed) if line.startswith("#")] == []
        assert changed.splitlines()[: first - 1] == text.splitlines()[: first - 1]


def test_what_names_an_entry_goes_with_it() -> None:
    after = without_table(TEXT, ("window", 0))
    raw = tomllib.loads(after)
    assert [one["name"] for one in raw["window"]] == ["den"]
    assert [one["name"] for one in raw["shade"]] == ["both"]  # the hall's had no other window
    assert "supply" not in raw  # nor the supply another shade
    assert "# beside the door" in after
    assert 'windows = ["den"]  # the other has its own' in after


def test_a_table_in_a_table_is_put_beside_its_like() -> None:
    more = with_table(TEXT, ("window", 0, "fin"), {"side": "right", "depth": 0.2})
    assert [fin["side"] for fin in tomllib.loads(more)["window"][0]["fin"]] == ["left", "right"]
    assert more.count("[[window.fin]]") == 2
    other = with_table(TEXT, ("window", 1, "fin"), {"side": "right", "depth": 0.2})
    assert tomllib.loads(other)["window"][1]["fin"] == [{"side": "right", "depth": 0.2}]
    assert without_table(other, ("window", 1, "fin", 0)).count("fin") == 2  # the rest as a comment
    assert (
        tomllib.loads(without_table(TEXT, ("window", 0, "fin", 0)))["window"][0].get("fin") is None
    )


def test_line_ends_stay_as_they_are() -> None:
    text = TEXT.replace("\n", "\r\n")
    changed = with_table(without_table(text, ("shade", 0)), ("tree",), {"name": "elm"})
    changed = with_table(changed, ("window", 0, "fin"), {"side": "right", "depth": 0.2})
    assert changed.count("\n") == changed.count("\r\n")


def test_another_name_is_put_wherever_it_was() -> None:
    after = renamed(renamed(TEXT, "window", 0, "lobby"), "shade", 0, "lobby roller")
    raw = tomllib.loads(after)
    assert raw["shade"][0]["windows"] == ["lobby"]
    assert raw["supply"][0]["shades"] == ["lobby roller"]
    assert len(after.splitlines()) == len(TEXT.splitlines())


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: with_table("[", ("window",), {}),
        lambda: with_table(TEXT, ("site",), {}),
        lambda: with_table(TEXT, ("window", 7, "fin"), {"depth": 1}),
        lambda: with_table(TEXT, ("window",), {"a = 1\nb": 1}),
        lambda: with_table(TEXT, ("window",), {"name": object()}),
        lambda: without_table(TEXT, ("window", 7)),
        lambda: without_table(TEXT, ("site", "name")),
    ],
)
def test_what_cannot_be_changed_is_refused(wrong: Any) -> None:
    with pytest.raises(RequestError):
        wrong()
