"""A stand-in for other programs, and a working copy that is thrown away."""

from collections.abc import Callable, Sequence

import pytest

from sites.bootstrap.paths import Paths
from sites.bootstrap.tools import Outcome, Tools


class ScriptedTools(Tools):
    """Answers instead of running: the first entry whose words stand in the command gives the
    outcome (or makes it, being called), and everything else succeeds in silence.
    """

    def __init__(self, paths: Paths) -> None:
        super().__init__(paths.log)
        self.script: list[tuple[str, Outcome | Callable[[], Outcome]]] = []
        self.ran: list[str] = []

    def on(self, words: str, outcome: Outcome | Callable[[], Outcome]) -> None:
        self.script.append((words, outcome))

    def ask(self, command: Sequence[str], *, inherit: tuple[int, ...] = ()) -> Outcome:
        line = " ".join(command)
        self.ran.append(line)
        for words, outcome in self.script:
            if words in line:
                return outcome() if callable(outcome) else outcome
        return Outcome(0, "")

    def ran_with(self, words: str) -> list[str]:
        return [line for line in self.ran if words in line]


@pytest.fixture
def paths(tmp_path) -> Paths:
    """A working copy with two package lists and no environment."""
    (tmp_path / ".data").mkdir()
    (tmp_path / ".ci").mkdir()
    (tmp_path / "requirements.txt").write_text("one==1\n")
    (tmp_path / ".ci" / "requirements.txt").write_text("two==2\n")
    return Paths(tmp_path)


@pytest.fixture
def tools(paths) -> ScriptedTools:
    return ScriptedTools(paths)
