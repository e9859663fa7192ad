"""Whatever is done to a site file, it is read, or refused with faults: nothing else is raised."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st
from site_texts import WHOLE

from suncover.base.errors import FileFaults
from suncover.site.file.sitefile import site_from_text

LINES = WHOLE.split("\n")

# Values of every type of TOML, in forms that a reader might trip over.
VALUES = st.sampled_from(
    """
    0 | -0.0 | 1 | -1 | 90 | 360 | 1e308 | -1e308 | 5e-324 | nan | -nan | inf | -inf | 0xfff
    | 1_000 | 999999999999999999999999999999 | 0.1e-400 | true | false | "" | " " | "x" | "48"
    | "48 in" | "-1 ft" | "1/0 in" | "04-15" | "02-30" | "\\u0000" | "24:00" | "12:00" | "kitchen"
    | 07:32:00 | 1979-05-27 | 1979-05-27T07:32:00Z | 1979-05-27T07:32:00 | [1979-05-27, 07:32:00]
    | [] | [[]] | [1] | [1, 2] | [1, 2, 3] | ["x"] | ["x", "x"] | ["kitchen"] | [true, false]
    | [[1, 2]] | [[1, 2], [3, 4], [5, 6]] | [[0, 0], [0, 0], [0, 0]] | [[[]]] | [nan, nan]
    | [[inf, -inf]] | [{}] | {} | {a = 1} | {a.b = 1} | {depth = 1} | {side = "left"}
    | [{side = "left", depth = 1}]
    """.replace("\n", " ").split("|")
)


def read_or_refused(text: str) -> None:
    refused = refusal(text)
    if refused is not None:
        assert refused.faults
        assert all(str(fault).isprintable() for fault in refused.faults)


def refusal(text: str) -> FileFaults | None:
    try:
        site_from_text(text)
    except FileFaults as refused:
        return refused
    return None


@settings(max_examples=400)
@given(st.lists(st.tuples(st.sampled_from(range(len(LINES))), VALUES), min_size=1, max_size=6))
def test_any_value_at_any_key(changes: list[tuple[int, str]]) -> None:
    lines = list(LINES)
    for number, value in changes:
        key, equals, _ = lines[number].partition("=")
        if equals:
            lines[number] = f"{key}= {value.strip()}"
    read_or_refused("\n".join(lines))


@settings(max_examples=200)
@given(st.lists(st.sampled_from(LINES), max_size=80))
def test_any_lines_in_any_order(lines: list[str]) -> None:
    read_or_refused("\n".join(lines))


@settings(max_examples=200)
@given(st.integers(0, len(WHOLE)), st.integers(0, 40), st.text(max_size=12))
def test_any_stretch_replaced_by_any_text(start: int, length: int, text: str) -> None:
    read_or_refused(WHOLE[:start] + text + WHOLE[start + length :])


@settings(max_examples=200)
@given(st.sampled_from([line for line in LINES if line and "=" not in line]), st.data())
def test_tables_repeated_renamed_and_taken_away(header: str, data: st.DataObject) -> None:
    other = data.draw(st.sampled_from(["", header * 2, header.strip("[]"), "[a.b]", "[[window]]"]))
    read_or_refused(WHOLE.replace(header, other))
