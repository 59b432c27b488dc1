"""How long do the answers take? Side by side in one run, as ratios to a bare numpy import.

Run: python scripts/bench/bench_answers.py

Each line is the least processor time of five fresh processes, start-up included, beside a fresh
process that imports numpy and click and nothing else. They run as the installed command does, with
compiled files: where ``PYTHONDONTWRITEBYTECODE`` is set, each run would compile the source anew.
Name further checkouts to have them measured in the same run, such as the state before a change:
python scripts/bench/bench_answers.py ../before
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage

ROOT = Path(__file__).resolve().parents[2]
OUTSIDE = ROOT.parent / "shared" / "open-data" / "flavour-network-2011"
LOAD_ALL = (
    "import time; t = time.perf_counter(); from pairing.evidence import catalog;"
    "c = catalog.load();"
    "[getattr(c, n) for n in ('sources', 'groups', 'compounds', 'thresholds', 'ingredients',"
    " 'forms', 'form_materials', 'composition', 'odorants', 'modifiers', 'origins', 'brews',"
    " 'traditions', 'sweeteners', 'household', 'glasses', 'caffeine')];"
    "print(time.perf_counter() - t)"
)
PLAIN_READ = (
    "import csv, time; from pathlib import Path; t = time.perf_counter();"
    f"[list(csv.reader(p.open(encoding='utf-8'))) for p in Path({str(ROOT / 'data')!r})"
    ".glob('*.csv')]; print(time.perf_counter() - t)"
)


def best(args: list[str], times: int = 5, root: Path = ROOT) -> tuple[float, str]:
    """Least processor time of fresh processes, seconds, and what the last one printed."""
    env = {**os.environ, "PYTHONPATH": str(root)}
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    env["PYTHONPYCACHEPREFIX"] = str(Path(tempfile.gettempdir()) / "pairing-bench")
    found, text = [], ""
    for _ in range(times + 1):  # the first one compiles and is not counted
        start = getrusage(RUSAGE_CHILDREN)
        done = subprocess.run(args, capture_output=True, text=True, env=env, check=True, cwd=root)
        end = getrusage(RUSAGE_CHILDREN)
        found.append(end.ru_utime + end.ru_stime - start.ru_utime - start.ru_stime)
        text = done.stdout
    return min(found[1:]), text


def main() -> None:
    """Print the table."""
    python = sys.executable
    floor, _ = best([python, "-c", "import numpy, click"])
    print(f"{'bare import of numpy and click':<58}{floor * 1000:7.0f} ms   1.0 x")
    pairing = [python, "-c", "from pairing.cli import main; main()"]
    commands = [
        ["suggest", "--origin", "burundi", "--roast", "light"],
        ["suggest", "--origin", "burundi", "--size", "4"],
        ["check", "green-cardamom", "--origin", "kenya"],
        ["formula", "mandarin", "green-cardamom", "black-pepper", "--origin", "burundi"],
        ["drink", "mandarin", "green-cardamom", "--style", "sparkling"],
        ["label", "mandarin", "green-cardamom"],
        ["ratio", "--strength", "2:1", "--yield-g", "500"],
        ["show", "green-cardamom"],
    ]
    if OUTSIDE.is_dir():
        commands.append(
            ["graph", "load", "--ingredients", str(OUTSIDE / "ingr_info.tsv"), "--compounds",
             str(OUTSIDE / "comp_info.tsv"), "--links", str(OUTSIDE / "ingr_comp.tsv")]
        )  # fmt: skip
    for command in commands:
        name = "pairing " + " ".join(Path(c).name if "/" in c else c for c in command)
        line = f"{name[:57]:<58}"
        for root in (ROOT, *(Path(a).resolve() for a in sys.argv[1:])):
            seconds, _ = best([*pairing, *command], root=root)
            line += f"{seconds * 1000:7.0f} ms {seconds / floor:5.1f} x"
        print(line)
    loads = [float(best([python, "-c", LOAD_ALL], 1)[1]) for _ in range(5)]
    reads = [float(best([python, "-c", PLAIN_READ], 1)[1]) for _ in range(5)]
    print(
        f"{'all tables into records':<58}{min(loads) * 1000:7.0f} ms "
        f"{min(loads) / min(reads):5.1f} x a plain csv.reader over the same files "
        f"({min(reads) * 1000:.0f} ms)"
    )


if __name__ == "__main__":
    main()
