"""The application for premises, designs and plant."""

from django.apps import AppConfig


class SitesConfig(AppConfig):
    """Premises and what stands on them; the lower of the two apps, which knows no application."""

    name = "sites"
    label = "sites"
    verbose_name = "Sites"
