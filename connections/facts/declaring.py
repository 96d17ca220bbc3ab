"""How a fact is declared: once, beside its type, with all that is said of it anywhere.

`fact` stands in the annotation of a field of `connections.facts.site`; `declared` gives what it
said, by the name of the field. Boxes, findings, packs, schemas and the mapping of rows are made
from that. Declaring costs nothing when a file is read.
"""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Literal, TypeVar, get_type_hints

from msgspec import UNSET, Meta, Struct, UnsetType

T = TypeVar("T")

Default = str | int | bool


class Fact(Struct, frozen=True, kw_only=True):
    """What is said of one fact.

    `label` stands at its box and in tables, `noun` in running text ("registered capacity"), and
    `says` is one sentence for a beginner. The number kept is in whole `unit`; `beside` is the unit
    that people see and type. `hint` stands under the box, and `headings` are what offices call the
    fact in lists of their own.

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
    return label if label[:2].isupper() else label[:1].lower() + label[1:]


@cache
def declared(kind: type[Struct]) -> Mapping[str, Fact]:
    """What is said of the facts of a part of the site file, by the name of the field."""
    hints = get_type_hints(kind, include_extras=True)
    return MappingProxyType(
        {
            name: meta.extra["fact"]
            for name in kind.__struct_fields__
            for meta in getattr(hints[name], "__metadata__", ())
            if isinstance(meta, Meta) and meta.extra
        }
    )


def default_of(kind: type[Struct], name: str, like: type[T]) -> T:
    """The default of a fact that has one of the type `like`."""
    value = declared(kind)[name].default
    assert isinstance(value, like), f"{kind.__name__}.{name} has no default of this type"
    return value
