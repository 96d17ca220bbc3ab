"""The two roles that the application knows from the start."""

from typing import Any

from django.db import migrations

ROLES = (
    ("office", "Office", "Types premises and designs, answers questions and adds attachments."),
    (
        "engineer",
        "Engineer",
        "Does what the office does, decides findings, asks questions and issues packs.",
    ),
)


def add_roles(apps: Any, _editor: Any) -> None:
    """Add the roles, once."""
    role = apps.get_model("sites", "Role")
    for key, name, may in ROLES:
        role.objects.update_or_create(key=key, defaults={"name": name, "may": may})


class Migration(migrations.Migration):
    """Nothing is taken back: people may hold the roles by then."""

    dependencies = (("sites", "0001_initial"),)
    operations = (migrations.RunPython(add_roles, migrations.RunPython.noop),)
