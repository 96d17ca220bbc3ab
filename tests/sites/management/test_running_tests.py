"""`manage.py test`: what it hands to pytest."""

import os

import pytest

from sites.management.commands.test import Command

SPREAD = ["-n", "auto", "--dist", "worksteal"]


@pytest.mark.parametrize(
    ("given", "handed_on"),
    [
        ([], SPREAD),
        (["--night"], ["--night", *SPREAD]),
        (["tests/docs", "-q"], ["tests/docs", "-q"]),
        (["-m", "browser"], ["-m", "browser"]),
    ],
)
def test_the_whole_suite_is_spread_and_a_part_is_not(monkeypatch, given, handed_on):
    began = []
    monkeypatch.setattr(os, "chdir", lambda _folder: None)
    monkeypatch.setattr(os, "execv", lambda _program, arguments: began.append(arguments[3:]))
    Command().run_from_argv(["manage.py", "test", *given])
    assert began == [handed_on]
