"""Make each listed change in a copy of the tree, run the nearest tests, and say what survives.

    .venv/bin/python -m tests.changes [--only NAME ...]

The exit code is 0 where the tests notice every change but those that are marked `survives`.
"""

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.changes.listed import ROOT, Change, changes, fault

PASSED, FAILED = 0, 1
"""Exit codes of pytest; any other one says that the tests did not run."""

LONGEST_S = 900


def copy_of_tree(folder: Path) -> None:
    """Copy every file that is tracked or could be; the environment is linked."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        check=True,
        capture_output=True,
        text=True,
    ).stdout
    for name in filter(None, listed.split("\0")):
        if (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, folder / name)
    environment = folder / ".venv"
    if not environment.exists():
        environment.symlink_to((ROOT / ".venv").resolve())


def run_tests(folder: Path, tests: Sequence[str], on: str) -> tuple[int, str]:
    """Run tests in the copy to the first failure; pytest's exit code and what it said."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests]
    if on == "postgresql":
        command = [".ci/postgresql", *command]
    ran = subprocess.run(
        command,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": ""},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=LONGEST_S,
    )
    return ran.returncode, ran.stdout + ran.stderr


class Trial:
    """Makes changes one after another in one copy of the tree."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._writes = 0

    def noticed(self, change: Change) -> bool:
        """Whether the nearest tests fail with the change. Raises SystemExit if they can't run."""
        file = self.folder / change.file
        before = file.read_text()
        self._write(file, before.replace(change.text, change.becomes))
        try:
            code, said = run_tests(self.folder, change.tests, change.on)
        finally:
            self._write(file, before)
        if code not in (PASSED, FAILED):
            raise SystemExit(f"{change.name}: the tests did not run\n{said}")
        return code == FAILED

    def _write(self, file: Path, text: str) -> None:
        """Write with a time of its own: compiled code is told from stale by time and size."""
        file.write_text(text)
        self._writes += 1
        os.utime(file, (1_000_000_000 + 10 * self._writes,) * 2)


def check_unchanged(folder: Path, chosen: list[Change]) -> None:
    """Run the nearest tests of all chosen changes on the tree as it is.

    Raises SystemExit where one fails, since it would seem to notice every change.
    """
    for on in ("any", "postgresql"):
        tests = sorted({test for change in chosen if change.on == on for test in change.tests})
        if tests:
            code, said = run_tests(folder, tests, on)
            if code != PASSED:
                raise SystemExit(f"the tests do not pass without any change\n{said}")


def main() -> int:
    """Run what the arguments choose; returns the exit code."""
    reader = argparse.ArgumentParser(prog="tests.changes", description=__doc__)
    reader.add_argument("--only", nargs="+", metavar="NAME", help="only the changes of these names")
    asked = reader.parse_args().only
    every = changes()
    if unknown := set(asked or ()) - {change.name for change in every}:
        raise SystemExit(f"no such change: {', '.join(sorted(unknown))}")
    chosen = [change for change in every if not asked or change.name in asked]
    if faults := [said for change in chosen if (said := fault(change))]:
        raise SystemExit("\n".join(faults))
    survived: list[Change] = []
    with tempfile.TemporaryDirectory(prefix="meterside-changes-") as place:
        folder = Path(place)
        copy_of_tree(folder)
        check_unchanged(folder, chosen)
        trial = Trial(folder)
        for n, change in enumerate(chosen, start=1):
            noticed = trial.noticed(change)
            if not noticed:
                survived.append(change)
            print(
                f"{n:3}/{len(chosen)} {'noticed ' if noticed else 'SURVIVED'} {change.name}",
                flush=True,
            )
    print(f"{len(survived)} of {len(chosen)} changes survived.")
    marked = {change.name for change in chosen if change.survives}
    found = {change.name for change in survived}
    for name in sorted(marked - found):
        print(f"{name} is noticed now; take its mark off.")
    return 0 if found == marked else 1


if __name__ == "__main__":
    sys.exit(main())
