"""The list of changes that the suite must notice."""

import tomllib
from pathlib import Path
from typing import Literal

import msgspec
from msgspec import Struct

ROOT = Path(__file__).resolve().parents[2]
LIST = Path(__file__).with_name("changes.toml")


class Change(Struct, frozen=True, forbid_unknown_fields=True):
    """One change of the code, which makes a test of `tests` fail unless it `survives`.

    `text` stands exactly once in `file` and gives way to `becomes`. `tests` are paths or node ids
    of the nearest tests. `why` says what goes wrong for whom. A change `on` PostgreSQL shows there
    alone.
    """

    name: str
    file: str
    text: str
    becomes: str
    tests: tuple[str, ...]
    why: str
    on: Literal["any", "postgresql"] = "any"
    survives: bool = False


def changes() -> list[Change]:
    """Every change of the list. Raises ValidationError naming what is wrong in it."""
    return msgspec.convert(tomllib.loads(LIST.read_text())["change"], list[Change])


def fault(change: Change, root: Path = ROOT) -> str:
    """What keeps a change from being made under `root`; empty for nothing."""
    file = root / change.file
    if not file.is_file():
        return f"{change.name}: there is no {change.file}"
    found = file.read_text().count(change.text)
    if found != 1:
        return f"{change.name}: its text stands {found} times in {change.file}, not once"
    if change.text == change.becomes:
        return f"{change.name}: it changes nothing"
    for test in change.tests:
        path, _, node = test.partition("::")
        there = root / path
        if not there.exists():
            return f"{change.name}: there is no {path}"
        for part in (part.partition("[")[0] for part in node.split("::") if node):
            if f"def {part}(" not in there.read_text() and f"class {part}" not in there.read_text():
                return f"{change.name}: {path} has no {part}"
    return "" if change.tests else f"{change.name}: it names no tests"
