"""What holds for every test: system programs that some need, and whether skipping is allowed."""

import glob
import os
import shutil
import tempfile
from collections.abc import Iterator
from typing import Any

import hypothesis
import pytest
from django.conf import settings

from sites.bootstrap.system_packages import command_to_type

# Marker: a program that must be there, and the system package that brings it.
NEEDS = {
    "browser": ("chromium", "chromium"),
    "postgresql": ("/usr/lib/postgresql/*/bin/initdb", "postgresql"),
    "poppler": ("pdftotext", "poppler-utils"),
}
# Set by .ci/run: a check that can be left out without anybody noticing is not a check.
SKIPS_FAIL = "METERSIDE_SKIPS_FAIL"

# Generated values: few and the same in every run, or at night many that nobody tried before. A busy
# machine is no fault of theirs.
hypothesis.settings.register_profile(
    "change", max_examples=30, derandomize=True, deadline=None, database=None
)
hypothesis.settings.register_profile(
    "night", max_examples=1000, deadline=None, database=None, print_blob=True
)

_folder = pytest.StashKey[str]()

_ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--night", action="store_true", help="try many generated values that are new each time"
    )


def pytest_configure(config: pytest.Config) -> None:
    hypothesis.settings.load_profile("night" if config.getoption("--night") else "change")
    if os.environ.get(SKIPS_FAIL) == "1":
        config.pluginmanager.register(SkipsFail())
    if settings.configured:
        # For commands that tests run in processes of their own.
        os.environ.setdefault("DATABASE_URL", f"sqlite:///{settings.DATA}/meterside.sqlite3")
        # Hashing in earnest takes a quarter of a second, for each sign-in.
        settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
        settings.SECRET_KEY = "for tests alone, where nothing signed outlives the test"
        _keep_the_database_in_a_file(config)


def _keep_the_database_in_a_file(config: pytest.Config) -> None:
    """Several threads of a server use the database at once, as in earnest. SQLite in memory would
    be one connection that they all share, with one transaction."""
    database: Any = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3"):
        config.stash[_folder] = tempfile.mkdtemp(prefix="meterside-tests-")
        database.setdefault("TEST", {})["NAME"] = f"{config.stash[_folder]}/tests.sqlite3"


def pytest_unconfigure(config: pytest.Config) -> None:
    if folder := config.stash.get(_folder, ""):
        shutil.rmtree(folder)


@pytest.fixture
def night(pytestconfig: pytest.Config) -> bool:
    """Whether there is time for long trials."""
    return bool(pytestconfig.getoption("--night"))


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """Debian's chromium, one for the whole run."""
    from playwright.sync_api import sync_playwright

    with pytest.MonkeyPatch.context() as patched, sync_playwright() as started:
        # Playwright's loop runs in this thread; Django would take it for asynchronous code.
        patched.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        browser = started.chromium.launch(executable_path="/usr/bin/chromium", args=_ARGUMENTS)
        yield browser
        browser.close()


def pytest_runtest_setup(item: pytest.Item) -> None:
    for marker, (program, package) in NEEDS.items():
        if item.get_closest_marker(marker) and not (shutil.which(program) or glob.glob(program)):
            pytest.skip(f"{package} is not installed; type: {command_to_type([package])}")


class SkipsFail:
    """Fails the run for each skip, of this process or of one that it hands tests to."""

    def __init__(self) -> None:
        self.skipped: set[str] = set()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.skipped and not hasattr(report, "wasxfail"):
            self.skipped.add(report.nodeid)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.skipped:
            self.skipped.add(report.nodeid)

    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        if self.skipped and session.exitstatus == pytest.ExitCode.OK:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED

    def pytest_terminal_summary(self, terminalreporter) -> None:
        if self.skipped:
            terminalreporter.write_line(
                f"Skipping counts as failing here, and {len(self.skipped)} skipped: "
                f"{', '.join(sorted(self.skipped))}"
            )
