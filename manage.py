#!/usr/bin/env python3
"""The one command of this project: prepares its own environment, then hands over to Django."""

import os
import sys

from sites import bootstrap


def main() -> None:
    """Enter `.venv` (which `demo` and `test` make first), then run the Django command."""
    bootstrap.prepare(sys.argv)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "sites.settings")
    if sys.argv[1:2] in (["demo"], ["bench"], ["pictures"]):
        os.environ.setdefault("METERSIDE_DEMO", "1")
    try:
        from django.core.management import execute_from_command_line
    except ImportError as missing:
        from sites.bootstrap.entry import SET_UP

        sys.exit(f"The environment in .venv lacks a package ({missing}). {SET_UP}")
    from django.core.exceptions import ImproperlyConfigured

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as fault:
        # Django's own words for a missing database name no variable of ours.
        if not str(fault).startswith("settings.DATABASES"):
            sys.exit(str(fault))
        from django.conf import settings

        sys.exit(settings.NO_DATABASE)


if __name__ == "__main__":
    main()
