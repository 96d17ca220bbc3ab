"""Enter `.venv`: which command sets up, which only enters, and which is refused."""

import os
import sys
import time
from dataclasses import dataclass
from typing import Literal, NoReturn

from sites.bootstrap import environment, system_packages
from sites.bootstrap.locking import only_one
from sites.bootstrap.paths import Paths
from sites.bootstrap.tools import SetUpError, Tools, cause_of_fault, say

SETTING_UP = ("demo", "test")
SET_UP = "Run `python3 manage.py demo` (or `test`): it does all the set-up."

# Set for the process that replaces this one, so that it neither sets up again nor loops.
_ENTERED = "METERSIDE_ENTERED"


@dataclass(frozen=True)
class Situation:
    """All that the first step depends on: the command, this process and `.venv`.

    `inside`: this process runs in `.venv`. `entered`: an earlier process put it there.
    """

    command: str
    inside: bool
    entered: bool
    venv: Literal["absent", "broken", "whole"]


@dataclass(frozen=True)
class Step:
    """The first step: set up, enter, go on in this process, or refuse with a sentence."""

    kind: Literal["set-up", "enter", "go-on", "refuse"]
    sentence: str = ""


def first_step(now: Situation) -> Step:
    """Decide from a situation alone, without touching anything."""
    if now.entered:
        if now.inside:
            return Step("go-on")
        return Step("refuse", f"The environment in .venv does not work: delete it. {SET_UP}")
    if now.command in SETTING_UP:
        return Step("set-up")
    if now.venv == "absent":
        return Step("refuse", f"There is no environment in .venv yet. {SET_UP}")
    if now.venv == "broken":
        return Step("refuse", f"The environment in .venv is not complete. {SET_UP}")
    return Step("go-on" if now.inside else "enter")


def enter(command: str) -> None:
    """Bring this process into `.venv` for `command`, as `sites.bootstrap.prepare` says."""
    paths = Paths()
    try:
        now = Situation(
            command=command,
            inside=environment.is_inside(paths),
            entered=os.environ.pop(_ENTERED, None) is not None,
            venv=_look_at(paths),
        )
        step = first_step(now)
        if step.kind == "refuse":
            raise SetUpError(step.sentence)
        if step.kind == "set-up":
            _set_up(command, paths)
        if not now.inside:
            _replace_process(paths)
    except (SetUpError, OSError, KeyboardInterrupt) as fault:
        _end(fault)


def set_up_only(purpose: str) -> None:
    """Set up for "demo" or "test" without entering; on failure ends the process with one line."""
    try:
        _set_up(purpose, Paths())
    except (SetUpError, OSError, KeyboardInterrupt) as fault:
        _end(fault)


def _look_at(paths: Paths) -> Literal["absent", "broken", "whole"]:
    if not paths.venv.exists():
        return "absent"
    # The interpreter is a link, which an upgrade of the system can leave without a target.
    whole = (paths.venv / "pyvenv.cfg").is_file() and paths.python.exists()
    return "whole" if whole and not paths.unfinished.exists() else "broken"


def _set_up(purpose: str, paths: Paths) -> None:
    began = time.monotonic()
    with only_one(paths.lock) as lock:
        tools = Tools(paths.log, lock)
        try:
            machine = system_packages.this_machine(tools)
            system_packages.ensure(purpose, machine, tools)
            worked = environment.ensure(purpose, paths, tools)
            system_packages.check_text_libraries(machine, str(paths.python), tools)
        except SetUpError as stopped:
            if tools.logged:
                raise SetUpError(f"{stopped} What was printed is in {paths.log}.") from stopped
            raise
    if worked:
        say(f"Set up in {time.monotonic() - began:.0f} s.")


def _replace_process(paths: Paths) -> NoReturn:
    os.environ[_ENTERED] = "1"
    sys.stdout.flush()
    sys.stderr.flush()
    os.execv(paths.python, [str(paths.python), *sys.orig_argv[1:]])


def _end(fault: BaseException) -> NoReturn:
    if isinstance(fault, KeyboardInterrupt):
        say("Stopped from the keyboard.")
        sys.exit(130)
    if isinstance(fault, OSError):
        sys.exit(f"Set-up failed: {cause_of_fault(fault)}.")
    sys.exit(str(fault))
