"""`manage.py schema`: print the JSON Schema of site files or of decision files."""

from argparse import ArgumentParser
from typing import Any

import msgspec
from django.core.management.base import BaseCommand

from connections.facts.schema import SCHEMAS


class Command(BaseCommand):
    """Prints one schema as JSON; every property has its title and a sentence."""

    help = "Print the JSON Schema of site/1 or of decision/1."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare `which` schema to print."""
        parser.add_argument("which", nargs="?", choices=sorted(SCHEMAS), default="site")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Write the schema that was asked for."""
        schema = msgspec.json.encode(SCHEMAS[options["which"]]())
        self.stdout.write(msgspec.json.format(schema, indent=2).decode())
