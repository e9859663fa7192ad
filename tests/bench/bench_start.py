"""What the small commands cost, beside `import pvlib`, in one run: seconds of the processor.

    python tests/bench/bench_start.py [--runs 7] [--fresh]

Each is a whole process, and the median of several runs counts, taken in turns. Beside them stand
the floors: what Python and the packages take that a command cannot do without. With `--fresh`,
Python's own compiled code of this package is not used, as in a copy that has never been run or may
not write. Prints a table for docs/speed.md; compare ratios, not seconds.
"""

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
MODEL = "import click, pydantic\nclass Table(pydantic.BaseModel):\n    width: float"
NUMBERS = "import os\nos.environ['OPENBLAS_NUM_THREADS'] = '1'\nimport numpy"
SITES = ("minimal", "bungalow", "terrace")
AT = {"today": ["--at", "2027-07-01"], "now": ["--at", "2027-07-01T12:00"]}


def processes() -> dict[str, list[str]]:
    """Arguments of Python, by what they are called in the table."""
    found = {
        "`import pvlib`": ["-c", "import pvlib"],
        "floor: Python": ["-c", ""],
        "floor: and click": ["-c", "import click"],
        "floor: and pydantic, one model": ["-c", MODEL],
        "floor: and numpy": ["-c", f"{MODEL}\n{NUMBERS}"],
        "floor: and h5py": ["-c", f"{MODEL}\n{NUMBERS}\nimport h5py"],
        "`suncover --help`": ["-m", "suncover", "--help"],
    }
    for command in ("check", "now", "today", "plan"):
        for site in SITES:
            path = str(ROOT / "sample_sites" / f"{site}.toml")
            given = ["-m", "suncover", command, path, *AT.get(command, ())]
            found[f"`suncover {command}`, {site}"] = given
    return found


def spent(arguments: list[str], environment: dict[str, str]) -> float:
    """Seconds of the processor of one run of Python with these arguments, children included."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, *arguments],
        check=True,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env=environment,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    """Prints the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=7)
    parser.add_argument("--fresh", action="store_true", help="without compiled code of ours")
    parser.add_argument("--only", default="", help="those whose name has this in it")
    asked = parser.parse_args()
    environment = {key: text for key, text in os.environ.items() if not key.startswith("PYTHON")}
    wanted = {
        name: arguments
        for name, arguments in processes().items()
        if asked.only in name or name == "`import pvlib`"
    }
    seconds: dict[str, list[float]] = {name: [] for name in wanted}
    with tempfile.TemporaryDirectory() as folder:
        # Compiled code goes aside, so that no run finds what another has left.
        environment |= {"PYTHONPATH": str(ROOT)}
        environment |= (
            {"PYTHONDONTWRITEBYTECODE": "1"} if asked.fresh else {"PYTHONPYCACHEPREFIX": folder}
        )
        for arguments in wanted.values():
            spent(arguments, environment)
        for _ in range(asked.runs):
            for name, arguments in wanted.items():
                seconds[name].append(spent(arguments, environment))
    whole = statistics.median(seconds["`import pvlib`"])
    print("| Process | Seconds | Times `import pvlib` |")
    print("| --- | ---: | ---: |")
    for name, runs in seconds.items():
        median = statistics.median(runs)
        print(f"| {name} | {median:.2f} s | {median / whole:.2f} |")


if __name__ == "__main__":
    main()
