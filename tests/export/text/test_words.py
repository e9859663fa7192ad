"""Shares in words: by one rule on every page."""

import pytest

from suncover.export.text.words import kwh_text, percent, share_of


@pytest.mark.parametrize(
    ("part", "whole", "text"),
    [
        (1, 1, "100 %"),
        (99_999, 100_000, "99.9 %"),
        (1076.7, 1082.0, "99.5 %"),
        (9, 10, "90 %"),
        (29, 100, "29 %"),  # 1000 * 0.29 is a little below 290
        (0, 5, "0 %"),
        (0, 0, "-"),
    ],
    ids=str,
)
def test_a_share_is_never_rounded_up(part, whole, text):
    assert share_of(part, whole) == text


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (1.0, "100 %"),
        (0.997, "99 %"),
        (1.0 - 1e-12, "100 %"),  # a sum that was added up in another order
        (0.426, "43 %"),
        (1.112, "111 %"),
        (0.0, "0 %"),
        (None, "-"),
    ],
    ids=str,
)
def test_whole_per_cent_are_a_hundred_only_where_nothing_is_missing(share, text):
    assert percent(share) == text


@pytest.mark.parametrize(
    ("kwh", "text"),
    [
        (0.0, "0 kWh"),
        (0.004, "under 0.01 kWh"),
        (0.04, "0.04 kWh"),
        (0.5, "0.5 kWh"),
        (9.96, "10.0 kWh"),
        (1234.0, "1,234 kWh"),
    ],
)
def test_a_small_energy_is_not_nothing(kwh, text):
    assert kwh_text(kwh) == text
