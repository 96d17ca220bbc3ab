"""`manage.py firm`: enter the installing firm, which is the installer on new premises."""

from argparse import ArgumentParser

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from sites.people.models import Firm
from sites.people.writing import save_firm


class Command(BaseCommand):
    """Makes the firm's row or changes the given values; prints the firm."""

    help = "Set or show the firm's name, address, e-mail, telephone and registration."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare what can be set; \\n in the address begins a new line."""
        for name in ("name", "address", "email", "phone", "registration"):
            parser.add_argument(f"--{name}")

    def handle(self, *_args: object, **options: object) -> None:
        """Raises CommandError in one line where a value can't be kept."""
        given = {
            name: str(options[name]).replace("\\n", "\n")
            for name in ("name", "address", "email", "phone", "registration")
            if options[name] is not None
        }
        try:
            firm = save_firm(given) if given else Firm.objects.first()
        except ValidationError as fault:
            raise CommandError(f"Nothing was kept: {'; '.join(fault.messages)}") from None
        if firm is None:
            raise CommandError("There is no firm yet; give at least --name.")
        for name in ("name", "address", "email", "phone", "registration"):
            self.stdout.write(f"{name:<13} {getattr(firm, name)}")
