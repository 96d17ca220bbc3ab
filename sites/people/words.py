"""Roles and mails in words."""

from sites.people.models import ENGINEER, INSTALLER, MANAGER, OFFICE

ROLES: dict[str, tuple[str, str]] = {
    MANAGER: (
        "Manager",
        "Does what the office does, invites people, gives them roles and keeps the firm’s details.",
    ),
    OFFICE: ("Office", "Types premises and designs, answers questions and adds attachments."),
    ENGINEER: (
        "Engineer",
        "Does what the office does, decides findings, asks questions and issues packs.",
    ),
    INSTALLER: ("Installer", "Works on the cases given to this person, and sees no others."),
}
"""The roles that the application knows: name, and what they allow."""

INVITED = """{name},

{by} invites you to Meterside, where {firm} prepares applications to network operators.

Open this address to choose your password. It works once, for three days:

{link}

If you do not know {by}, leave this mail alone.
"""

FORGOTTEN = """{name},

somebody asked for a new password for this address in Meterside.

Open this address to choose one. It works once, for three days:

{link}

If it was not you, leave this mail alone: your password stays as it is.
"""
