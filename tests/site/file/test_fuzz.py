"""Whatever is done to a site file, it is read, or refused with faults: nothing else is raised."""

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


@st.composite
def spoilt(draw):
    """A whole file with other values, its lines mixed, a stretch or a header replaced."""
    how = draw(st.sampled_from(["values", "values", "lines", "stretch", "header"]))
    if how == "lines":
        return "\n".join(draw(st.lists(st.sampled_from(LINES), max_size=80)))
    if how == "stretch":
        start, length = draw(st.integers(0, len(WHOLE))), draw(st.integers(0, 40))
        return WHOLE[:start] + draw(st.text(max_size=12)) + WHOLE[start + length :]
    if how == "header":
        header = draw(st.sampled_from([line for line in LINES if line and "=" not in line]))
        other = ["", header * 2, header.strip("[]"), "[a.b]", "[[window]]"]
        return WHOLE.replace(header, draw(st.sampled_from(other)))
    lines = list(LINES)
    numbers = st.integers(0, len(LINES) - 1)
    for number, value in draw(st.lists(st.tuples(numbers, VALUES), min_size=1, max_size=6)):
        key, equals, _ = lines[number].partition("=")
        if equals:
            lines[number] = f"{key}= {value.strip()}"
    return "\n".join(lines)


@settings(max_examples=300)
@given(spoilt())
def test_a_spoilt_file_is_read_or_refused(text):
    try:
        site_from_text(text)
    except FileFaults as refused:
        faults = refused.faults
    else:
        return
    assert faults
    assert all(str(fault).isprintable() for fault in faults)
