"""`manage.py schema`: the command of the library."""

from connections.command.schema import SCHEMA
from sites.management.library_command import LibraryCommand


class Command(LibraryCommand):
    """As `meterside schema`."""

    help = SCHEMA.help
    library = SCHEMA
