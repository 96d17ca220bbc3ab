"""How a fact is declared: once, beside its type, with all that is said of it anywhere.

`fact` stands in the annotation of a field of `connections.facts.site`; `declared` gives what it
said, by the name of the field. Boxes, findings, packs, schemas and the mapping of rows are made
from that. Declaring costs nothing when a file is read.
"""

from collections.abc import Iterator, Mapping
from functools import cache
from types import MappingProxyType
from typing import Any, Literal, TypeVar, get_args, get_type_hints

from msgspec import UNSET, Meta, Struct, UnsetType

T = TypeVar("T")

Default = str | int | bool
Choices = tuple[tuple[str, str], ...]
"""Words of the file, each with the words that people read."""


class Fact(Struct, frozen=True, kw_only=True):
    """What is said of one fact.

    `label` stands at its box and in tables, `noun` in running text ("registered capacity"), and
    `says` is one sentence for a beginner. The number kept is in whole `unit`; `beside` is the unit
    that people see and type. `hint` stands under the box, and `headings` are what offices call the
    fact in lists of their own. `choices` are the words that it may be, or that boxes offer.

    `band` is what is plausible, in `unit`: our own choice, and an amount outside is asked about.
    `most` is the largest amount that can be; `zero` says that nothing is an amount too.

    `assumed` says in words what is taken where a file leaves the fact out, and is empty where
    nothing is; `default` is that value, where it is one. An empty box says null (not known), or is
    left out of the file (`empty`). A `personal` fact names, finds or reaches a person.
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
    most: int | None = None,
    zero: bool = False,
    assumed: str = "",
    default: Default | UnsetType = UNSET,
    empty: Literal["null", "left-out"] | None = None,
    personal: bool = False,
) -> Meta:
    """Declare a fact in the annotation of its field; see `Fact`.

    `noun` left out is the label, `beside` the unit. A fact that has a default is left out where its
    box is empty, unless `empty` says otherwise.
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
    """A label as it stands in the middle of a sentence."""
    return label if label[:2].isalpha() and label[:2].isupper() else label[:1].lower() + label[1:]


@cache
def declared(kind: type[Struct]) -> Mapping[str, Fact]:
    """What is said of the facts of a part of the site file, by the name of the field."""
    return MappingProxyType(
        {
            name: meta.extra["fact"]
            for name, hint in _hints(kind).items()
            for meta in getattr(hint, "__metadata__", ())
            if isinstance(meta, Meta) and meta.extra
        }
    )


def hint_of(kind: type[Struct], name: str) -> Any:
    """The annotation of a field, with all that it is made of."""
    return _hints(kind)[name]


@cache
def part_of(kind: type[Struct], name: str) -> type[Struct] | None:
    """The part of the site file that stands in a field, alone or in a list; None for a fact."""
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
    """The default of a fact that has one of the type `like`."""
    value = declared(kind)[name].default
    assert isinstance(value, like), f"{kind.__name__}.{name} has no default of this type"
    return value
