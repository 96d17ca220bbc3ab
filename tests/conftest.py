"""What holds for every test: system programs that some need, and whether skipping is allowed."""

import glob
import os
import shutil

import hypothesis
import pytest
from django.conf import settings

from connections.bootstrap.system_packages import command_to_type

# Marker: a program that must be there, and the system package that brings it.
NEEDS = {
    "browser": ("chromium", "chromium"),
    "postgresql": ("/usr/lib/postgresql/*/bin/initdb", "postgresql"),
    "poppler": ("pdftotext", "poppler-utils"),
}
# Set by .ci/run: a check that can be left out without anybody noticing is not a check.
SKIPS_FAIL = "METERSIDE_SKIPS_FAIL"

# Generated values are the same in every run, and a busy machine is no fault of theirs.
hypothesis.settings.register_profile("steady", derandomize=True, deadline=None, database=None)
hypothesis.settings.load_profile("steady")

_skipped = pytest.StashKey[list[str]]()


def pytest_configure(config: pytest.Config) -> None:
    config.stash[_skipped] = []
    if settings.configured:
        settings.SECRET_KEY = "for tests alone, where nothing signed outlives the test"


def pytest_runtest_setup(item: pytest.Item) -> None:
    for marker, (program, package) in NEEDS.items():
        if item.get_closest_marker(marker) and not (shutil.which(program) or glob.glob(program)):
            pytest.skip(f"{package} is not installed; type: {command_to_type([package])}")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    report = yield
    if report.skipped and not hasattr(report, "wasxfail"):
        item.config.stash[_skipped].append(report.nodeid)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector):
    report = yield
    if report.skipped:
        collector.config.stash[_skipped].append(report.nodeid)
    return report


def pytest_sessionfinish(session: pytest.Session) -> None:
    if _skips_fail(session.config) and session.exitstatus == pytest.ExitCode.OK:
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


def pytest_terminal_summary(terminalreporter) -> None:
    if _skips_fail(terminalreporter.config):
        skipped = sorted(terminalreporter.config.stash[_skipped])
        terminalreporter.write_line(
            f"Skipping counts as failing here, and {len(skipped)} skipped: {', '.join(skipped)}"
        )


def _skips_fail(config: pytest.Config) -> bool:
    return os.environ.get(SKIPS_FAIL) == "1" and bool(config.stash[_skipped])
