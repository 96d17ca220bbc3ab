"""Read one table of a TOML file key by key; a key that was not read is a fault."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import NoReturn

from connections.rulebook.rulebook_errors import RulebookError

_MISSING = object()


class Entry:
    """A TOML table with its file and its name in messages.

    Every reader raises RulebookError if the key is missing (unless it has a default) or of the
    wrong type. Call `done` last: it refuses keys that were not read.
    """

    def __init__(self, data: object, file: str, name: str) -> None:
        self.file = file
        self.name = name
        if not isinstance(data, dict):
            self.refuse("this must be a table of keys")
        self._data: Mapping[str, object] = data
        self._read: set[str] = set()

    def refuse(self, fault: str) -> NoReturn:
        """Raise RulebookError at this entry."""
        raise RulebookError(self.file, self.name, fault)

    def has(self, key: str) -> bool:
        """Whether the key is there."""
        return key in self._data

    def raw(self, key: str) -> object:
        """The value of `key` as TOML gives it."""
        self._read.add(key)
        value = self._data.get(key, _MISSING)
        if value is _MISSING:
            self.refuse(f"`{key}` is missing; give it")
        return value

    def text(self, key: str, default: str | None = None) -> str:
        """Non-empty text; optional with a default."""
        if default is not None and key not in self._data:
            return default
        value = self.raw(key)
        if not isinstance(value, str):
            self.refuse(f"`{key}` must be text in quotes, not {_shown(value)}")
        if not value.strip() or value != value.strip():
            self.refuse(f"`{key}` may not be empty or begin or end with a blank")
        return value

    def sentence(self, key: str) -> str:
        """Text ending in a full stop."""
        value = self.text(key)
        if not value.endswith(".") or value.endswith(".."):
            self.refuse(f"`{key}` must be a sentence that ends in a full stop")
        return value

    def choice(self, key: str, choices: Sequence[str], default: str | None = None) -> str:
        """One of the words allowed."""
        value = self.text(key, default)
        if value not in choices and value != default:
            self.refuse(f'`{key}` is "{value}", which is not one of {", ".join(choices)}')
        return value

    def flag(self, key: str, default: bool | None = None) -> bool:
        """True or false."""
        if default is not None and key not in self._data:
            return default
        value = self.raw(key)
        if not isinstance(value, bool):
            self.refuse(f"`{key}` must be true or false, not {_shown(value)}")
        return value

    def number(self, key: str) -> int:
        """A whole number from 0."""
        value = self.raw(key)
        if isinstance(value, bool) or not isinstance(value, int) or value < 0:
            self.refuse(f"`{key}` must be a whole number from 0, not {_shown(value)}")
        return value

    def day(self, key: str) -> dt.date:
        """A date without a time."""
        value = self.raw(key)
        if isinstance(value, dt.datetime) or not isinstance(value, dt.date):
            self.refuse(f"`{key}` must be a date such as 2025-03-10, not {_shown(value)}")
        return value

    def last_day(self, key: str, first: dt.date) -> dt.date | None:
        """An optional date that is not before `first`."""
        if key not in self._data:
            return None
        value = self.day(key)
        if value < first:
            self.refuse(f"`{key}` is {value}, before it begins on {first}")
        return value

    def words(self, key: str, *, may_be_empty: bool = False) -> tuple[str, ...]:
        """A list of different words; optional if it may be empty."""
        if may_be_empty and key not in self._data:
            return ()
        value = self.raw(key)
        if not isinstance(value, list) or not all(isinstance(w, str) and w.strip() for w in value):
            self.refuse(f"`{key}` must be a list of words in quotes")
        if not value and not may_be_empty:
            self.refuse(f"`{key}` may not be an empty list")
        if len(set(value)) != len(value):
            self.refuse(f"`{key}` names a word twice")
        return tuple(value)

    def entries(self, key: str, *, may_be_empty: bool = False) -> "list[Entry]":
        """A list of tables, each named after this entry and its index."""
        if may_be_empty and key not in self._data:
            return []
        value = self.raw(key)
        if not isinstance(value, list) or not (value or may_be_empty):
            self.refuse(f"`{key}` must be a list of at least one table")
        return [
            Entry(item, self.file, f"{self.name}: {key} {n}") for n, item in enumerate(value, 1)
        ]

    def entry(self, key: str) -> "Entry":
        """A table within this one."""
        return Entry(self.raw(key), self.file, f"{self.name}: {key}")

    def others(self) -> list[str]:
        """The keys not read so far, in the file's order."""
        return [key for key in self._data if key not in self._read]

    def done(self) -> None:
        """Refuse keys that were not read."""
        if unknown := self.others():
            self.refuse(f"`{unknown[0]}` is not a key known here; check its spelling")


def _shown(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, (int, float, dt.date, dt.time)):
        return str(value)
    return "a list" if isinstance(value, list) else "a table"
