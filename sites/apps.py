"""The one Django app, and the mistakes in an installation that it reports."""

import contextlib
import io
import warnings

from django.apps import AppConfig, apps
from django.core import checks

from sites.bootstrap import system_packages


class SitesConfig(AppConfig):
    """Rows, pages, tasks and commands of every subject."""

    name = "sites"
    label = "sites"
    verbose_name = "Sites"

    def ready(self) -> None:
        """Register the checks of the installation."""
        checks.register(check_no_contributed_sites)
        checks.register(check_text_libraries)


def check_no_contributed_sites(**_kwargs: object) -> list[checks.CheckMessage]:
    """Report django.contrib.sites: Django refuses two apps with the label `sites`."""
    if not apps.is_installed("django.contrib.sites"):
        return []
    return [
        checks.Error(
            "django.contrib.sites is installed; its label is that of our own app `sites`.",
            hint="Take it out of INSTALLED_APPS.",
            id="sites.E001",
        )
    ]


def check_text_libraries(**_kwargs: object) -> list[checks.CheckMessage]:
    """Report missing system libraries, which WeasyPrint loads when it is imported."""
    try:
        with warnings.catch_warnings(), contextlib.redirect_stdout(io.StringIO()):
            # Without the font embedder it goes on, but a pack's bytes then change at each print.
            warnings.filterwarnings("error", message="HarfBuzz-Subset", category=DeprecationWarning)
            import weasyprint  # noqa: F401
    except (OSError, DeprecationWarning) as fault:
        names = system_packages.lacking_libraries(str(fault))
        return [
            checks.Error(
                f"Packs cannot be printed, for a system package is missing: {', '.join(names)}.",
                hint=f"Type: {system_packages.command_to_type(names)}",
                id="sites.E002",
            )
        ]
    return []
