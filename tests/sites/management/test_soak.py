"""`manage.py soak`: what it says of its cases. That it solves them stands beside the oracle."""

from math import inf

import pytest
from django.core.management import CommandError, call_command

from sites.management.commands import soak
from sites.management.soaking import Difference


def run(monkeypatch: pytest.MonkeyPatch, found: list[Difference], *words: str) -> None:
    asked: list[tuple[int, int]] = []

    def differences(cases: int, seed: int) -> list[Difference]:
        asked.append((cases, seed))
        return found

    monkeypatch.setattr(soak, "installed", lambda: True)
    monkeypatch.setattr(soak, "differences", differences)
    call_command("soak", *words)
    assert asked == [(500, 60909)] or words


def test_it_says_how_far_apart_the_furthest_are(monkeypatch, capsys):
    found = [
        Difference("one", 2e-6),
        Difference("two", 9e-5),
        Difference("none", 0.0, impossible=True),
    ]
    run(monkeypatch, found)
    assert capsys.readouterr().out == (
        "3 cases: at most 9.0e-05 V apart (tolerance 0.0001); "
        "1 without an operating point, to both.\n"
    )


def test_a_case_that_is_too_far_apart_fails_and_is_named(monkeypatch, capsys):
    found = [
        Difference("this is fine", 1e-4),
        Difference("this is far", 2e-4),
        Difference("one alone finds it", inf),
    ]
    with pytest.raises(CommandError, match="2 of 3 cases are further apart"):
        run(monkeypatch, found)
    said = capsys.readouterr().out
    assert "this is fine" not in said
    assert "apart by 2.0e-04 V: this is far" in said
    assert "one of the two finds no operating point: one alone finds it" in said


def test_it_says_what_to_do_where_pandapower_is_not_there(monkeypatch):
    monkeypatch.setattr(soak, "installed", lambda: False)
    with pytest.raises(CommandError, match=r"not installed; python3 manage\.py test"):
        call_command("soak")


@pytest.mark.parametrize("bad", ["0", "-5"])
def test_no_cases_are_refused(bad):
    with pytest.raises(CommandError, match="at least 1"):
        call_command("soak", "--cases", bad)
