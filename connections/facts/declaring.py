"""Declare each fact of the site file once, beside its type, with all its words and bounds.

`fact` stands in the annotation of a field of `connections.facts.site`; `declared` returns the
declarations by field name. Boxes, findings, packs, schemas and the mapping of rows use them.
Reading a file does not.
"""

from collections.abc import Iterator, Mapping
from functools import cache
from types import MappingProxyType
from typing import Any, Literal, TypeVar, get_args, get_type_hints

from msgspec import UNSET, Meta, Struct, UnsetType

T = TypeVar("T")

Default = str | int | bool
Choices = tuple[tuple[str, str], ...]
"""Words of the file, each with its label for people."""


class Fact(Struct, frozen=True, kw_only=True):
    """The declaration of one fact.

    `label` stands at its box and in tables, `noun` in running text ("registered capacity"), and
    `says` is one sentence for a beginner. The stored number is in whole `unit`; people see and type
    `beside`. `hint` stands under the box, and `headings` are column names that offices use for the
    fact. `choices` are the words that the fact allows, or that boxes offer.

    `band` is the plausible range in `unit`, and `years` that of a date (our choices); what lies
    outside is queried. `most` is the largest possible amount; `zero` allows 0.

    `assumed` says in words what a left-out fact means, empty if nothing; `default` is that value,
    if there is one. An empty box stands for null (not known), or for a left-out key (`empty`). A
    `personal` fact names, finds or reaches a person.
    """

    label: str
    says: str
    noun: str
    unit: str = ""
    beside: str = ""
    hint: str = ""
    headings: tuple[str, ...] = ()
    choices: Choices = ()
    band: tuple[int, int] | None = None
    years: tuple[int, int] | None = None
    most: int | None = None
    zero: bool = False
    assumed: str = ""
    default: Default | UnsetType = UNSET
    empty: Literal["null", "left-out"] = "null"
    personal: bool = False

    @property
    def the(self) -> str:
        """The fact in the middle of a sentence: "the registered capacity", "whether it is"."""
        asks = self.noun.startswith(("whether ", "how ", "what ", "why ", "where "))
        return self.noun if asks else f"the {self.noun}"


def fact(
    label: str,
    says: str,
    unit: str = "",
    beside: str = "",
    *,
    noun: str = "",
    hint: str = "",
    headings: tuple[str, ...] = (),
    choices: Choices = (),
    band: tuple[int, int] | None = None,
    years: tuple[int, int] | None = None,
    most: int | None = None,
    zero: bool = False,
    assumed: str = "",
    default: Default | UnsetType = UNSET,
    empty: Literal["null", "left-out"] | None = None,
    personal: bool = False,
) -> Meta:
    """Declare a fact in the annotation of its field; see `Fact`.

    `noun` defaults to the label, `beside` to the unit. For a fact with a default an empty box means
    a left-out key, unless `empty` says otherwise.
    """
    made = Fact(
        label=label,
        says=says,
        noun=noun or lowered(label),
        unit=unit,
        beside=beside or unit,
        hint=hint,
        headings=headings,
        choices=choices,
        band=band,
        years=years,
        most=most,
        zero=zero,
        assumed=assumed,
        default=default,
        empty=empty or ("left-out" if assumed else "null"),
        personal=personal,
    )
    return Meta(
        title=label,
        description=says,
        extra={"fact": made},
        extra_json_schema={"x-unit": unit} if unit else None,
    )


def lowered(label: str) -> str:
    """A label in the form for the middle of a sentence."""
    return label if label[:2].isalpha() and label[:2].isupper() else label[:1].lower() + label[1:]


@cache
def declared(kind: type[Struct]) -> Mapping[str, Fact]:
    """The declared facts of a part of the site file, by field name."""
    return MappingProxyType(
        {
            name: meta.extra["fact"]
            for name, hint in _hints(kind).items()
            for meta in getattr(hint, "__metadata__", ())
            if isinstance(meta, Meta) and meta.extra
        }
    )


def hint_of(kind: type[Struct], name: str) -> Any:
    """The annotation of a field, with its metadata."""
    return _hints(kind)[name]


@cache
def part_of(kind: type[Struct], name: str) -> type[Struct] | None:
    """The type of the part that a field holds, alone or in a list; None for a fact."""
    return next(_parts_in(_hints(kind)[name]), None)


def _parts_in(hint: Any) -> Iterator[type[Struct]]:
    if isinstance(hint, type) and issubclass(hint, Struct):
        yield hint
    for inner in get_args(hint):
        if not isinstance(inner, Meta):
            yield from _parts_in(inner)


@cache
def _hints(kind: type[Struct]) -> dict[str, Any]:
    hints = get_type_hints(kind, include_extras=True)
    return {name: hints[name] for name in kind.__struct_fields__}


def default_of(kind: type[Struct], name: str, like: type[T]) -> T:
    """The default of a fact, which must have one of type `like`."""
    value = declared(kind)[name].default
    assert isinstance(value, like), f"{kind.__name__}.{name} has no default of this type"
    return value
