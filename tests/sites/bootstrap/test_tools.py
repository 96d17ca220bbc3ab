"""Running programs for real, and what their failures are called."""

import errno
import os
import sys

import pytest

from sites.bootstrap.tools import Outcome, Tools, cause_of, cause_of_fault


# The phrases are those of apt 2.6, pip 23 and glibc 2.36, seen by taking network, disk and rights
# away from a bare Debian 12.
@pytest.mark.parametrize(
    ("printed", "cause"),
    [
        ("OSError: [Errno 28] No space left on device", "the disk is full"),
        ("E: You don't have enough free space in /var/cache/apt/archives/.", "the disk is full"),
        ("Temporary failure in name resolution", "there is no network"),
        ("Err:1 http://x bookworm InRelease\n  Temporary failure resolving 'x'", "there is no net"),
        ("Read timed out. (read timeout=15)", "there is no network"),
        ("SSLCertVerificationError(1, '[SSL: CERTIFICATE_VERIFY_FAILED]')", "the server's certif"),
        ("E: Could not get lock /var/lib/dpkg/lock-frontend", "another program is installing"),
        ("E: Could not open lock file - open (13: Permission denied)", "there is no right"),
        ("ERROR: No matching distribution found for one==9", "a package of the list is not off"),
        # pip says both without a network; the network is the cause.
        (
            "NewConnectionError('Failed to establish a new connection')\n"
            "ERROR: No matching distribution found for one==9",
            "there is no network",
        ),
        ("first\n\nsomething new went wrong\n\n", "something new went wrong"),
        ("", "it ended with code 3 and said nothing"),
    ],
)
def test_a_cause_in_plain_words(printed, cause):
    assert cause_of(Outcome(3, printed)).startswith(cause)


@pytest.mark.parametrize(
    ("number", "cause"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EACCES, "there is no right to write there"),
        (errno.EROFS, "there is no right to write there"),
    ],
)
def test_a_fault_of_our_own_names_the_file(number, cause):
    fault = OSError(number, os.strerror(number), "/x/.data")
    assert cause_of_fault(fault).startswith(f"/x/.data: {cause}")


def test_a_program_runs_in_english_without_keyboard_or_strange_folders(tmp_path, monkeypatch):
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    monkeypatch.setenv("PIP_TARGET", "/elsewhere")
    program = (
        "import os, sys; print(os.environ['LC_ALL'], os.environ.get('PIP_TARGET'));"
        "print(repr(sys.stdin.read()), file=sys.stderr); sys.exit(4)"
    )
    outcome = Tools(tmp_path / "log").ask([sys.executable, "-c", program])
    assert outcome.code == 4
    assert sorted(outcome.output.splitlines()) == ["''", "C.UTF-8 None"]


def test_a_program_that_is_not_there_is_an_outcome(tmp_path):
    outcome = Tools(tmp_path / "log").ask(["/no/such/program"])
    assert not outcome.ok
    assert "No such file" in outcome.output


def test_the_log_keeps_the_work_of_one_run(tmp_path):
    log = tmp_path / "log"
    log.write_text("an earlier run")
    tools = Tools(log)
    tools.ask(["echo", "question"])
    before = tools.logged
    assert log.read_text() == "an earlier run"
    tools.work(["echo", "first"])
    tools.work(["false"])
    assert (before, tools.logged) == (False, True)
    assert log.read_text() == "$ echo first\nfirst\n\n(exit code 0)\n\n$ false\n\n(exit code 1)\n\n"


def test_a_log_that_cannot_be_written_does_not_hide_the_outcome(tmp_path, capsys):
    outcome = Tools(tmp_path / "absent" / "log").work(["echo", "words"])
    assert outcome == Outcome(0, "words\n")
    assert "cannot be written" in capsys.readouterr().err
