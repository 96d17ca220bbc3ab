"""`assess`: decide site files and print the decisions."""

import datetime as dt
import sys
from argparse import ArgumentParser
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

import msgspec

from connections.command.calling import CallError, Command, Say
from connections.command.choices import add_choices, assessor_from, bytes_of
from connections.facts.canonical import canonical
from connections.facts.decision import Decision
from connections.facts.derivation import Derivation
from connections.facts.site_file_error import SiteFileError
from connections.rules.explaining.derivation import lines_of


def add_arguments(parser: ArgumentParser) -> None:
    """Declare the file, `--lines` and what overrides the file."""
    parser.add_argument("file", nargs="?", type=Path, help="a site file (site/1, JSON)")
    parser.add_argument(
        "--lines",
        metavar="FILE",
        help="read one site file a line from FILE (- is standard input), print one decision a line",
    )
    add_choices(parser)
    parser.add_argument(
        "--checks",
        action="store_true",
        help="with --lines: add the electrical checks, which one file always has",
    )
    parser.add_argument("--remedies", action="store_true", help="add what would make it pass")
    parser.add_argument(
        "--explain", action="store_true", help="add the trace and the whole derivation"
    )
    parser.add_argument(
        "--words",
        action="store_true",
        help="print the derivation of one file as plain lines, not as JSON",
    )


def run(
    say: Say,
    *,
    file: Path | None,
    lines: str | None,
    checks: bool,
    remedies: bool,
    explain: bool,
    words: bool,
    on: dt.date | None,
    area: str | None,
    local: list[Path],
    **_options: object,
) -> int:
    """Returns 1 where a line could not be read. Raises CallError."""
    if (file is None) == (lines is None):
        raise CallError("Give either a site file or --lines.")
    if words and file is None:
        raise CallError("--words goes with one site file, not with --lines.")
    if words and remedies:
        raise CallError("--words prints the derivation alone; leave out --remedies.")
    assessor = assessor_from(on, area, local)

    def decide(raw: bytes) -> Decision:
        return assessor.decide(
            assessor.site(raw),
            checks=checks or lines is None,
            remedies=remedies,
            explain=explain or words,
        ).decision

    if file is not None:
        _one(say, decide, file, in_words=words)
        return 0
    if lines is None or lines == "-":
        return _lines(decide, sys.stdin.buffer)
    try:
        with open(lines, "rb") as each:
            return _lines(decide, each)
    except OSError as fault:
        raise CallError(f"{lines} can't be read: {fault.strerror}.") from None


def _one(say: Say, decide: Callable[[bytes], Decision], path: Path, *, in_words: bool) -> None:
    raw = bytes_of(path)
    try:
        decision = decide(raw)
    except SiteFileError as fault:
        say(_error(fault).decode())
        raise CallError(f"{path.name}: {fault}") from None
    if in_words and isinstance(decision.derivation, Derivation):
        say("\n".join(lines_of(decision.derivation)))
        return
    say(msgspec.json.format(canonical(decision), indent=2).decode())


def _lines(decide: Callable[[bytes], Decision], lines: BinaryIO) -> int:
    out = sys.stdout.buffer
    failed = False
    for line in lines:
        if not line.strip():
            continue
        try:
            answer = canonical(decide(line))
        except SiteFileError as fault:
            failed = True
            answer = _error(fault)
        out.write(answer + b"\n")
    out.flush()
    return int(failed)


def _error(fault: SiteFileError) -> bytes:
    return canonical({"error": {"path": fault.path, "message": fault.message}})


ASSESS = Command("Decide a site file and print the decision as JSON.", add_arguments, run)
