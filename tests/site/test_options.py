"""The tables that only the comparison reads: options, money, generic glass, weather."""
# ruff: noqa: E501  (a case to a line)

import pytest
from site_texts import SMALL, faults

from suncover.site.file.sitefile import load_site, site_from_text


def read(more):
    return site_from_text(SMALL + more)


def test_a_number_may_be_a_range_and_one_number_is_both_ends():
    money = read("[money]\nelectricity = [0.12, 0.18]\nheating = 0.05\n").money
    assert (money.electricity, money.heating) == ((0.12, 0.18), (0.05, 0.05))


def test_seer_14_is_a_cop_of_4_10():
    """1 W is 3.412 Btu/h: COP = SEER / 3.412."""
    cop = read("[money]\nseer = 14\n").money.cooling_cop
    assert cop == pytest.approx((4.10, 4.10), abs=0.005)


@pytest.mark.parametrize(
    ("table", "text", "says"),
    [
        ("[money]", "electricity = [0.2, 0.1]", "swap them"),
        ("[money]", "electricity = [0.1, 0.2, 0.3]", "one number, or a low and a high one"),
        ("[money]", "electricity = -1", "-1 is not 0 or more"),
        ("[money]", 'electricity = "0.2"', "without quotes"),
        ("[money]", "cooling_share = 1.2", "1.2 is not between 0 and 1"),
        ("[money]", "cop = 3\nseer = 14", "give one of them"),
        ("[[option]]", 'name = "shade"\nfilm = 0.5', "one of the options of every comparison"),
        ("[[option]]", 'name = "x"', "it changes nothing"),
        ("[[option]]", 'name = "x"\nfilm = 0.5\nwindows = ["kitchin"]', 'did you mean "kitchen"'),
        ("[[option]]", 'name = "x"\nglazing = "double claer"', 'did you mean "double clear"'),
        ("[[option]]", 'name = "x"\ntransmittance = 0.7\nreflectance = 0.4', "at most 1 is possible"),
        ("[[option]]", 'name = "x"\nclosed = "sometimes"', '"never", "plan", "sunny" or "always"'),
        ("[[option]]", 'name = "x"\nlight = 0.6', "`light` is of the film; give `film` too"),
        ("[[option]]", 'name = "x"\nfilm = 0.5\n[[option]]\nname = "x"\nfilm = 0.5', 'has the name "x" too'),
        ("[[glazing]]", 'name = "x"', "`angles`, `gains`, `diffuse`, `u` missing"),
        ("[[glazing]]", 'name = "x"\ng = 0.6', "give a `kind`"),
        ("[[glazing]]", 'name = "x"\nkind = "double clear"\ndiffuse = 0.5', "exclude each other"),
        ("[[glazing]]", 'name = "x"\nkind = "double"', '"double clear"'),
        ("[weather]", f'file = "x.tm2"\nsunshine = {[0.5] * 12}', "leave out `file` or `sunshine`"),
    ],
)  # fmt: skip
def test_faults_say_what_would_be_right(table, text, says):
    assert says in "\n".join(faults(f"{SMALL}{table}\n{text}\n"))


def test_an_option_takes_an_overhang_and_a_tree():
    [option] = read(
        '[[option]]\nname = "deep"\nprice = [800, 1200]\n[option.overhang]\ndepth = 1.2\n'
        '[option.tree]\nname = "oak"\ntrunk = [0, 5]\nwidth = 6\nbottom = 2\ntop = 9\nleaf = 0.2\n'
    ).options
    assert (option.overhang.depth, option.tree.bare) == (1.2, 0.2)


def test_glass_and_weather_need_no_file(tmp_path):
    assert read('glazing = "triple low-e"\n').windows[0].glazing == "triple low-e"
    shares = [0.4, 0.5, 0.5, 0.6, 0.6, 0.6, 0.7, 0.7, 0.6, 0.5, 0.4, 0.4]
    weather = read(f"[weather]\nsunshine = {shares}\n").weather
    assert (weather.file, weather.sunshine) == (None, tuple(shares))
    path = tmp_path / "home.toml"  # beside which a bundled year is not looked for
    path.write_text(f'{SMALL}[weather]\nfile = "bundled:miami"\n', encoding="utf-8")
    assert load_site(path).weather.file == "bundled:miami"
