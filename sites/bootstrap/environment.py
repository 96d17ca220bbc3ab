"""The environment in `.venv`: made once, filled from the package lists, renewed when they change.

Each finished step leaves a stamp with the hash of its input; a step runs again only if the hash
changes. An interrupted run leaves a mark, and the next run starts from nothing.
"""

import hashlib
import os
import platform
import shutil
import sys
from pathlib import Path

from sites.bootstrap.paths import Paths
from sites.bootstrap.tools import DISK_FULL, SetUpError, Tools, cause_of, say

_PYTHON_VERSION = "import pip, platform; print(platform.python_version())"


def ensure(purpose: str, paths: Paths, tools: Tools) -> bool:
    """Make `.venv` hold what "demo" or "test" needs; True if there was anything to do.

    The caller holds the lock. Raises SetUpError with the one line to show.
    """
    usable = _usable_version(paths, tools)
    version = usable or _make(paths, tools)
    lists = paths.requirements(purpose)
    stale = [file for file in lists if read_stamp(paths, file) != fingerprint(file, version)]
    if stale:
        _install(lists, paths, tools, renewing=usable is not None)
        for file in lists:
            write_stamp(paths, file, fingerprint(file, version))
        paths.unfinished.unlink(missing_ok=True)
    return usable is None or bool(stale)


def fingerprint(file: Path, python_version: str) -> str:
    """sha256 over a package list, the Python that it is installed for, and the machine."""
    seen = hashlib.sha256(file.read_bytes())
    seen.update(f"\0{python_version}\0{platform.machine()}".encode())
    return seen.hexdigest()


def read_stamp(paths: Paths, file: Path) -> str | None:
    """The hash that the last installation of this package list left, if any."""
    try:
        return _stamp_file(paths, file).read_text(encoding="ascii").strip()
    except (FileNotFoundError, UnicodeDecodeError):
        return None


def write_stamp(paths: Paths, file: Path, value: str) -> None:
    """Record a finished step; whole or not at all."""
    _write_whole(_stamp_file(paths, file), value)


def _stamp_file(paths: Paths, file: Path) -> Path:
    # .ci/requirements.txt and requirements.txt must not share a stamp.
    return paths.stamps / file.relative_to(paths.root).as_posix().replace("/", "-").lstrip(".")


def _write_whole(target: Path, text: str) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    aside = target.with_name(f"{target.name}.{os.getpid()}")
    aside.write_text(text + "\n", encoding="ascii")
    aside.replace(target)


def _usable_version(paths: Paths, tools: Tools) -> str | None:
    """The Python version of a whole `.venv` that belongs here; None if it must be made anew."""
    if paths.unfinished.exists() or not (paths.venv / "pyvenv.cfg").is_file():
        return None
    place = paths.stamps / "place"
    if place.exists():
        # Scripts inside carry the path, so a copied or moved environment is no use.
        if place.read_text(encoding="utf-8").strip() != str(paths.venv):
            return None
    else:
        _write_place(paths)
    answer = tools.ask([str(paths.python), "-I", "-c", _PYTHON_VERSION])
    version = answer.output.strip()
    # After a system upgrade the link leads to a newer Python, which does not see the packages.
    if answer.ok and made_for(paths) == minor(version):
        return version
    return None


def made_for(paths: Paths) -> str:
    """The Python ("3.11") that the packages in `.venv` were installed for; "" if it isn't told."""
    for line in (paths.venv / "pyvenv.cfg").read_text(encoding="utf-8").splitlines():
        name, _, value = line.partition("=")
        if name.strip() == "version":
            return minor(value.strip())
    return ""


def minor(version: str) -> str:
    """ "3.11" of "3.11.2"."""
    return ".".join(version.split(".")[:2])


def _write_place(paths: Paths) -> None:
    paths.stamps.mkdir(parents=True, exist_ok=True)
    (paths.stamps / "place").write_text(f"{paths.venv}\n", encoding="utf-8")


def _make(paths: Paths, tools: Tools) -> str:
    if is_inside(paths):
        raise SetUpError(
            "The environment in .venv must be made anew: run it with python3 from outside it."
        )
    _remove(paths)
    paths.unfinished.parent.mkdir(parents=True)
    paths.unfinished.touch()
    say("Making the Python environment in .venv ...")
    done = tools.work([sys.executable, "-I", "-m", "venv", str(paths.venv)])
    if not done.ok:
        raise SetUpError(f"Making the environment in .venv failed: {cause_of(done)}.")
    _write_place(paths)
    answer = tools.ask([str(paths.python), "-I", "-c", _PYTHON_VERSION])
    if not answer.ok:
        raise SetUpError(f"The new environment in .venv does not work: {cause_of(answer)}.")
    return answer.output.strip()


def _remove(paths: Paths) -> None:
    """Take the old environment out of the way in one step, so that no half of it stays."""
    refuse = paths.data / "old-environment"
    if paths.venv.is_symlink():
        paths.venv.unlink()
    shutil.rmtree(refuse, ignore_errors=True)
    if paths.venv.exists():
        paths.venv.replace(refuse)
        shutil.rmtree(refuse, ignore_errors=True)


def _install(lists: tuple[Path, ...], paths: Paths, tools: Tools, *, renewing: bool) -> None:
    say("Installing Python packages (about a minute) ...")
    paths.unfinished.parent.mkdir(parents=True, exist_ok=True)
    paths.unfinished.touch()
    # Wheels alone: a bare machine has no compiler, and "not offered" is a clearer failure.
    command = [str(paths.python), "-I", "-m", "pip", "--disable-pip-version-check", "--no-input"]
    command += ["install", "-q", "--only-binary=:all:"]
    for file in lists:
        command += ["-r", str(file)]
    done = tools.work(command)
    if not done.ok:
        # When pip itself gives up, it restores what it took away, and the old packages still work.
        # After a full disk or a signal nobody restores them.
        if renewing and done.code > 0 and cause_of(done) != DISK_FULL:
            paths.unfinished.unlink()
        raise SetUpError(f"Installing Python packages failed: {cause_of(done)}.")


def is_inside(paths: Paths) -> bool:
    """Whether this very process runs in `.venv`."""
    try:
        return Path(sys.prefix).samefile(paths.venv)
    except FileNotFoundError:
        return False
