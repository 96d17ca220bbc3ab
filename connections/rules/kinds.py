"""The types of a finding: its kind, and one occurrence.

The module of each question declares its kind once, beside the function that asks it. The kinds of a
module are its list of findings. Readers make the words; deciding never does.
"""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from msgspec import Struct

from connections.facts.decision import Plain, Severity, Way
from connections.rules.plant import Line

Read = tuple[str, object]
"""A site-file path and its value."""

Values = dict[str, Any]
Words = tuple[str, str]
"""A sentence for everyone, and its arithmetic or the reading of the text."""

UNCHANGED: Mapping[Severity, str] = MappingProxyType(
    {"inform": "where nobody changes the unit and the outcome does not turn on it"}
)
_ALWAYS_THE_SAME: Mapping[Severity, str] = MappingProxyType({})


class Kind(Struct, frozen=True):
    """A kind of finding: its id, its severity, its question, and its words.

    `question` is one sentence; if the answer is yes, there is a finding. `words` makes sentence and
    workings from the values. `also` holds the other possible severities, each with its case. Where
    there are `ways`, an engineer decides by naming one; words alone do not answer it. `agreement`
    is false where the network operator has no say, so that only other facts clear what stops.
    """

    id: str
    severity: Severity
    question: str
    words: Callable[[Values], Words]
    also: Mapping[Severity, str] = _ALWAYS_THE_SAME
    instead: Callable[[Line], Line] | None = None
    """A line without the trouble, for kinds that inform where the work does not turn on them; see
    `connections.rules.resting`."""
    ways: tuple[Way, ...] = ()
    agreement: bool = True

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
        """Make a finding of this kind; `severity` may be one of those in `also`.

        Raises ValueError for any other severity. See `Found` for the rest.
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

    `margin` is the distance to the limit in `margin_unit` (negative when passed). `read` holds the
    site-file paths read, with their values; their digest is the finding's basis. `against` adds
    parts of the rulebook to the basis, if a decision on the finding depends on them. `sources` are
    those that no key of a value names.
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
