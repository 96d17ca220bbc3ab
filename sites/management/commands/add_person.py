"""`manage.py add_person`: add a person who can sign in, also the first one."""

import getpass
import sys
from argparse import ArgumentParser

from django.core.management.base import BaseCommand, CommandError

from sites.people.words import ROLES
from sites.people.writing import PersonRefused, create_person


class Command(BaseCommand):
    """Asks for the password, so that it stands in no shell's history."""

    help = "Add a person who can sign in; the password is asked for."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare address, name and roles."""
        parser.add_argument("email", help="the address to sign in with")
        parser.add_argument("--name", required=True)
        parser.add_argument("--role", action="append", choices=sorted(ROLES), required=True)

    def handle(
        self, *_args: object, email: str, name: str, role: list[str], **_options: object
    ) -> None:
        """Raises CommandError in one line where the person can't be made."""
        try:
            person = create_person(
                email=email,
                name=name,
                password=self.password(),
                roles=role,
                by=None,
            )
        except PersonRefused as refused:
            raise CommandError(str(refused)) from None
        self.stdout.write(f"{person} can sign in as {person.email}.")

    def password(self) -> str:
        """The password: typed twice, or one line of standard input where that is no terminal."""
        if not sys.stdin.isatty():
            return sys.stdin.readline().rstrip("\n")
        first = getpass.getpass("Password: ")
        if getpass.getpass("The same again: ") != first:
            raise CommandError("The two passwords differ; nothing was made.")
        return first
