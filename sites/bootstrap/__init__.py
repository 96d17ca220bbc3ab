"""Set-up of the project on a bare machine, with the standard library alone.

manage.py calls `prepare` before anything else. This file, `__main__` and manage.py use only what
Python 3.6 can read, so that an old Python shows a sentence and no SyntaxError. The modules beside
this one are imported only after the version is checked.
"""

import sys

OLDEST_PYTHON = (3, 11)


def old_python_message(version: "tuple[int, ...]") -> "str | None":
    """Message for a Python of this version (major, minor, ...) if it is too old, else None."""
    if version[:2] >= OLDEST_PYTHON:
        return None
    oldest, this = (".".join(map(str, numbers[:2])) for numbers in (OLDEST_PYTHON, version))
    return (
        f"This needs Python {oldest} or later, and this is Python {this}: "
        "run it with a newer python3 (Debian 12 and 13 have one)."
    )


def prepare(argv: "list[str]") -> None:
    """Make sure that the command in `argv` (as sys.argv) runs inside a complete `.venv`.

    `demo` and `test` set up what is missing; any other command only enters what is there.
    Returns when this process is inside `.venv`, replaces the process to get there, or ends it
    with one line on standard error and a non-zero exit code.
    """
    _refuse_old_python()
    from sites.bootstrap.entry import enter

    enter(argv[1] if len(argv) > 1 else "help")


def set_up(purpose: str) -> None:
    """Set up for `purpose` ("demo" or "test") and return without entering `.venv`; ends the
    process as `prepare` does.
    """
    _refuse_old_python()
    from sites.bootstrap.entry import set_up_only

    set_up_only(purpose)


def _refuse_old_python() -> None:
    message = old_python_message(sys.version_info[:2])
    if message is not None:
        sys.exit(message)
