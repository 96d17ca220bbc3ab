#!/usr/bin/env python3
"""The one command of this project: prepares its own environment, then hands over to Django."""

import os
import sys

from sites import bootstrap


def main() -> None:
    """Enter `.venv` (which `demo` and `test` make first), then run the Django command."""
    bootstrap.prepare(sys.argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "sites.settings")
    if sys.argv[1:2] == ["demo"]:
        os.environ.setdefault("METERSIDE_DEMO", "1")
    try:
        from django.core.management import execute_from_command_line
    except ImportError as missing:
        from sites.bootstrap.entry import SET_UP

        sys.exit(f"The environment in .venv lacks a package ({missing}). {SET_UP}")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
