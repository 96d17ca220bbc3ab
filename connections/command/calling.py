"""What a command of the library is, and the fault of a call."""

from argparse import ArgumentParser
from collections.abc import Callable
from typing import NamedTuple

Say = Callable[[str], object]
"""Takes one line of a result."""


class CallError(Exception):
    """A call can't be done; the text is the one line for whoever typed it."""


class Command(NamedTuple):
    """A command: a sentence, its arguments, and its work.

    `run` takes a `Say` and the arguments by name, ignores others, and returns the exit code. It
    raises CallError.
    """

    help: str
    add_arguments: Callable[[ArgumentParser], None]
    run: Callable[..., int]
