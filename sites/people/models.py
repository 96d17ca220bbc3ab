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
        """Make a person; the address is kept as typed and compared without case."""
        person = self.model(email=email.strip(), **fields)
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
        """Whether the person is an installer and nothing else: sees only cases given to him.

        Whoever has another role besides sees all that this role sees.
        """
        others = (MANAGER, OFFICE, ENGINEER)
        return self.has_role(INSTALLER) and not any(self.has_role(each) for each in others)
