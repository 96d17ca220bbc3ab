"""`manage.py assess`: the command of the library."""

from connections.command.assess import ASSESS
from sites.management.library_command import LibraryCommand


class Command(LibraryCommand):
    """As `meterside assess`."""

    help = ASSESS.help
    library = ASSESS
