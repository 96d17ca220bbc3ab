"""`manage.py pack`: the command of the library."""

from connections.command.pack import PACK
from sites.management.library_command import LibraryCommand


class Command(LibraryCommand):
    """As `meterside pack`."""

    help = PACK.help
    library = PACK
