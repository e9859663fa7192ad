"""Lengths as text.

The factors are exact by definition: 1 in = 25.4 mm and 1 ft = 0.3048 m (NIST Special Publication
811, 2008 edition, appendix B.8; international yard and pound agreement of 1959).
"""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from suncover.site.kinds.lengths import LENGTH_PATTERN, parse_length

INCH, FOOT = Fraction("0.0254"), Fraction("0.3048")
FORMS = {
    Fraction("1.2"): ("120 cm", "120cm", "1.2 m", "1200 mm", "1200 MM"),
    Fraction("0.5"): (".5 m",),
    Fraction(5): ("5. m",),
    Fraction(0): ("0 m",),
    48 * INCH: ("48 in", "48 inches", "48 In.", '48"', "48″", "48''", "4 ft", "4 feet", "4'"),
    INCH: ("1 inch",),
    INCH / 2: ("1/2 in",),
    Fraction(5, 2) * INCH: ("2 1/2 in", "2 1 / 2 in"),
    Fraction(5, 2) * FOOT: ("2 1/2 ft",),
    FOOT: ("1 foot",),
    50 * INCH: ("4 ft 2 in", "4 ft. 2 in.", "4 ft, 2 in", "4ft2in"),
    Fraction(101, 2) * INCH: ("4 ft 2 1/2 in",),
    66 * INCH: ("5' 6\"", "5'6\"", "5′6″", "5’ 6”"),
    (66 + Fraction(3, 8)) * INCH: ("5' 6 3/8\"",),
    -8 * INCH: ("-8 in", "−8 in"),
    -18 * INCH: ("-1 ft 6 in",),
    8 * INCH: ("+8 in", "  8 in  "),
}


@pytest.mark.parametrize("metres", FORMS)
def test_length_is_the_exact_sum_rounded_once(metres):
    for text in FORMS[metres]:
        assert parse_length(text) == float(metres), text


UNITS = "mm, cm, m, in, ft"
NO_LENGTH = [
    *("4 ft 2", "2 in 4 ft", "1 m 20 cm", "1,2,3 m", "1/0 in", "1e3 m", "nan m", "wide", ""),
    *("48 in\n", "４ m", "--8 in"),
]


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        (
            "48",
            f'no unit; add one of {UNITS} (such as "48 cm"), or leave out the quotes for metres',
        ),
        ("2 1/2", '"2 1/2" has no unit'),
        ("3 yd", f'"3 yd" has a unit that is not known: yd; the units are {UNITS}'),
        ("1 " * 100 + "m", "too long for a length"),
        *((text, "is not a length") for text in NO_LENGTH),
    ],
)
def test_what_is_no_length_is_refused_with_the_units(text, complaint):
    with pytest.raises(ValueError, match=re.escape(complaint)) as caught:
        parse_length(text)
    assert "cm" in str(caught.value)


@pytest.mark.parametrize(
    ("text", "right"), [("1,8 m", '"1.8 m"'), ("-0,5 ft", '"-0.5 ft"'), ("1,8", '1.8 or "1.8 m"')]
)
def test_a_decimal_comma_is_shown_as_a_point(text, right):
    with pytest.raises(ValueError, match=re.escape(f'"{text}" has a decimal comma; write {right}')):
        parse_length(text)


@given(
    st.integers(0, 999),
    st.integers(0, 11),
    st.integers(0, 63),
    st.sampled_from([("ft", "in"), ("'", '"'), ("feet", "inches"), ("′", "″")]),
)
def test_feet_inches_and_64ths_round_to_the_nearest_float(feet, inches, parts, units):
    text = f"{feet} {units[0]} {inches} {parts}/64 {units[1]}"
    assert parse_length(text) == float(feet * FOOT + (inches + Fraction(parts, 64)) * INCH)


@given(st.text(max_size=30))
def test_any_text_is_read_or_refused_and_the_pattern_says_which(text):
    """The JSON Schema's pattern and the reader agree; patterns in schemas have no line ends."""
    matches = re.search(LENGTH_PATTERN, text) is not None and not text.endswith("\n")
    try:
        parse_length(text)
    except ValueError:
        assert not matches
    else:
        assert matches
