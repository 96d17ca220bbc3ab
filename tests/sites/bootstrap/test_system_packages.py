"""Which system packages are missed, and what is done or said about it."""

import pytest

from sites.bootstrap import system_packages
from sites.bootstrap.system_packages import SYSTEM_PACKAGES, Machine, missing, wanted
from sites.bootstrap.tools import Outcome, SetUpError

RUN_TIME = [
    "python3-venv",
    "libpango-1.0-0",
    "libpangoft2-1.0-0",
    "libharfbuzz-subset0",
    "fonts-dejavu-core",
]
FOR_TESTS = ["chromium", "postgresql", "poppler-utils"]
WITHOUT_RIGHTS = Machine(debian=True, makes_environments=False, rights=None)
ROOT = Machine(debian=True, makes_environments=False, rights=())


def dpkg(*installed: str) -> Outcome:
    """What dpkg-query prints, and its code 1 because others are unknown to it."""
    lines = [f"{name} install ok installed" for name in installed]
    return Outcome(1, "\n".join([*lines, "dpkg-query: no packages found matching other"]))


@pytest.mark.parametrize(
    ("purpose", "makes_environments", "names"),
    [
        ("demo", False, RUN_TIME),
        ("demo", True, RUN_TIME[1:]),
        ("test", False, RUN_TIME + FOR_TESTS),
        ("test", True, RUN_TIME[1:] + FOR_TESTS),
    ],
)
def test_the_list_for_a_purpose(purpose, makes_environments, names):
    assert [package.name for package in wanted(purpose, makes_environments)] == names


@pytest.mark.parametrize(
    ("status", "is_missing"),
    [
        ("chromium install ok installed", False),
        ("chromium hold ok installed", False),
        ("chromium deinstall ok config-files", True),
        ("chromium install ok half-installed", True),
        ("chromium install reinstreq half-configured", True),
        ("chromium unknown ok not-installed", True),
        ("dpkg-query: no packages found matching chromium", True),
        ("", True),
    ],
)
def test_only_what_dpkg_calls_installed_is_there(tools, status, is_missing):
    chromium = next(package for package in SYSTEM_PACKAGES if package.name == "chromium")
    tools.on("dpkg-query", Outcome(0, status))
    assert missing([chromium], tools) == ((chromium,) if is_missing else ())


def test_nothing_is_run_but_the_question_when_all_are_there(tools, capsys):
    tools.on("dpkg-query", dpkg(*RUN_TIME))
    system_packages.ensure("demo", ROOT, tools)
    assert len(tools.ran) == 1
    assert capsys.readouterr() == ("", "")


@pytest.mark.parametrize("rights", [(), ("sudo", "-n")])
def test_with_rights_the_missing_ones_alone_are_installed(tools, capsys, rights):
    tools.on("dpkg-query", dpkg(*RUN_TIME[:3]))
    machine = Machine(debian=True, makes_environments=False, rights=rights)
    system_packages.ensure("demo", machine, tools)
    [install] = tools.ran_with(" install -y")
    assert install.startswith(" ".join([*rights, "env DEBIAN_FRONTEND=noninteractive apt-get"]))
    assert install.endswith("--no-install-recommends libharfbuzz-subset0 fonts-dejavu-core")
    assert (
        "Installing system packages (libharfbuzz-subset0, fonts-dejavu" in capsys.readouterr().err
    )


def test_without_rights_a_missing_run_time_package_stops_with_the_command(tools):
    tools.on("dpkg-query", dpkg(*RUN_TIME[:4]))
    with pytest.raises(SetUpError) as stopped:
        system_packages.ensure("test", WITHOUT_RIGHTS, tools)
    assert str(stopped.value) == (
        "System packages are missing, and there are no rights to install them. Type: sudo apt-get "
        "install --no-install-recommends fonts-dejavu-core chromium postgresql poppler-utils"
    )
    assert not tools.ran_with("apt-get")


def test_without_rights_packages_for_tests_are_done_without(tools, capsys):
    tools.on("dpkg-query", dpkg(*RUN_TIME, "poppler-utils"))
    system_packages.ensure("test", WITHOUT_RIGHTS, tools)
    said = capsys.readouterr()
    assert said.out == ""
    assert "Without chromium, postgresql (no rights to install) some tests skip" in said.err
    assert "sudo apt-get install --no-install-recommends chromium postgresql\n" in said.err


@pytest.mark.parametrize(
    ("update", "install", "cause"),
    [
        # apt-get update ends with 0 though it fetched nothing; apt 2.6 (Debian 12) prints this.
        (
            Outcome(0, "W: Failed to fetch http://x/InRelease  Temporary failure resolving 'x'"),
            Outcome(100, "E: Unable to locate package chromium"),
            "there is no network",
        ),
        (
            Outcome(0, ""),
            Outcome(100, "E: Unable to locate package chromium"),
            "not offered for this system",
        ),
        (
            Outcome(0, "W: Failed to fetch http://x/InRelease  Could not resolve 'x'"),
            Outcome(100, "E: You don't have enough free space in /var/cache/apt/archives/."),
            "the disk is full",
        ),
        (
            Outcome(100, "E: Could not get lock /var/lib/apt/lists/lock. It is held by process 7"),
            Outcome(100, "E: Could not get lock /var/lib/dpkg/lock-frontend."),
            "another program is installing packages",
        ),
    ],
)
def test_a_failed_installation_names_its_cause(tools, update, install, cause):
    tools.on("dpkg-query", dpkg(*RUN_TIME[:4]))
    tools.on("apt-get -q update", update)
    tools.on(" install -y", install)
    with pytest.raises(SetUpError, match=f"Installing system packages failed: .*{cause}"):
        system_packages.ensure("demo", ROOT, tools)


@pytest.mark.parametrize(
    ("said", "packages"),
    [
        ("cannot load library 'libpango-1.0-0': libpango-1.0-0: not found", ["libpango-1.0-0"]),
        ("cannot load library 'libpangoft2-1.0-0': not found", ["libpangoft2-1.0-0"]),
        ("HarfBuzz-Subset will be required by future versions", ["libharfbuzz-subset0"]),
        ("cannot load library 'libgobject-2.0-0': not found", RUN_TIME[1:4]),
    ],
)
def test_a_library_leads_to_its_package(said, packages):
    assert list(system_packages.lacking_libraries(said)) == packages


class TestElsewhereThanOnDebian:
    @staticmethod
    def machine(*, makes_environments: bool = True) -> Machine:
        return Machine(debian=False, makes_environments=makes_environments, rights=())

    def test_apt_is_left_alone(self, tools):
        system_packages.ensure("test", self.machine(), tools)
        assert tools.ran == []

    def test_a_python_that_makes_no_environment_stops(self, tools):
        with pytest.raises(SetUpError, match="cannot make an environment"):
            system_packages.ensure("demo", self.machine(makes_environments=False), tools)

    def test_it_goes_on_if_packs_can_be_printed(self, tools):
        system_packages.check_text_libraries(self.machine(), "python", tools)
        assert tools.ran == ["python -I -c import weasyprint"]

    def test_it_says_what_is_needed_if_not(self, tools):
        tools.on("import weasyprint", Outcome(1, "OSError: cannot load library 'libpango-1.0-0'"))
        with pytest.raises(
            SetUpError, match=r"what Debian calls libpango-1\.0-0, and run it again"
        ):
            system_packages.check_text_libraries(self.machine(), "python", tools)
