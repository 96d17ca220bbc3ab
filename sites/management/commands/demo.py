"""`manage.py demo`: decide the demonstration sites, print one pack, load them all and serve.

With `--once` it does all but serving.
"""

import re
import textwrap
from argparse import ArgumentParser
from pathlib import Path
from typing import TYPE_CHECKING

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

if TYPE_CHECKING:
    from connections.facts.decision import Decision

from sites.desk.demonstration import SITES

WIDTH = 100
SPELLED_OUT = ("stops", "decide")
SEVERITIES = (*SPELLED_OUT, "inform")


class Command(BaseCommand):
    """Migrates, decides, prints, loads and serves; set-up is done before."""

    help = __doc__

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare `--once`."""
        parser.add_argument(
            "--once", action="store_true", help="do it all and end, without serving pages"
        )
        parser.add_argument("--port", type=int, default=8000, help="listen here (8000)")

    def handle(self, *_args: object, port: int, once: bool, **_options: object) -> None:
        """Raises CommandError with one sentence where it can't be done."""
        if not 1 <= port <= 65535:
            raise CommandError("--port takes a number from 1 to 65535.")
        try:
            call_command("migrate", verbosity=0, interactive=False)
        except DatabaseError as fault:
            raise CommandError(f"The database cannot be set up: {fault}.") from fault
        files = sorted(SITES.glob("*.json"))
        if not files:
            raise CommandError(f"There are no demonstration sites in {SITES}.")
        self.stdout.write("Demonstration sites. They are invented, and so is everybody in them.")
        decisions = self.decide(files)
        chosen = worth_printing(decisions)
        pack = self.print_pack(chosen, f"{file_name(decisions[chosen].reference)}.pdf")
        self.stdout.write(f"\nThe pack of {decisions[chosen].reference} lies in\n  {pack}")
        self.load()
        if not once:
            self.serve(port)

    def load(self) -> None:
        """Load the demo firm, its people and the premises, once, and note the rules of each."""
        from sites.desk.writing.demonstration import load_demo
        from sites.desk.writing.demonstration_week import load_week

        people, premises = load_demo()
        self.stdout.write(f"\nLoaded into the database: {people} people, {premises} premises.")
        if premises:
            self.stdout.write(f"A week of the office: {load_week()} cases more, in every state.")
        call_command("rescreen", "--here", stdout=self.stdout, stderr=self.stderr)

    def serve(self, port: int) -> None:
        """Serve the pages with one worker beside them, until told to stop."""
        from sites.desk.writing.demonstration import PASSWORD, PEOPLE
        from sites.management.serving import AddressTakenError, Keeper

        host = "127.0.0.1"
        rows = [f"  {email:<30} password {PASSWORD}   ({role})" for email, _, role in PEOPLE]
        self.stdout.write(
            "\n".join([f"\nOpen http://{host}:{port}/ and sign in as", *rows, "Ctrl-C ends it."])
        )
        self.stdout.flush()
        try:
            code = Keeper(host, port).run()
        except AddressTakenError as fault:
            raise CommandError(f"{fault}.") from None
        if code:
            raise CommandError("The server ended by itself; its message stands above.")

    def decide(self, files: "list[Path]") -> "dict[Path, Decision]":
        """Decide each site, and print each decision as soon as it is there."""
        from connections.assessing import assess_file
        from connections.facts.site_file_error import SiteFileError
        from connections.rulebook.load import RulebookError

        decisions = {}
        for file in files:
            try:
                decisions[file] = assess_file(file)
            except (SiteFileError, RulebookError, OSError) as fault:
                raise CommandError(f"{file.name} cannot be decided: {fault}") from fault
            self.stdout.write("\n" + describe(decisions[file]))
        return decisions

    def print_pack(self, site: Path, name: str) -> Path:
        """Print the pack of one site into the run-time data; returns its path."""
        from connections.assessing import write_pack
        from connections.documents.print_error import PrintError
        from connections.pack.pack_error import PackError

        folder = settings.DATA / "demo"
        try:
            folder.mkdir(parents=True, exist_ok=True)
            return write_pack(site, folder / name)
        except (PackError, PrintError, OSError) as fault:
            raise CommandError(f"The pack cannot be written: {fault}") from fault


def describe(decision: "Decision") -> str:
    """A decision as text at most `WIDTH` columns wide.

    It names the procedure, the number of findings of each severity, and the sentences of those that
    somebody must act on.
    """
    counts = {
        severity: sum(finding.severity == severity for finding in decision.findings)
        for severity in SEVERITIES
    }
    flagged = ", ".join(f"{count} {severity}" for severity, count in counts.items() if count)
    rows = [
        ("procedure", f"{decision.procedure.key}: {decision.procedure.title}"),
        ("flagged", flagged or "nothing"),
    ]
    rows += [
        (severity, finding.sentence)
        for severity in SPELLED_OUT
        for finding in decision.findings
        if finding.severity == severity
    ]
    return "\n".join([decision.reference, *(_row(name, text) for name, text in rows)])


def _row(name: str, text: str) -> str:
    return textwrap.fill(text, WIDTH, initial_indent=f"  {name:<9}  ", subsequent_indent=" " * 13)


def worth_printing(decisions: "dict[Path, Decision]") -> Path:
    """The first site without a stop, whose pack is complete; else the first of all."""
    for file, decision in decisions.items():
        if all(finding.severity != "stops" for finding in decision.findings):
            return file
    return next(iter(decisions))


def file_name(reference: str) -> str:
    """A reference without characters that could lead out of a folder."""
    return re.sub(r"[^A-Za-z0-9_-]+", "-", reference).strip("-") or "site"
