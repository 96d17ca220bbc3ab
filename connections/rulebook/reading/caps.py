"""Read caps on export by place, and extra conditions, from TOML."""

import datetime as dt
from typing import Literal, TypeAlias, cast

from connections.facts.place import as_sector, folded_feeder
from connections.rulebook.book import ExportCap, ExtraCondition
from connections.rulebook.reading.amounts import quantity_in
from connections.rulebook.reading.entry import Entry
from connections.rulebook.reading.references import (
    Register,
    certainty_of,
    id_of,
    note_of,
    source_of,
)
from connections.rulebook.reading.table import read_condition
from connections.rulebook.schema import DatedCap, DatedCondition, Kind

Per: TypeAlias = Literal["phase", "total"]
Severity: TypeAlias = Literal["stops", "decide", "inform"]

CAP_UNITS = ("mA", "W", "VA")
PERS = ("phase", "total")
SEVERITIES = ("stops", "decide", "inform")


def read_cap(entry: Entry, first: dt.date, register: Register, kind: Kind) -> DatedCap:
    """Read one cap; without its own dates it holds from `first` on."""
    since = entry.day("from") if entry.has("from") else first
    until = entry.last_day("until", since)
    unit = entry.choice("unit", CAP_UNITS)
    per = cast(Per, entry.choice("per", PERS))
    if unit == "mA" and per == "total":
        entry.refuse('`per` is "total", but a current is one of a phase; write "phase", or a power')
    feeders = entry.words("feeders", may_be_empty=True)
    sectors = []
    for typed in entry.words("postcode_sectors", may_be_empty=True):
        sector = as_sector(typed)
        if sector is None:
            entry.refuse(
                f'`postcode_sectors` names "{typed}", which is not a postcode sector; write the '
                'outward code and the first digit of the inward one, such as "EX1 1"'
            )
        sectors.append(sector)
    everywhere = entry.flag("everywhere", False)
    if everywhere == bool(feeders or sectors):
        entry.refuse(
            "give `feeders` or `postcode_sectors`, or `everywhere = true` alone, for where it holds"
        )
    amount, written = quantity_in(entry, "limit", unit)
    cap = ExportCap(
        id=id_of(entry, "id"),
        says=entry.sentence("says"),
        feeders=feeders,
        postcode_sectors=tuple(sectors),
        everywhere=everywhere,
        per=per,
        unit=unit,
        amount=amount,
        written=written,
        since=since,
        source=source_of(entry, register),
        certainty=certainty_of(entry, local=kind == "local"),
        checked=entry.day("checked"),
        note=note_of(entry),
    )
    entry.done()
    return DatedCap(cap, until)


def read_extra(entry: Entry, first: dt.date, register: Register, kind: Kind) -> DatedCondition:
    """Read one extra condition; without its own dates it holds from `first` on."""
    since = entry.day("from") if entry.has("from") else first
    until = entry.last_day("until", since)
    condition = ExtraCondition(
        id=id_of(entry, "id"),
        says=entry.sentence("says"),
        when=tuple(read_condition(line) for line in entry.entries("when", may_be_empty=True)),
        severity=cast(Severity, entry.choice("severity", SEVERITIES)),
        asks=entry.sentence("asks"),
        attachments=entry.words("attachments", may_be_empty=True),
        since=since,
        source=source_of(entry, register),
        certainty=certainty_of(entry, local=kind == "local"),
        checked=entry.day("checked"),
        note=note_of(entry),
    )
    entry.done()
    return DatedCondition(condition, until)


def add_cap(taken: list[DatedCap], dated: DatedCap, entry: Entry) -> None:
    """Add a cap to those of its file, unless one of them caps the same place on the same day."""
    for other in taken:
        if overlap(_days(dated), _days(other)):
            if other.cap.id == dated.cap.id:
                entry.refuse("its dates overlap those of the other one with this id")
            if place := shared_place(dated.cap, other.cap):
                entry.refuse(
                    f"{other.cap.id} caps {place} already on some of these days; end that first"
                )
    taken.append(dated)


def add_extra(taken: list[DatedCondition], dated: DatedCondition, entry: Entry) -> None:
    """Add an extra condition to those of its file, unless its id is taken on some day."""
    for other in taken:
        if other.condition.id == dated.condition.id and overlap(
            (dated.condition.since, dated.until), (other.condition.since, other.until)
        ):
            entry.refuse("its dates overlap those of the other one with this id")
    taken.append(dated)


def shared_place(cap: ExportCap, other: ExportCap) -> str:
    """The place, in words, that two caps of the same sort (per phase or total) share, or empty."""
    if cap.per != other.per:
        return ""
    if cap.everywhere and other.everywhere:
        return "every site"
    there = {folded_feeder(name) for name in other.feeders}
    for name in cap.feeders:
        if folded_feeder(name) in there:
            return f"feeder {name}"
    for sector in cap.postcode_sectors:
        if sector in other.postcode_sectors:
            return f"postcode sector {sector}"
    return ""


def overlap(one: tuple[dt.date, dt.date | None], other: tuple[dt.date, dt.date | None]) -> bool:
    """Whether two ranges of days overlap. The last day is included; None is an open end."""
    return (other[1] is None or one[0] <= other[1]) and (one[1] is None or other[0] <= one[1])


def _days(dated: DatedCap) -> tuple[dt.date, dt.date | None]:
    return dated.cap.since, dated.until
