"""Importing all the pure rooms together brings along nothing that reaches outside or is heavy."""

import pkgutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROOMS = (
    "facts",
    "calendar",
    "electrical",
    "rulebook",
    "rules",
    "remedies",
    "energy",
    "diagram",
    "pack",
    "prices",
)

# Frameworks, numeric libraries and units (also barred one room at a time in test_purity.py), and
# what the standard library has for networks and databases.
HEAVY = ("django", "environ", "psycopg", "numpy", "pandas", "scipy", "pint", "pvlib", "holidays",
         "weasyprint", "requests", "urllib3", "sqlite3", "socket", "ssl", "asyncio")  # fmt: skip


def modules() -> list[str]:
    names: list[str] = []
    for room in ROOMS:
        names.append(f"connections.{room}")
        found = pkgutil.walk_packages([str(ROOT / "connections" / room)], f"connections.{room}.")
        names += sorted(module.name for module in found)
    return names


def test_nothing_heavy_is_loaded():
    code = "import sys\n"
    code += "".join(f"import {name}\n" for name in modules())
    code += f"print(sorted(set({HEAVY!r}) & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert (done.returncode, done.stdout.strip()) == (0, "[]"), done.stderr
