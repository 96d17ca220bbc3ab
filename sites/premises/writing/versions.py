"""Raises the version of an application, for every act on its review, files or packs."""

from django.db.models import F

from sites.premises.models import Application, Case


def raise_version(case: Case) -> None:
    """Raise the version of a case's application; others who raise it wait for this transaction."""
    Application.objects.filter(pk=case.application_id).update(version=F("version") + 1)


def raise_version_of(application: Application) -> None:
    """Raise the version of an application."""
    Application.objects.filter(pk=application.pk).update(version=F("version") + 1)
