"""`manage.py start_firm`: make the first secret, the tables, the firm and its first manager."""

import os
from argparse import ArgumentParser
from collections.abc import Iterator
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import DatabaseError, connection

from sites.management.commands.add_person import Command as AddPerson
from sites.people.models import Firm, Person
from sites.people.writing import PersonRefused, create_person, save_firm
from sites.settings import KEY_FILE, local_secret_key


class Command(AddPerson):
    """Does what is not done yet, so that it can be run again; then says what is left."""

    help = "Make secret, tables, firm and first manager, and say what is left to do."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the firm and its first manager; the password is asked for."""
        parser.add_argument("--name", required=True, help="the firm's name")
        parser.add_argument("--manager", required=True, metavar="E-MAIL", help="to sign in with")
        parser.add_argument("--person", required=True, metavar="NAME", help="the manager's name")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Raises CommandError in one line where a step fails; earlier steps stay done."""
        if not os.environ.get("SECRET_KEY") and not KEY_FILE.exists():
            local_secret_key(KEY_FILE)
            self.stdout.write(f"Secret: made in {KEY_FILE}, readable by this user alone.")
        try:
            call_command("migrate", verbosity=0, interactive=False)
            self.stdout.write("Database: its tables are there and up to date.")
            firm = Firm.objects.first() or save_firm({"name": options["name"]})
            self.stdout.write(f"Firm: {firm.name}.")
            manager = Person.objects.filter(email__iexact=options["manager"]).first()
            manager = manager or create_person(
                email=options["manager"],
                name=options["person"],
                password=self.password(),
                roles=["manager"],
                by=None,
            )
        except DatabaseError as fault:
            raise CommandError(f"The database says: {str(fault).strip()}") from None
        except PersonRefused as refused:
            raise CommandError(str(refused)) from None
        self.stdout.write(f"Manager: {manager} signs in as {manager.email}.")
        left = list(_left())
        self.stdout.write("Left to do:" if left else "Nothing is left to do here.")
        for number, step in enumerate(left, 1):
            self.stdout.write(f"  {number}. {step}")


def _left() -> Iterator[str]:
    """What the environment of this call still lacks for work, in the order of doing it."""
    if not settings.SESSION_COOKIE_SECURE:
        yield "Serve it by HTTPS behind a proxy, and set HTTPS_ONLY=on."
    if not settings.TRUSTED_PROXY:
        yield "Set TRUSTED_PROXY to the address of the proxy, such as 127.0.0.1."
    if set(settings.ALLOWED_HOSTS) <= {"localhost", "127.0.0.1", "[::1]"}:
        yield "Set ALLOWED_HOSTS to the name that people open."
    if not settings.MAIL_IS_SET_UP:
        yield "Set EMAIL_URL and EMAIL_FROM, or hand invitations on by hand."
    if connection.vendor == "sqlite":
        yield "For more than one person take PostgreSQL: DATABASE_URL names it."
    yield "Start web and worker, and the timers of nightly and back_up (help page: running)."
    yield "Sign in, set up your one-time code, and invite an engineer."
