"""Parts of pvlib, loaded in fresh processes, and what they leave for a later `import pvlib`."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

# Prints the sun's direction as the exact bits of its three numbers.
SUN_BITS = """
from suncover.sun import Observer, sun_directions
print([float(x).hex() for x in sun_directions(1782043200.0, Observer(36.1, -79.95, 270.0))])
"""


def run(code: str, *paths: Path, warnings: str = "error", **environment: str) -> str:
    """What `code` prints in a process of its own."""
    search = os.pathsep.join(str(path) for path in (*paths, ROOT))
    done = subprocess.run(
        [sys.executable, "-W", warnings, "-c", code],
        env=os.environ | {"PYTHONPATH": search} | environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def test_parts_come_without_the_whole_and_leave_it_whole() -> None:
    """Also a part that is asked for after the whole was imported, and the results of both."""
    answer = run(
        """
import sys
from suncover.pvlib_parts import pvlib_module
spa = pvlib_module("spa")
atmosphere = pvlib_module("atmosphere")
assert pvlib_module("spa") is spa
assert not [name for name in sys.modules if name.split(".")[0] == "pvlib"]
assert "scipy" not in sys.modules

import numpy as np
import pandas as pd
import pvlib
assert pvlib.__version__
assert pvlib.spa is sys.modules["pvlib.spa"]
assert pvlib.pvsystem.PVSystem
place = pvlib.location.Location(36.1, -79.95, altitude=270.0)
index = pd.date_range("2026-06-21 15:00", periods=2, freq="h", tz="UTC")
theirs = place.get_solarposition(index)
assert pvlib_module("irradiance") is pvlib.irradiance

seconds = np.array([1782054000.0, 1782057600.0])
zenith = spa.solar_position(seconds, 36.1, -79.95, 270.0, 981.0, 12.0, 67.0, 0.5667)[1]
assert np.abs(zenith - theirs["zenith"]).max() < 1e-9, (zenith, theirs["zenith"])
assert atmosphere.alt2pres(270.0) == pvlib.atmosphere.alt2pres(270.0)
print("whole")
"""
    )
    assert answer == "whole"


def test_pvlib_that_is_there_already_serves() -> None:
    answer = run(
        """
import pvlib
from suncover.pvlib_parts import pvlib_module
assert pvlib_module("spa") is pvlib.spa
assert pvlib_module("clearsky") is pvlib.clearsky
import sys
assert sys.modules["pvlib"] is pvlib
print("served")
"""
    )
    assert answer == "served"


def test_wish_for_numba_changes_nothing() -> None:
    plain = run(SUN_BITS, PVLIB_USE_NUMBA="0")
    assert plain.count("0x") == 3
    # Where numba is missing, pvlib warns of it.
    assert run(SUN_BITS, warnings="ignore", PVLIB_USE_NUMBA="1") == plain


def test_package_that_its_modules_lean_on_is_loaded_whole(tmp_path: Path) -> None:
    """A later pvlib might look up names on its package while its modules load."""
    package = tmp_path / "pvlib"
    package.mkdir()
    (package / "__init__.py").write_text("SPARE = 7\n")
    (package / "spa.py").write_text("import pvlib\nANSWER = pvlib.SPARE\n")
    code = "from suncover.sun.pvlib_parts import pvlib_module as load\nprint(load('spa').ANSWER)"
    assert run(code, tmp_path) == "7"


@pytest.mark.parametrize("name", ["spa", "irradiance"])
def test_missing_pvlib_is_an_import_error_that_names_the_remedy(name: str) -> None:
    answer = run(
        f"""
import importlib.util
from suncover.pvlib_parts import pvlib_module
importlib.util.find_spec = lambda name: None
try:
    pvlib_module("{name}")
except ImportError as error:
    print(error)
"""
    )
    assert "pip install pvlib" in answer


def test_scipy_is_left_out_until_it_is_called_for() -> None:
    answer = run(
        """
import sys
from suncover.pvlib_parts import pvlib_module
clearsky, irradiance = pvlib_module("clearsky"), pvlib_module("irradiance")
assert not [name for name in sys.modules if name.startswith(("scipy.linalg", "scipy.optimize"))]
print(clearsky.hankel([1, 2], [2, 3]).tolist(), irradiance.bisect(lambda x: x - 1.0, 0.0, 2.0))
import pvlib, scipy.linalg
assert pvlib.clearsky.hankel is scipy.linalg.hankel
"""
    )
    assert answer == "[[1, 2], [2, 3]] 1.0"


def test_pandas_is_left_out_until_there_is_something_of_its() -> None:
    """A question for a type loads nothing; what asks for pandas gets the real one, as does a later
    import.
    """
    answer = run(
        """
import sys
import numpy as np
from suncover.pvlib_parts import pvlib_module
clearsky, atmosphere = pvlib_module("clearsky"), pvlib_module("atmosphere")
plain = atmosphere.get_relative_airmass(np.array([60.0]))
assert type(plain) is np.ndarray
assert "pandas" not in sys.modules
import pandas as pd
assert pd.__version__
series = atmosphere.get_relative_airmass(pd.Series([60.0]))
assert type(series) is pd.Series and series[0] == plain[0]
frame = clearsky.ineichen(pd.Series([60.0]), series, 3.0)
assert type(frame) is pd.DataFrame
index = pd.DatetimeIndex(["2028-02-29"], tz="UTC")
print(clearsky.lookup_linke_turbidity(index, 36.1, -79.95).index[0].date())
import pvlib
assert pvlib.clearsky.pd is pd
""",
        warnings="ignore",
    )
    assert answer == "2028-02-29"


def test_other_threads_get_the_real_packages_meanwhile() -> None:
    """Several times over: a thread imports pandas and pvlib while parts of pvlib are loaded."""
    answer = run(
        """
import sys, threading
sys.setswitchinterval(1e-5)
from suncover.pvlib_parts import pvlib_module
seen = []
def other():
    import pandas, pvlib
    seen.append((pandas.__version__, pvlib.__version__, pandas.Series([1.0]).sum()))
thread = threading.Thread(target=other)
thread.start()
parts = [pvlib_module(name) for name in ("spa", "clearsky", "irradiance", "iotools.tmy")]
thread.join()
assert len(seen) == 1
import pandas, pvlib
assert seen[0] == (pandas.__version__, pvlib.__version__, 1.0)
assert pvlib.clearsky.pd is pandas
assert parts[1].lookup_linke_turbidity(pandas.DatetimeIndex(["2026-06-21"]), 36, -80).iloc[0] > 1
print("real")
""",
        warnings="ignore",
    )
    assert answer == "real"
