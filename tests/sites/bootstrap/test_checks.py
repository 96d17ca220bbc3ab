"""Mistakes in an installation that `manage.py check` reports."""

import sys

import pytest
from django.apps import apps
from django.core.checks import run_checks

from sites import apps as ours


def test_this_installation_is_in_order():
    assert ours.check_no_contributed_sites() == []
    assert ours.check_text_libraries() == []


def test_the_contributed_sites_app_is_refused(monkeypatch):
    monkeypatch.setattr(apps, "is_installed", lambda name: name == "django.contrib.sites")
    assert "sites.E001" in [fault.id for fault in run_checks()]


@pytest.mark.parametrize(
    ("raised", "package"),
    [
        (OSError("cannot load library 'libpangoft2-1.0-0'"), "libpangoft2-1.0-0"),
        (DeprecationWarning("HarfBuzz-Subset will be required"), "libharfbuzz-subset0"),
    ],
)
def test_a_missing_text_library_names_its_package(monkeypatch, capsys, raised, package):
    class Refusing:
        @staticmethod
        def find_spec(name, _path=None, _target=None):
            if name == "weasyprint":
                print("a banner of its own")
                raise raised

    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    monkeypatch.setattr(sys, "meta_path", [Refusing, *sys.meta_path])
    [fault] = [fault for fault in run_checks() if fault.id == "sites.E002"]
    assert fault.msg.endswith(f"a system package is missing: {package}.")
    assert fault.hint == f"Type: sudo apt-get install --no-install-recommends {package}"
    assert capsys.readouterr().out == ""
