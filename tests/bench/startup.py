"""What one check costs beside a bare command-line program, as ratios of one run.

Run it with the environment in which flockcheck is installed (from a wheel, not editable):

    python tests/bench/startup.py [SETUP] [--runs 30]

Each pair of processes runs side by side, so that a machine whose speed drifts changes both. Only
ratios are printed: seconds of one machine say nothing about another. The target is a check of one
file, its fixes solved, at twice a bare program at most, reaching for 1.5; the second row leaves the
fixes out, as a folder's check does.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import subprocess
import sys
import sysconfig
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
# The target of a check, and what is reached for.
AT_MOST, REACHED_FOR = 2.0, 1.5
BARE = "import click\n\n@click.command()\ndef main():\n    click.echo('hello')\n\nmain()\n"


def cost(command: list[str]) -> float:
    """Processor seconds of one process, user and system."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(command, capture_output=True, check=False)
    if done.stderr:
        sys.exit(f"{' '.join(command)} failed:\n{done.stderr.decode()}")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    small = str(ROOT / "fixtures" / "minimal.flock.yaml")
    parser.add_argument("setup", nargs="?", default=small)
    parser.add_argument("--runs", type=int, default=30)
    options = parser.parse_args()
    program = os.path.join(sysconfig.get_path("scripts"), "flockcheck")
    with tempfile.TemporaryDirectory() as folder:
        bare = Path(folder) / "bare.py"
        bare.write_text(BARE, encoding="utf-8")
        pairs = {
            "a check": [program, "check", options.setup],
            "no fixes": [program, "check", "--no-fixes", options.setup],
            "--version": [program, "--version"],
        }
        for name, command in pairs.items():
            cost(command), cost([sys.executable, str(bare)])
            ratios = []
            for _ in range(options.runs):
                ours, theirs = cost(command), cost([sys.executable, str(bare)])
                ratios.append(ours / theirs)
            low, _, high = statistics.quantiles(ratios, n=4)
            middle = statistics.median(ratios)
            print(
                f"{name:<12} costs {middle:.2f} times a bare program "
                f"(half of {options.runs} pairs between {low:.2f} and {high:.2f})"
            )
    print(f"the target for a check is {AT_MOST} at most, reaching for {REACHED_FOR}")


main()
