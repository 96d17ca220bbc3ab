"""What a finding is: its kind, and one as it was found.

A kind is declared once, in the module of its question, beside the function that asks it; a module
of findings is the list of its kinds. Words are made when they are read, never when deciding.
"""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from msgspec import Struct

from connections.facts.decision import Plain, Severity

Read = tuple[str, object]
"""A site-file path and the value that stood there."""

Values = dict[str, Any]
Words = tuple[str, str]
"""A sentence for everyone, and the arithmetic or the reading of the text behind it."""

_ALWAYS_THE_SAME: Mapping[Severity, str] = MappingProxyType({})


class Kind(Struct, frozen=True):
    """A kind of finding: its id, how severe it is, what is asked, and its words.

    `question` is one sentence; where the answer is yes, there is a finding. `words` makes sentence
    and workings from the values. `also` holds the other severities that it can have, each with
    when.
    """

    id: str
    severity: Severity
    question: str
    words: Callable[[Values], Words]
    also: Mapping[Severity, str] = _ALWAYS_THE_SAME

    def found(
        self,
        subject: str,
        values: dict[str, Plain],
        *,
        severity: Severity | None = None,
        keys: tuple[str, ...] = (),
        read: tuple[Read, ...] = (),
        margin: int | None = None,
        margin_unit: str = "",
        against: tuple[Read, ...] = (),
        sources: tuple[str, ...] = (),
    ) -> "Found":
        """A finding of this kind, as `Found` says; with another severity where that is declared.

        Raises ValueError if it is not.
        """
        if severity is None:
            severity = self.severity
        elif severity != self.severity and severity not in self.also:
            raise ValueError(f"{self.id} does not say when its severity is {severity}")
        return Found(
            self, subject, severity, values, keys, read, margin, margin_unit, against, sources
        )


class Found(Struct, frozen=True):
    """A finding before it is put into words.

    `margin` is what is left to the limit in `margin_unit` (negative when passed). `read` holds the
    site-file paths read with their values; their digest is the finding's basis. `against` is what
    of the rulebook goes into the basis too, where a decision on the finding is one on just that.
    `sources` are those that no key of a value names.
    """

    kind: Kind
    subject: str
    severity: Severity
    values: dict[str, Plain]
    keys: tuple[str, ...] = ()
    read: tuple[Read, ...] = ()
    margin: int | None = None
    margin_unit: str = ""
    against: tuple[Read, ...] = ()
    sources: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        """The id of its kind."""
        return self.kind.id

    def words(self) -> Words:
        """Its sentence and its workings."""
        return self.kind.words(self.values)
