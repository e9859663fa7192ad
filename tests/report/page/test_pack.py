"""The numbers packed into the page are those of the data, read back the way its script does."""

import base64
import json
import zlib
from itertools import groupby
from typing import Any

import numpy as np
import pytest
from report_home import report_data

from suncover.report.calendar_days import by_day
from suncover.report.page.facts import facts
from suncover.report.page.pack import packed_numbers
from suncover.report.window_year import PATCH_STEP, POWER_STEP

DATA = report_data()
LISTED, TEXT = packed_numbers(DATA)


def unpacked() -> dict[str, np.ndarray[Any, Any]]:
    """By the description of the format alone."""
    count, letters = TEXT.split(" ")
    data = zlib.decompress(base64.b85decode(letters.replace(",", "<"))[: int(count)])
    found, at = {}, 0
    for name, kind, count, row in LISTED:
        values = np.frombuffer(data, f"<{kind}", int(count), at)
        at += values.nbytes
        # Sums run over in the kind's own bytes.
        if row:
            values = values.cumsum(dtype=values.dtype)
        if row > 1:
            values = values.reshape(-1, row).cumsum(axis=0, dtype=values.dtype).ravel()
        found[str(name)] = values
    assert at == len(data)
    return found


NUMBERS = unpacked()


def test_every_array_starts_where_its_kind_may():
    at = 0
    for _, kind, count, _ in LISTED:
        size = int(str(kind)[1])
        assert at % size == 0
        at += size * int(count)


def test_the_sun_is_right_to_a_hundredth_of_a_degree():
    azimuth = NUMBERS["azimuth"].reshape(-1, 48) / 100
    elevation = NUMBERS["elevation"].reshape(-1, 48) / 100
    off = (azimuth - DATA.sun.azimuth + 180) % 360 - 180
    assert abs(off).max() <= 0.005 + 1e-9
    assert abs(elevation - DATA.sun.elevation).max() <= 0.005 + 1e-9


@pytest.mark.parametrize("number", range(2))
def test_powers_are_those_of_the_pictures(number):
    power = NUMBERS[f"power{number}"].reshape(-1, 144) * POWER_STEP
    assert (power == DATA.windows[number].power).all()


@pytest.mark.parametrize("number", range(2))
def test_spells_are_exact(number):
    for name, pieces in (
        (f"sun{number}", DATA.windows[number].pieces),
        (f"closed{number}", DATA.shades[number].closed),
    ):
        ends = [
            *zip(NUMBERS[f"{name}.start"].tolist(), NUMBERS[f"{name}.end"].tolist(), strict=True)
        ]
        days = by_day(pieces, 365)
        assert NUMBERS[f"{name}.count"].tolist() == [len(day) for day in days]
        assert ends == [(piece.start, piece.end) for day in days for piece in day]


@pytest.mark.parametrize("number", range(2))
def test_patches_are_those_of_the_pictures(number):
    keys = NUMBERS[f"patch{number}.key"].tolist()
    rings, points = NUMBERS[f"patch{number}.rings"], NUMBERS[f"patch{number}.points"]
    corners = np.stack([NUMBERS[f"patch{number}.{side}"] for side in ("inward", "right")], axis=1)
    read: list[np.ndarray[Any, Any]] = []
    at = 0
    for many, run in groupby(points.tolist()):
        length = len(list(run))
        steps = corners[at : at + many * length].astype(int).reshape(many, length, 2)
        at += many * length
        read += list(steps.cumsum(axis=1).transpose(1, 0, 2))
    found = iter(read)
    places = {(key % 366, key // 366): [next(found) for _ in range(many)]
              for key, many in zip(keys, rings.tolist(), strict=True)}  # fmt: skip
    assert set(places) == set(DATA.windows[number].patches)
    for place, expected in DATA.windows[number].patches.items():
        for ring, original in zip(places[place], expected, strict=True):
            assert abs(ring * PATCH_STEP - original).max() <= 1e-9


def test_facts_are_json_and_describe_every_window():
    found = json.loads(json.dumps(facts(DATA, LISTED)))
    assert found["days"] == 365
    assert found["first"] == [2026, 1, 1]
    assert len(found["windows"]) == len(found["depths"]) == 2
    assert found["windows"][0]["shade"] == 0
    assert found["windows"][0]["tip"] == [pytest.approx(1.65), pytest.approx(0.70)]
    assert found["depths"][0]["depth"][:2] == [0.05, 0.1]
