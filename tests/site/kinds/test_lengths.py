"""Lengths as text.

The factors are exact by definition: 1 in = 25.4 mm and 1 ft = 0.3048 m (NIST Special Publication
811, 2008 edition, appendix B.8; international yard and pound agreement of 1959).
"""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suncover.site.kinds.lengths import LENGTH_PATTERN, parse_length

INCH = Fraction("0.0254")
FOOT = Fraction("0.3048")


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("120 cm", Fraction("1.2")),
        ("120cm", Fraction("1.2")),
        ("1.2 m", Fraction("1.2")),
        ("1200 mm", Fraction("1.2")),
        ("1200 MM", Fraction("1.2")),
        (".5 m", Fraction("0.5")),
        ("5. m", Fraction(5)),
        ("0 m", Fraction(0)),
        ("48 in", 48 * INCH),
        ("48 inches", 48 * INCH),
        ("1 inch", INCH),
        ("48 In.", 48 * INCH),
        ('48"', 48 * INCH),
        ("48″", 48 * INCH),
        ("48''", 48 * INCH),
        ("1/2 in", INCH / 2),
        ("2 1/2 in", Fraction(5, 2) * INCH),
        ("2 1 / 2 in", Fraction(5, 2) * INCH),
        ("2 1/2 ft", Fraction(5, 2) * FOOT),
        ("4 ft", 4 * FOOT),
        ("1 foot", FOOT),
        ("4 feet", 4 * FOOT),
        ("4'", 4 * FOOT),
        ("4 ft 2 in", 50 * INCH),
        ("4 ft. 2 in.", 50 * INCH),
        ("4 ft, 2 in", 50 * INCH),
        ("4ft2in", 50 * INCH),
        ("4 ft 2 1/2 in", Fraction(101, 2) * INCH),
        ("5' 6\"", 66 * INCH),
        ("5'6\"", 66 * INCH),
        ("5′6″", 66 * INCH),
        ("5’ 6”", 66 * INCH),
        ("5' 6 3/8\"", (66 + Fraction(3, 8)) * INCH),
        ("-8 in", -8 * INCH),
        ("−8 in", -8 * INCH),
        ("-1 ft 6 in", -18 * INCH),
        ("+8 in", 8 * INCH),
        ("  8 in  ", 8 * INCH),
    ],
)
def test_length_is_the_exact_sum_rounded_once(text: str, metres: Fraction) -> None:
    assert parse_length(text) == float(metres)


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        pytest.param(
            "48",
            '"48" has no unit; add one of mm, cm, m, in, ft (such as "48 cm"), '
            "or leave out the quotes for metres",
            id="no unit",
        ),
        pytest.param("2 1/2", '"2 1/2" has no unit', id="fraction without unit"),
        pytest.param("4 ft 2", "is not a length", id="inches without unit"),
        pytest.param(
            "3 yd",
            '"3 yd" has a unit that is not known: yd; the units are mm, cm, m, in, ft',
            id="unknown unit",
        ),
        pytest.param("2 in 4 ft", "is not a length", id="inches before feet"),
        pytest.param("1 m 20 cm", "is not a length", id="metric in two parts"),
        pytest.param("1,2 m", "is not a length", id="decimal comma"),
        pytest.param("1/0 in", "is not a length", id="zero below the stroke"),
        pytest.param("1e3 m", "is not a length", id="exponent"),
        pytest.param("nan m", "is not a length", id="nan"),
        pytest.param("wide", "is not a length", id="a word"),
        pytest.param("", "is not a length", id="empty"),
        pytest.param("48 in\n", "is not a length", id="line break"),
        pytest.param("４ m", "is not a length", id="digits of another script"),
        pytest.param("--8 in", "is not a length", id="two signs"),
        pytest.param("1 " * 100 + "m", "too long for a length", id="long text"),
    ],
)
def test_what_is_no_length_is_refused_with_the_units(text: str, complaint: str) -> None:
    with pytest.raises(ValueError, match=re.escape(complaint)) as caught:
        parse_length(text)
    assert "cm" in str(caught.value)


@given(
    st.integers(0, 999),
    st.integers(0, 11),
    st.integers(0, 63),
    st.sampled_from([("ft", "in"), ("'", '"'), ("feet", "inches"), ("′", "″")]),
)
def test_feet_inches_and_64ths_round_to_the_nearest_float(
    feet: int, inches: int, parts: int, units: tuple[str, str]
) -> None:
    text = f"{feet} {units[0]} {inches} {parts}/64 {units[1]}"
    assert parse_length(text) == float(feet * FOOT + (inches + Fraction(parts, 64)) * INCH)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_and_the_pattern_says_which(text: str) -> None:
    """The JSON Schema's pattern and the reader agree; patterns in schemas have no line ends."""
    matches = re.search(LENGTH_PATTERN, text) is not None and not text.endswith("\n")
    try:
        parse_length(text)
    except ValueError:
        assert not matches
    else:
        assert matches
