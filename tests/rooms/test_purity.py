"""The pure rooms stand alone: no framework, no numeric library, no database at import."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
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
BARRED = (
    "django",
    "environ",
    "psycopg",
    "weasyprint",
    "pint",
    "numpy",
    "pandas",
    "pvlib",
    "holidays",
)


def modules_of(room: str) -> list[str]:
    """Every module of a room, by its dotted name."""
    found = []
    for path in sorted((ROOT / "connections" / room).rglob("*.py")):
        parts = path.relative_to(ROOT).with_suffix("").parts
        found.append(".".join(parts[:-1] if parts[-1] == "__init__" else parts))
    return found


def run(code: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )


BARRING = f"""
import sys

class Barred:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] in {BARRED!r}:
            raise ImportError(name + " is barred here")

sys.meta_path.insert(0, Barred())
"""


@pytest.mark.parametrize("room", ROOMS)
def test_a_room_loads_where_nothing_else_is_installed(room: str) -> None:
    names = modules_of(room)
    assert len(names) > 1
    done = run(BARRING + "".join(f"import {name}\n" for name in names))
    assert done.returncode == 0, done.stderr


def test_barring_bars() -> None:
    """The check above can fail: what needs the framework is refused."""
    done = run(BARRING + "import sites.settings")
    assert done.returncode == 1
    assert "barred here" in done.stderr


def test_a_site_is_decided_without_the_framework(tmp_path: Path) -> None:
    """Deciding needs the unit library for the rulebook's files, and nothing of the web."""
    file = ROOT / "sites" / "desk" / "demonstration" / "05-pv-only.json"
    barring = BARRING.replace("'pint', ", "")
    done = run(
        barring
        + f"""
from pathlib import Path
from connections.assessing import assess_file
print(assess_file(Path({str(file)!r})).procedure.key)
"""
    )
    assert done.stdout.strip() == "g98-single", done.stderr


def test_without_the_unit_library_no_rulebook_loads() -> None:
    """As DEVELOPERS says: amounts of the files have units, and pint reads them."""
    done = run(BARRING + "from connections.rulebook.load import load_books\nload_books()")
    assert done.returncode == 1
    assert "pint is barred here" in done.stderr


def test_the_two_apps_have_empty_front_doors() -> None:
    for app in ("connections", "sites"):
        assert (ROOT / app / "__init__.py").read_text() == ""
