"""The frozen content of a pack (format pack/1) and of its annex (annex/1): all that they print.

The pack is what the network operator reads; the annex is for the firm's file. The technical part
holds no value that names or reaches a person. Such values stand in the personal part under an id,
and a cell of the technical part names that id. Each part has a digest, the personal one with a salt
of its own; the pack's digest covers both and the heading. So the personal part can be removed
later, and the rest can still be proved unchanged.
"""

import datetime as dt
from typing import Literal, TypeAlias, TypeVar

import msgspec
from msgspec import Struct, structs

from connections.facts.canonical import canonical, digest
from connections.facts.decision import Decision, PhaseSum, RulebookRef
from connections.facts.site import Site
from connections.pack.pack_error import PackError

Kind = Literal[
    "application", "notification", "confirmation", "decommission", "assessment", "demand-notice"
]
"""Kind of pack. An application asks before the work. A notification tells after work that needed
no answer, a confirmation after agreed work. A decommission tells that all plant goes, a demand
notice of loads. An assessment is a working sheet, not for sending, where no procedure follows."""

State = Literal["given", "assumed", "not known", "on paper"]


class _Frozen(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """Immutable; a field with its default is left out of the JSON."""


class Cell(_Frozen, frozen=True):
    """One printed value. `text` None is "not known".

    `personal` is the id of a value in the personal part, which then holds the text. `assumed` marks
    a value that nobody stated. `blank` is room to write on paper.
    """

    text: str | None = None
    assumed: bool = False
    personal: str = ""
    blank: bool = False


class Item(_Frozen, frozen=True):
    """A data item as printed: label, value, unit and a note; whether this pack needs it.

    `without` is the engineer's reason to send the pack without it.
    """

    id: str
    label: str
    value: Cell
    unit: str = ""
    note: str = ""
    needed: bool = False
    without: str = ""


class Column(_Frozen, frozen=True):
    """A column of a table: its head, the unit under it, its share of the width in per cent.

    `assumed`: every value is assumed, and the head says so for all.
    """

    label: str
    width: int
    unit: str = ""
    number: bool = False
    assumed: bool = False


class PrintedRow(_Frozen, frozen=True):
    """A row of a table; the first cell is its head. `total` rows close a sum."""

    cells: tuple[Cell, ...]
    total: bool = False


Side = Literal["", "left", "right"]
"""Half of the page's width that a block takes; empty for the whole of it."""


class Facts(_Frozen, frozen=True, tag="facts"):
    """Data items one below the other."""

    id: str
    title: str
    items: tuple[Item, ...]
    notes: tuple[str, ...] = ()
    side: Side = ""


class Table(_Frozen, frozen=True, tag="table"):
    """A table with its notes under it; `says` is the line over it that explains it.

    The rows of a `wordy` table begin with sentences, not with names.
    """

    id: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[PrintedRow, ...]
    says: str = ""
    notes: tuple[str, ...] = ()
    wordy: bool = False


class Prose(_Frozen, frozen=True, tag="prose"):
    """Paragraphs."""

    id: str
    title: str
    paragraphs: tuple[str, ...]


class Point(_Frozen, frozen=True):
    """One entry of a list: its title, its sentence, and the small print under it."""

    title: str
    text: str
    note: str = ""


class Points(_Frozen, frozen=True, tag="points"):
    """A list of points, numbered if `ordered`."""

    id: str
    title: str
    points: tuple[Point, ...]
    ordered: bool = False


class Drawing(_Frozen, frozen=True, tag="drawing"):
    """The single-line diagram, drawn from the site in the technical part, on sheets of a size."""

    id: str
    title: str
    size: Literal["A4", "A3"] = "A4"


class PlotPoint(_Frozen, frozen=True):
    """A point of a plot: its words and its place on both axes, in thousandths of their units."""

    label: str
    x: int
    y: int


class PlotSeries(_Frozen, frozen=True):
    """One line of a plot, or one kind of bar with a point for each group."""

    name: str
    points: tuple[PlotPoint, ...]


class PlotLevel(_Frozen, frozen=True):
    """A limit across a plot, in thousandths of the unit."""

    name: str
    value: int


class Plotted(_Frozen, frozen=True, tag="plotted"):
    """A plot: lines along a run, or bars by phase. `told` tells every figure of it in words."""

    id: str
    title: str
    told: str
    plot: Literal["along", "bars"]
    x_unit: str
    y_unit: str
    series: tuple[PlotSeries, ...]
    levels: tuple[PlotLevel, ...] = ()


class PhaseBar(_Frozen, frozen=True):
    """Registered capacity on one phase [mA], of what is there and of what the pack is about."""

    phase: str
    there: int
    asked: int


class PhaseBars(_Frozen, frozen=True, tag="phase-bars"):
    """The sums of phases as bars, with the limits of procedures [mA]; `told` says it in words."""

    id: str
    title: str
    told: str
    names: tuple[str, str]
    bars: tuple[PhaseBar, ...]
    levels: tuple[PlotLevel, ...]
    side: Side = ""


class Working(_Frozen, frozen=True):
    """Working of one value: title, subject, formula, inputs, arithmetic, result."""

    title: str
    of: str
    formula: str
    inputs: tuple[str, ...]
    lines: tuple[str, ...]
    result: str


class Workings(_Frozen, frozen=True, tag="workings"):
    """Workings one below the other, in small print."""

    id: str
    title: str
    workings: tuple[Working, ...]


class Signing(_Frozen, frozen=True, tag="signing"):
    """A declaration with a place to sign; shows name and date where they are known."""

    id: str
    title: str
    text: str
    name: Cell
    on: Cell
    side: Side = ""


class Contents(_Frozen, frozen=True, tag="contents"):
    """The list of sections with their pages."""

    id: str
    title: str


Block: TypeAlias = (
    Facts | Table | Prose | Points | Drawing | Plotted | PhaseBars | Workings | Signing | Contents
)


class Section(_Frozen, frozen=True):
    """A numbered section of the pack."""

    key: str
    number: int
    title: str
    blocks: tuple[Block, ...]


class Registered(_Frozen, frozen=True):
    """A data item in the register: its group, where it is printed, and whether it is known.

    `anchor` is the printed element that holds it. For a column that only some rows lack,
    `of` names those rows.
    """

    id: str
    group: str
    label: str
    anchor: str
    needed: bool
    state: State
    of: tuple[str, ...] = ()


class AttachedFile(_Frozen, frozen=True):
    """A file that goes with the pack and is embedded in its PDF.

    `sha256` is of its bytes, which are not part of the content. `title` describes the file and may
    be empty. `pages` counts those of a PDF; a picture has one.
    """

    name: str
    title: str
    media_type: str
    size_bytes: int
    pages: int
    sha256: str


class Wording(_Frozen, frozen=True):
    """The words that pages repeat and that no section holds."""

    not_issued: str
    not_known: str
    assumed: str
    revision: str
    replaces: str
    changed: str
    name: str
    signature: str
    date: str
    reference: str = ""
    not_given: str = ""
    fact: str = ""
    was: str = ""
    now: str = ""
    worked_out: str = ""
    formula: str = ""
    arithmetic: str = ""


class Decided(_Frozen, frozen=True):
    """What the decision comes to: its sums with their exact fractions, and who decided.

    Reasons, doubts and the certainty of values stand in the annex alone.
    """

    on_date: dt.date
    area: str
    rulebook: RulebookRef
    procedure: str
    per_phase_ma: dict[str, int | None]
    per_phase_exact: dict[str, tuple[int, int] | None]
    phase_sums: tuple[PhaseSum, ...]
    export_per_phase_ma: dict[str, int | None]
    export_w: int | None
    total_w: int | None


def decided_of(decision: Decision) -> Decided:
    """The part of a decision that a pack holds."""
    return Decided(
        procedure=decision.procedure.key,
        **{
            name: getattr(decision, name)
            for name in Decided.__struct_fields__
            if name != "procedure"
        },
    )


class Technical(_Frozen, frozen=True):
    """Everything that names no person: the facts, what was decided, and their printed text."""

    site: Site
    decided: Decided
    sections: tuple[Section, ...]
    register: tuple[Registered, ...]
    wording: Wording
    attachments: tuple[AttachedFile, ...] = ()


class Noted(_Frozen, frozen=True):
    """What the annex adds, and names no person: the whole decision with its reasons and doubts."""

    decision: Decision
    sections: tuple[Section, ...]
    wording: Wording


class Personal(_Frozen, frozen=True):
    """Values that name or reach a person, by the id that cells of the technical part give."""

    salt: str
    values: dict[str, str]


class ProcedureName(_Frozen, frozen=True):
    """The procedure of the decision, the kind of pack, and the form that its data serves."""

    key: str
    title: str
    kind: Kind
    serves: str


class Change(_Frozen, frozen=True):
    """One thing that a revision changes: the fact, its old value and its new one.

    An empty `was` is of something new, an empty `now` of something that is gone.
    """

    fact: str
    was: str = ""
    now: str = ""

    @property
    def words(self) -> str:
        """The change in a line: "Length of the cable to inv-1: 8 m → 24 m"."""
        if not self.was:
            return f"{self.fact}: {self.now}"
        return f"{self.fact}: {self.was} → {self.now or 'no longer'}"


class Digests(_Frozen, frozen=True):
    """SHA-256 of the parts and of the whole, in hexadecimal."""

    technical: str
    personal: str
    pack: str


class Pack(_Frozen, frozen=True):
    """The whole frozen content. `replaces` is the number of the revision that it replaces."""

    format: Literal["pack/1"]
    reference: str
    revision: int
    replaces: int | None
    changes: tuple[Change, ...]
    issued: bool
    prepared_on: dt.date
    title: str
    procedure: ProcedureName
    technical: Technical
    personal: Personal | None
    digests: Digests


class Annex(_Frozen, frozen=True):
    """The frozen annex of a pack, for the firm's file: workings, reasons, sources and certainty.

    `pack` is the digest of the pack that it belongs to; `digests.pack` is that of the annex itself.
    """

    format: Literal["annex/1"]
    reference: str
    revision: int
    issued: bool
    prepared_on: dt.date
    title: str
    pack: str
    technical: Noted
    personal: Personal | None
    digests: Digests


Content: TypeAlias = Pack | Annex
_C = TypeVar("_C", Pack, Annex)

_decoder = msgspec.json.Decoder(Pack)
_annex_decoder = msgspec.json.Decoder(Annex)


def write_pack(pack: Content) -> bytes:
    """Canonical JSON of a pack or an annex, as stored, hashed and embedded in the PDF."""
    return canonical(pack)


def read_pack(raw: bytes) -> Pack:
    """Read a pack from its JSON.

    Raises PackError if the JSON is no pack, or if its digests don't fit its content.
    """
    return _read(raw, _decoder, "a pack")


def read_annex(raw: bytes) -> Annex:
    """Read an annex from its JSON; raises PackError as `read_pack` does."""
    return _read(raw, _annex_decoder, "an annex")


def _read(raw: bytes, decoder: "msgspec.json.Decoder[_C]", what: str) -> _C:
    try:
        pack = decoder.decode(raw)
    except msgspec.DecodeError as fault:
        raise PackError("", f"this is not the content of {what}: {fault}") from None
    if wrong := digest_faults(pack):
        raise PackError(
            f"digests.{wrong[0]}",
            "the digest does not fit the content; it was changed after freezing, "
            "so take the stored original",
        )
    return pack


def digests_of(pack: Content) -> Digests:
    """Compute the digests of a pack or an annex.

    Without its personal part, that part's digest is kept.
    """
    technical = digest(pack.technical)
    personal = pack.digests.personal if pack.personal is None else digest(pack.personal)
    heading = {
        name: getattr(pack, name)
        for name in pack.__struct_fields__
        if name not in ("technical", "personal", "digests")
    }
    return Digests(
        technical=technical,
        personal=personal,
        pack=digest({**heading, "technical": technical, "personal": personal}),
    )


def digest_faults(pack: Content) -> tuple[str, ...]:
    """Names of the digests that don't fit the content: "technical", "personal", "pack"."""
    found = digests_of(pack)
    return tuple(
        name
        for name in ("technical", "personal", "pack")
        if getattr(found, name) != getattr(pack.digests, name)
    )


def sealed(pack: _C) -> _C:
    """The pack with the digests of its content."""
    return structs.replace(pack, digests=digests_of(pack))


def without_personal(pack: _C) -> _C:
    """The pack as it is kept after a customer is erased: no personal part, same digests."""
    return structs.replace(pack, personal=None)
