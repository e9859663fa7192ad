"""The tables that only the comparison reads: options, money, generic glass, weather."""

from __future__ import annotations

import pytest

from suncover.base.errors import FileFaults
from suncover.site.file.sitefile import load_site, site_from_text
from suncover.site.model import Site

HEAD = """
[site]
name = "Larkspur Lane"
latitude = 36.1
longitude = -79.95
[[window]]
name = "kitchen"
azimuth = 95
width = 1.2
height = 1.4
"""


def read(more: str) -> Site:
    return site_from_text(HEAD + more)


def faults(more: str) -> str:
    with pytest.raises(FileFaults) as caught:
        read(more)
    return str(caught.value)


def test_a_number_may_be_a_range_and_one_number_is_both_ends() -> None:
    money = read("[money]\nelectricity = [0.12, 0.18]\nheating = 0.05\n").money
    assert money.electricity == (0.12, 0.18)
    assert money.heating == (0.05, 0.05)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("electricity = [0.2, 0.1]", "swap them"),
        ("electricity = [0.1, 0.2, 0.3]", "one number, or a low and a high one"),
        ("electricity = -1", "-1 is not 0 or more"),
        ('electricity = "0.2"', "without quotes"),
        ("cooling_share = 1.2", "1.2 is not between 0 and 1"),
        ("cop = 3\nseer = 14", "give one of them"),
        ("power = 3", "unknown key `power`"),
    ],
    ids=["backwards", "three ends", "negative", "text", "share above 1", "two ratings", "unknown"],
)
def test_money_faults_say_what_would_be_right(text: str, says: str) -> None:
    assert says in faults(f"[money]\n{text}\n")


def test_seer_14_is_a_cop_of_4_10() -> None:
    """1 W is 3.412 Btu/h: COP = SEER / 3.412."""
    cop = read("[money]\nseer = 14\n").money.cooling_cop
    assert cop == pytest.approx((4.10, 4.10), abs=0.005)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('name = "shade"\nfilm = 0.5', "one of the options of every comparison"),
        ('name = "x"', "it changes nothing"),
        ('name = "x"\nfilm = 0.5\nwindows = ["kitchin"]', 'did you mean "kitchen"'),
        ('name = "x"\nglazing = "double claer"', 'did you mean "double clear"'),
        ('name = "x"\ntransmittance = 0.7\nreflectance = 0.4', "at most 1 is possible"),
        ('name = "x"\nclosed = "sometimes"', '"never", "plan", "sunny" or "always"'),
        ('name = "x"\nlight = 0.6', "`light` is of the film; give `film` too"),
    ],
    ids=["name taken", "empty", "window", "glazing", "shares", "closed", "light without film"],
)
def test_option_faults_say_what_would_be_right(text: str, says: str) -> None:
    assert says in faults(f"[[option]]\n{text}\n")


def test_two_options_of_one_name_are_a_fault() -> None:
    option = '[[option]]\nname = "x"\nfilm = 0.5\n'
    assert 'has the name "x" too' in faults(option * 2)


def test_an_option_takes_an_overhang_and_a_tree() -> None:
    option = read(
        '[[option]]\nname = "deep"\nprice = [800, 1200]\n[option.overhang]\ndepth = 1.2\n'
        '[option.tree]\nname = "oak"\ntrunk = [0, 5]\nwidth = 6\nbottom = 2\ntop = 9\nleaf = 0.2\n'
    ).options[0]
    assert option.overhang is not None
    assert option.overhang.depth == 1.2
    assert option.tree is not None
    assert option.tree.bare == 0.2


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('name = "x"', "`angles`, `gains`, `diffuse`, `u` missing"),
        ('name = "x"\ng = 0.6', "give a `kind`"),
        ('name = "x"\nkind = "double clear"\ndiffuse = 0.5', "exclude each other"),
        ('name = "x"\nkind = "double"', '"double clear"'),
    ],
    ids=["nothing", "g alone", "kind and table", "unknown kind"],
)
def test_glazing_faults_say_what_would_be_right(text: str, says: str) -> None:
    assert says in faults(f"[[glazing]]\n{text}\n")


def test_a_window_may_name_a_generic_kind_of_glass() -> None:
    text = HEAD.replace("height = 1.4", 'height = 1.4\nglazing = "triple low-e"')
    assert site_from_text(text).windows[0].glazing == "triple low-e"


def test_weather_needs_no_file_and_takes_twelve_shares_of_sunshine() -> None:
    shares = [0.4, 0.5, 0.5, 0.6, 0.6, 0.6, 0.7, 0.7, 0.6, 0.5, 0.4, 0.4]
    weather = read(f"[weather]\nsunshine = {shares}\n").weather
    assert weather is not None
    assert weather.file is None
    assert weather.sunshine == tuple(shares)


def test_sunshine_beside_a_file_is_a_fault() -> None:
    shares = [0.5] * 12
    assert "leave out `file` or `sunshine`" in faults(
        f'[weather]\nfile = "x.tm2"\nsunshine = {shares}\n'
    )


def test_a_bundled_year_is_not_looked_for_beside_the_site_file(tmp_path) -> None:
    path = tmp_path / "home.toml"
    path.write_text(HEAD + '[weather]\nfile = "bundled:miami"\n', encoding="utf-8")
    weather = load_site(path).weather
    assert weather is not None
    assert weather.file == "bundled:miami"
