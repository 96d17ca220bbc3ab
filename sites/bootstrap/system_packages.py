"""The system packages that the project needs: the one list, and their installation."""

import importlib.util
import os
import shlex
import shutil
import sys
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from sites.bootstrap.tools import SetUpError, Tools, cause_of, say


@dataclass(frozen=True)
class SystemPackage:
    """A Debian package (12 and 13 name them alike) and its purpose.

    `library` is the name by which WeasyPrint asks for a library.
    """

    name: str
    purpose: str
    library: str = ""
    tests_only: bool = False


SYSTEM_PACKAGES = (
    SystemPackage("python3-venv", "makes the environment in .venv"),
    SystemPackage("libpango-1.0-0", "lays out the text of a pack", "pango-1.0"),
    SystemPackage("libpangoft2-1.0-0", "finds and measures the fonts of a pack", "pangoft2-1.0"),
    SystemPackage("libharfbuzz-subset0", "embeds fonts in a pack", "harfbuzz-subset"),
    SystemPackage("fonts-dejavu-core", "the typeface of a pack"),
    SystemPackage("chromium", "the browser of the page tests", tests_only=True),
    SystemPackage("postgresql", "the second database of the tests", tests_only=True),
    SystemPackage("poppler-utils", "turns a PDF into text and pictures in tests", tests_only=True),
)


@dataclass(frozen=True)
class Machine:
    """What the set-up must know of the machine.

    `rights` are the words that make a command run as root (none for root itself), or None without
    such rights.
    """

    debian: bool
    makes_environments: bool
    rights: tuple[str, ...] | None


def this_machine(tools: Tools) -> Machine:
    """Examine this machine; asks `sudo` only whether it works without a password."""
    rights: tuple[str, ...] | None = None
    if os.geteuid() == 0:
        rights = ()
    elif shutil.which("sudo") and tools.ask(["sudo", "-n", "true"]).ok:
        rights = ("sudo", "-n")
    return Machine(
        debian=bool(shutil.which("dpkg-query") and shutil.which("apt-get")),
        makes_environments=_makes_environments(),
        rights=rights,
    )


def _makes_environments() -> bool:
    # Debian's python3 has venv but, without python3-venv, no ensurepip to fill it.
    return all(importlib.util.find_spec(name) for name in ("venv", "ensurepip"))


def wanted(purpose: str, makes_environments: bool) -> tuple[SystemPackage, ...]:
    """The packages for "demo" or "test". python3-venv is left out where this Python can already
    make an environment, for it may be another Python than Debian's.
    """
    return tuple(
        package
        for package in SYSTEM_PACKAGES
        if (purpose == "test" or not package.tests_only)
        and not (makes_environments and package.name == "python3-venv")
    )


def missing(packages: Iterable[SystemPackage], tools: Tools) -> tuple[SystemPackage, ...]:
    """Those of `packages` that dpkg does not call installed."""
    packages = tuple(packages)
    answer = tools.ask(
        ["dpkg-query", "-W", "-f=${Package} ${Status}\n", *(package.name for package in packages)]
    )
    installed = {
        words[0]
        for words in (line.split() for line in answer.output.splitlines())
        if len(words) == 4 and words[3] == "installed"
    }
    return tuple(package for package in packages if package.name not in installed)


def command_to_type(names: Collection[str]) -> str:
    """The command that a person with rights types to install these packages."""
    return "sudo apt-get install --no-install-recommends " + " ".join(map(shlex.quote, names))


def ensure(purpose: str, machine: Machine, tools: Tools) -> None:
    """Install the system packages for "demo" or "test".

    Raises SetUpError where that fails, or where rights are missing. Packages that only tests use
    are then done without: those tests skip and name the cause. Systems other than Debian have other
    names of packages; there `check_text_libraries` decides.
    """
    if not machine.debian:
        if not machine.makes_environments:
            raise SetUpError(
                f"{sys.executable} cannot make an environment: add its modules venv and ensurepip."
            )
        return
    absent = missing(wanted(purpose, machine.makes_environments), tools)
    if not absent:
        return
    absent_names = [package.name for package in absent]
    if machine.rights is not None:
        _install(absent_names, machine.rights, tools)
    elif all(package.tests_only for package in absent):
        say(
            f"Without {', '.join(absent_names)} (no rights to install) some tests skip. "
            f"To install: {command_to_type(absent_names)}"
        )
    else:
        raise SetUpError(
            "System packages are missing, and there are no rights to install them. "
            f"Type: {command_to_type(absent_names)}"
        )


def lacking_libraries(said: str) -> tuple[str, ...]:
    """Packages of the libraries that WeasyPrint's message names; all of them if it names none."""
    libraries = [package for package in SYSTEM_PACKAGES if package.library]
    named = [package.name for package in libraries if package.library in said.lower()]
    return tuple(named or [package.name for package in libraries])


def check_text_libraries(machine: Machine, python: str, tools: Tools) -> None:
    """On a system without Debian's package records, see whether `python` can load WeasyPrint.

    Raises SetUpError with what has to be installed.
    """
    if machine.debian:
        return
    answer = tools.ask([python, "-I", "-c", "import weasyprint"])
    if not answer.ok:
        raise SetUpError(
            "Libraries for packs are missing. Install what Debian calls "
            f"{', '.join(lacking_libraries(answer.output))}, and run it again."
        )


def _install(names: Sequence[str], rights: Sequence[str], tools: Tools) -> None:
    say(f"Installing system packages ({', '.join(names)}; about a minute) ...")
    apt_get = [*rights, "env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-q"]
    # A bare machine has no package lists yet. One unreachable source must not stop what the
    # others offer, so only the installation decides.
    listed = tools.work([*apt_get, "update"])
    install = ["install", "-y", "--no-install-recommends", *names]
    installed = tools.work(
        [*apt_get, "-o", "DPkg::Lock::Timeout=60", *install], starts_servers=True
    )
    if not installed.ok:
        # An unknown package only means that lists could not be fetched.
        echo = not listed.ok or "Failed to fetch" in listed.output
        echo = echo and "Unable to locate package" in installed.output
        cause = cause_of(listed if echo else installed)
        raise SetUpError(f"Installing system packages failed: {cause}.")
