"""Parts of pvlib, loaded in fresh processes, and what they leave for a later `import pvlib`."""

import os
import subprocess
import sys
from pathlib import Path

from suncover.sun.position import Observer, sun_directions

ROOT = Path(__file__).parents[2]

# Prints the sun's direction as the exact bits of its three numbers.
SUN_BITS = """
from suncover.sun.position import Observer, sun_directions
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


def test_the_suns_position_comes_without_the_rest_of_pvlib_which_loads_whole_afterwards():
    """And both give the same bits; a pvlib that is loaded already serves."""
    heavy = "{name.split('.')[0] for name in sys.modules} & {'pvlib', 'pandas', 'scipy'}"
    code = f"import sys\n{SUN_BITS}\nassert not {heavy}, {heavy}\n"
    code += "import pvlib\nassert pvlib.pvsystem.PVSystem\n"
    code += "from suncover.sun import position\nposition._block_of_nodes.cache_clear()\n" + SUN_BITS
    first, again = run(code, warnings="ignore").splitlines()
    assert first == again
    assert first.count("0x") == 3
    code = "import pvlib\nfrom suncover.sun.pvlib_parts import spa_module as spa\n"
    assert run(code + "print(spa() is pvlib.spa)", warnings="ignore") == "True"


def test_wish_for_numba_changes_nothing():
    # Where numba is missing, pvlib warns of it.
    told = run(SUN_BITS, warnings="ignore", PVLIB_USE_NUMBA="1")
    sun = sun_directions(1782043200.0, Observer(36.1, -79.95, 270.0))
    assert told == str([float(x).hex() for x in sun])


def test_missing_pvlib_is_an_import_error_that_names_the_remedy():
    answer = run(
        """
import importlib.util
from suncover.sun.pvlib_parts import spa_module
importlib.util.find_spec = lambda name: None
try:
    spa_module()
except ImportError as error:
    print(error)
"""
    )
    assert "pip install pvlib" in answer
