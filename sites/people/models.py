"""The firm, its people and their roles. One firm per installation."""

from typing import ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models.functions import Lower

from sites.house.models.base import Keyed

MANAGER = "manager"
OFFICE = "office"
ENGINEER = "engineer"
INSTALLER = "installer"


class Firm(Keyed):
    """The installing firm; its details fill the installer's part of every new premises."""

    name = models.CharField(max_length=200)
    address = models.TextField(blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=50, blank=True)
    registration = models.CharField(max_length=200, blank=True)
    requires_code = models.BooleanField(
        default=False, help_text="Whether everybody signs in with a one-time code as well."
    )
    logo = models.BinaryField(blank=True, default=b"")
    logo_digest = models.CharField(max_length=64, blank=True)

    def __str__(self) -> str:
        return self.name


class Role(models.Model):
    """A role: what a person may do. Roles are rows, so that a later role is data."""

    key = models.SlugField(unique=True)
    name = models.CharField(max_length=100)
    may = models.TextField(help_text="What people with this role may do, in one sentence.")


class People(BaseUserManager["Person"]):
    """Finds people by e-mail whatever its case."""

    def get_by_natural_key(self, username: str | None) -> "Person":
        """The person with this e-mail address."""
        return self.get(email__iexact=username)

    def create_user(self, email: str, password: str | None, **fields: object) -> "Person":
        """Make a person. The address is kept in small letters, for they are all the same."""
        person = self.model(email=email.strip().lower(), **fields)
        person.set_password(password)
        person.full_clean()
        person.save()
        return person


class Person(Keyed, AbstractBaseUser):
    """A person who signs in by e-mail."""

    email = models.EmailField(unique=True)
    name = models.CharField(max_length=200)
    is_active = models.BooleanField(default=True)
    roles = models.ManyToManyField(Role, related_name="people")
    invited_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    morning_mail = models.BooleanField(default=True)
    mailed_on = models.DateField(null=True, blank=True)

    objects = People()
    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    class Meta:
        constraints = (models.UniqueConstraint(Lower("email"), name="person_email_whatever_case"),)

    def __str__(self) -> str:
        return self.name or self.email

    def has_role(self, key: str) -> bool:
        """Whether the person has the role; asks the database once for each person loaded."""
        if not hasattr(self, "_role_keys"):
            self._role_keys = frozenset(self.roles.values_list("key", flat=True))
        return key in self._role_keys

    @property
    def is_engineer(self) -> bool:
        """Whether the person may decide findings and issue packs."""
        return self.has_role(ENGINEER)

    @property
    def is_manager(self) -> bool:
        """Whether the person may invite people, change their roles and keep the firm's details."""
        return self.has_role(MANAGER)

    @property
    def is_installer(self) -> bool:
        """Whether the person is an installer and nothing else, who sees only the cases given.

        Whoever has another role besides sees all that this role sees.
        """
        others = (MANAGER, OFFICE, ENGINEER)
        return self.has_role(INSTALLER) and not any(self.has_role(each) for each in others)


class SignInCount(models.Model):
    """What the throttle of sign-in counts: the table of Django's cache, for all processes."""

    cache_key = models.CharField(primary_key=True, max_length=255)
    value = models.TextField()
    expires = models.DateTimeField(db_index=True)
