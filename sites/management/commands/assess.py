"""`manage.py assess`: decide site files and print the decisions, without a database."""

import datetime as dt
import sys
from argparse import ArgumentParser
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO

import msgspec
from django.core.management.base import BaseCommand, CommandError

from connections.facts.canonical import canonical
from connections.facts.decision import Decision
from connections.facts.derivation import Derivation
from connections.facts.site_file_error import SiteFileError
from connections.rules.explaining.derivation import lines_of
from sites.management.choices import add_choices, assessor_from


class Command(BaseCommand):
    """Prints decision/1 as JSON; a site that can't be read prints where and why."""

    help = "Decide a site file and print the decision as JSON."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the file, `--lines` and what overrides the file."""
        parser.add_argument("file", nargs="?", type=Path, help="a site file (site/1, JSON)")
        parser.add_argument(
            "--lines",
            metavar="FILE",
            help="read one site file a line from FILE (- is standard input), print one decision "
            "a line",
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

    def handle(
        self,
        *_args: object,
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
    ) -> None:
        """Raises CommandError for faults of the call; exits 1 where a site could not be read."""
        if (file is None) == (lines is None):
            raise CommandError("Give either a site file or --lines.")
        if words and file is None:
            raise CommandError("--words goes with one site file, not with --lines.")
        if words and remedies:
            raise CommandError("--words prints the derivation alone; leave out --remedies.")
        assessor = assessor_from(on, area, local)

        def decide(raw: bytes) -> Decision:
            return assessor.decide(
                assessor.site(raw),
                checks=checks or lines is None,
                remedies=remedies,
                explain=explain or words,
            ).decision

        if file is not None:
            self._one(decide, file, in_words=words)
        elif lines is None or lines == "-":
            self._lines(decide, sys.stdin.buffer)
        else:
            try:
                with open(lines, "rb") as each:
                    self._lines(decide, each)
            except OSError as fault:
                raise CommandError(f"{lines} can't be read: {fault.strerror}.") from None

    def _one(self, decide: Callable[[bytes], Decision], path: Path, *, in_words: bool) -> None:
        try:
            raw = path.read_bytes()
        except OSError as fault:
            raise CommandError(f"{path} can't be read: {fault.strerror}.") from None
        try:
            decision = decide(raw)
        except SiteFileError as fault:
            self.stdout.write(_error(fault).decode())
            raise CommandError(f"{path.name}: {fault}") from None
        if in_words and isinstance(decision.derivation, Derivation):
            self.stdout.write("\n".join(lines_of(decision.derivation)))
            return
        self.stdout.write(msgspec.json.format(canonical(decision), indent=2).decode())

    def _lines(self, decide: Callable[[bytes], Decision], lines: BinaryIO) -> None:
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
        if failed:
            sys.exit(1)


def _error(fault: SiteFileError) -> bytes:
    return canonical({"error": {"path": fault.path, "message": fault.message}})
