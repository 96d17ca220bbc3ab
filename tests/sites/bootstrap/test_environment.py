"""When `.venv` is made, filled, left alone or made anew. No test here runs pip."""

import pytest

from sites.bootstrap import environment
from sites.bootstrap.tools import Outcome, SetUpError

VERSION = "3.11.2"


def make_venv(paths, version=VERSION):
    """What `python -m venv` leaves behind, as far as we look at it."""

    def venv() -> Outcome:
        paths.venv.mkdir(exist_ok=True)
        (paths.venv / "pyvenv.cfg").write_text(f"home = /usr/bin\nversion = {version}\n")
        return Outcome(0, "")

    return venv


@pytest.fixture
def working(paths, tools):
    """Tools with which everything succeeds."""
    tools.on("-m venv", make_venv(paths))
    tools.on("python_version()", Outcome(0, f"{VERSION}\n"))
    return tools


def installs(tools) -> list[str]:
    """The lists of each run of pip."""
    return [line.partition(" -r ")[2] for line in tools.ran_with("-m pip")]


def test_the_first_run_makes_and_fills_it(paths, working):
    assert environment.ensure("demo", paths, working)
    assert len(working.ran_with("-m venv")) == 1
    assert installs(working) == [str(paths.root / "requirements.txt")]
    assert not paths.unfinished.exists()


def test_a_second_run_does_nothing(paths, working):
    environment.ensure("test", paths, working)
    working.ran.clear()
    assert not environment.ensure("test", paths, working)
    assert not environment.ensure("demo", paths, working)
    assert installs(working) == []
    assert not working.ran_with("-m venv")


def test_tests_after_a_demo_add_the_tools(paths, working):
    environment.ensure("demo", paths, working)
    working.ran.clear()
    assert environment.ensure("test", paths, working)
    both = f"{paths.root}/requirements.txt -r {paths.root}/.ci/requirements.txt"
    assert installs(working) == [both]
    assert not working.ran_with("-m venv")


@pytest.mark.parametrize(
    ("changed", "purpose", "runs"),
    [
        ("requirements.txt", "demo", 1),
        ("requirements.txt", "test", 1),
        (".ci/requirements.txt", "test", 1),
        (".ci/requirements.txt", "demo", 0),
    ],
)
def test_a_changed_list_is_installed_where_it_matters(paths, working, changed, purpose, runs):
    environment.ensure("test", paths, working)
    working.ran.clear()
    (paths.root / changed).write_text("three==3\n")
    environment.ensure(purpose, paths, working)
    assert len(installs(working)) == runs
    assert not working.ran_with("-m venv")


def test_the_hash_covers_list_python_and_machine(paths, monkeypatch):
    file = paths.root / "requirements.txt"
    seen = {environment.fingerprint(file, "3.11.2"), environment.fingerprint(file, "3.11.3")}
    monkeypatch.setattr("platform.machine", lambda: "aarch64")
    seen.add(environment.fingerprint(file, "3.11.2"))
    file.write_text("one==2\n")
    seen.add(environment.fingerprint(file, "3.11.2"))
    assert len(seen) == 4
    assert environment.fingerprint(file, "3.11.2") in seen


def cut_short(paths):
    paths.unfinished.touch()


def half_made(paths):
    (paths.venv / "pyvenv.cfg").unlink()


def moved(paths):
    (paths.stamps / "place").write_text("/somewhere/else/.venv\n")


def upgraded(paths):
    (paths.venv / "pyvenv.cfg").write_text("version = 3.10.1\n")


@pytest.mark.parametrize("spoil", [cut_short, half_made, moved, upgraded])
def test_what_is_not_whole_is_made_anew(paths, working, spoil):
    environment.ensure("demo", paths, working)
    (paths.venv / "leftover").touch()
    spoil(paths)
    working.ran.clear()
    assert environment.ensure("demo", paths, working)
    assert len(working.ran_with("-m venv")) == 1
    assert len(installs(working)) == 1
    assert not (paths.venv / "leftover").exists()
    assert list(paths.data.glob("old-environment*")) == []


def test_an_interpreter_that_does_not_start_is_made_anew(paths, working):
    environment.ensure("demo", paths, working)
    answers = iter([Outcome(127, "No such file or directory"), Outcome(0, VERSION)])
    working.script.insert(0, ("python_version()", lambda: next(answers)))
    working.ran.clear()
    environment.ensure("demo", paths, working)
    assert len(working.ran_with("-m venv")) == 1


def test_an_environment_made_by_hand_is_kept_and_filled(paths, working):
    make_venv(paths)()
    environment.ensure("demo", paths, working)
    assert not working.ran_with("-m venv")
    assert len(installs(working)) == 1


def test_it_is_never_made_anew_from_inside(paths, working, monkeypatch):
    environment.ensure("demo", paths, working)
    cut_short(paths)
    monkeypatch.setattr("sys.prefix", str(paths.venv))
    with pytest.raises(SetUpError, match="from outside it"):
        environment.ensure("demo", paths, working)
    assert (paths.venv / "pyvenv.cfg").exists()


NO_NETWORK = Outcome(
    1, "WARNING: Retrying\nNewConnectionError: Failed to establish a new connection"
)
NO_SPACE = Outcome(1, "ERROR: Could not install: [Errno 28] No space left on device")
KILLED = Outcome(-9, "")


@pytest.mark.parametrize(
    ("outcome", "sentence"),
    [
        (NO_NETWORK, "Installing Python packages failed: there is no network, .* run it again"),
        (NO_SPACE, "Installing Python packages failed: the disk is full; free some space"),
        (KILLED, "Installing Python packages failed: it was ended by signal 9"),
    ],
)
def test_a_failed_first_installation_is_told_and_starts_again(paths, working, outcome, sentence):
    working.script.insert(0, ("-m pip", outcome))
    with pytest.raises(SetUpError, match=sentence):
        environment.ensure("demo", paths, working)
    assert paths.unfinished.exists()
    working.script.pop(0)
    environment.ensure("demo", paths, working)
    assert len(working.ran_with("-m venv")) == 2


@pytest.mark.parametrize(
    ("outcome", "made_anew"), [(NO_NETWORK, False), (NO_SPACE, True), (KILLED, True)]
)
def test_a_failed_renewal_keeps_what_pip_put_back(paths, working, outcome, made_anew):
    environment.ensure("demo", paths, working)
    (paths.root / "requirements.txt").write_text("one==2\n")
    working.script.insert(0, ("-m pip", outcome))
    with pytest.raises(SetUpError):
        environment.ensure("demo", paths, working)
    assert paths.unfinished.exists() is made_anew
    working.script.pop(0)
    working.ran.clear()
    assert environment.ensure("demo", paths, working)
    assert len(working.ran_with("-m venv")) == int(made_anew)
    assert len(installs(working)) == 1


def test_a_failure_to_make_it_is_told(paths, working):
    working.script.insert(0, ("-m venv", Outcome(1, "Error: No module named ensurepip")))
    with pytest.raises(SetUpError, match=r"\.venv failed: Error: No module named ensurepip"):
        environment.ensure("demo", paths, working)
