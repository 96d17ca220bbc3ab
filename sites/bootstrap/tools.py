"""Run other programs: log what they print, and put a failure into one sentence."""

import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path


class SetUpError(Exception):
    """The set-up cannot go on; the text is the one line that the person reads."""


@dataclass(frozen=True)
class Outcome:
    """Result of a program: its exit code, and all that it printed."""

    code: int
    output: str

    @property
    def ok(self) -> bool:
        """Whether the program said that it succeeded."""
        return self.code == 0


def say(sentence: str) -> None:
    """Tell the person something about the set-up; never on standard output (results)."""
    print(sentence, file=sys.stderr, flush=True)


class Tools:
    """Runs programs without a keyboard.

    `log` is the file for what they print; `logged` says whether anything was written. `lock` is the
    open file of the lock on the set-up.
    """

    def __init__(self, log: Path, lock: int | None = None) -> None:
        self._log = log
        self._lock = lock
        self.logged = False

    def ask(self, command: Sequence[str], *, inherit: tuple[int, ...] = ()) -> Outcome:
        """Run a short question that changes nothing; its answer is not logged.

        `inherit` holds open files that the program gets as well.
        """
        # Messages are matched in English, and PIP_ settings could send packages elsewhere.
        environment = {
            name: value
            for name, value in os.environ.items()
            if name not in {"LANGUAGE", "PIP_USER", "PIP_TARGET", "PIP_PREFIX", "PIP_ROOT"}
        }
        environment["LC_ALL"] = "C.UTF-8"
        try:
            done = subprocess.run(
                list(command),
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.STDOUT,
                env=environment,
                encoding="utf-8",
                errors="replace",
                check=False,
                pass_fds=inherit,
            )
        except OSError as fault:
            return Outcome(127, str(fault))
        return Outcome(done.returncode, done.stdout)

    def work(self, command: Sequence[str], *, starts_servers: bool = False) -> Outcome:
        """Run a program that changes something, and log the command and what it printed.

        The program inherits the lock, so that it stays held if this process is killed first. A
        program that `starts_servers` does not, for servers would never release it.
        """
        held = () if self._lock is None or starts_servers else (self._lock,)
        outcome = self.ask(command, inherit=held)
        entry = f"$ {' '.join(command)}\n{outcome.output}\n(exit code {outcome.code})\n\n"
        try:
            # The first entry replaces an earlier run's log.
            with self._log.open("a" if self.logged else "w", encoding="utf-8") as log:
                log.write(entry)
            self.logged = True
        except OSError as fault:
            # On a full disk the log fails together with the tool, and the tool's words count.
            say(f"{self._log} cannot be written: {fault.strerror}.")
        return outcome


DISK_FULL = "the disk is full; free some space and run it again"

# Phrases of apt, dpkg, pip and the C library, the most telling first: a full disk also produces
# errors about packages, and a missing network also produces "no matching distribution".
_CAUSES: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        DISK_FULL,
        ("no space left on device", "not enough free space", "enough free space in", "errno 28"),
    ),
    (
        "another program is installing packages; wait until it has finished and run it again",
        ("could not get lock", "unable to acquire the dpkg frontend lock"),
    ),
    (
        "the server's certificate could not be verified; look at the clock and the proxy",
        ("certificate_verify_failed", "certificate verification failed", "sslerror"),
    ),
    (
        "there is no network, or it is too slow; mend it and run it again",
        (
            "temporary failure resolving",
            "temporary failure in name resolution",
            "name or service not known",
            "could not resolve",
            "network is unreachable",
            "no route to host",
            "failed to establish a new connection",
            "connection refused",
            "connection reset",
            "connection broken",
            "connection failed",
            "unable to connect",
            "could not connect",
            "timed out",
            "proxyerror",
            "max retries exceeded",
            "failed to fetch",
        ),
    ),
    (
        "there is no right to write there",
        ("permission denied", "read-only file system", "are you root", "operation not permitted"),
    ),
    (
        "a package of the list is not offered for this system or this Python",
        (
            "unable to locate package",
            "has no installation candidate",
            "no matching distribution",
            "could not find a version",
            "resolutionimpossible",
            "requires a different python",
        ),
    ),
)


def cause_of(outcome: Outcome) -> str:
    """Why a program failed, in a few words: a known cause, or else the last line it printed."""
    printed = outcome.output.lower()
    for cause, phrases in _CAUSES:
        if any(phrase in printed for phrase in phrases):
            return cause
    if outcome.code < 0:
        return f"it was ended by signal {-outcome.code} (too little memory?)"
    lines = [line.strip() for line in outcome.output.splitlines() if line.strip()]
    return lines[-1] if lines else f"it ended with code {outcome.code} and said nothing"


def cause_of_fault(fault: OSError) -> str:
    """Why reading or writing one of our own files failed, with the file's name."""
    what = cause_of(Outcome(1, f"{fault.strerror or fault}"))
    return f"{fault.filename}: {what}" if fault.filename else what
