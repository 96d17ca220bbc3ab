"""What changed between two revisions of a pack, data item by data item, in plain sentences."""

from collections.abc import Iterator, Mapping

from msgspec import Struct

from connections.facts.decision import Finding
from connections.pack.content import Cell, Facts, Pack, Section, Table
from connections.pack.figures import counted, listed
from connections.pack.places import subject_words

MOST = 60
"""Most sentences; further ones are only counted, so that page one stays readable."""

_NOT_BY_CELL = ("protection", "circuits", "attachments", "decisions", "next")
"""Tables of reasons or of like units together, or compared in another way below."""
_EVERY_PACK_ANEW = frozenset({"about"})
"""Sections that repeat others, or name the day."""
_NO_CHANGE = frozenset({"case.sending_on"})
"""The date of the rules moves by itself; only its consequences are told."""


class _Place(Struct, frozen=True):
    """Place of a value: its section, its label and its row."""

    section: str
    label: str
    row: str


class _Said(Struct, frozen=True):
    """A printed value; of a `personal` value only the change is told."""

    text: str
    personal: bool
    assumed: bool = False


def changes_between(old: Pack, new: Pack) -> tuple[str, ...]:
    """Sentences on the differences in `new`, most telling first; empty if there are none.

    Personal values are named but not shown. Where the personal part of `old` was erased they can't
    be compared, and one sentence says so.
    """
    said: list[str] = []
    touched: set[str] = set()
    if old.procedure.title != new.procedure.title:
        said.append(f"Procedure: {new.procedure.title}, was {old.procedure.title}.")
        touched.add("procedure")
    if old.title != new.title:
        said.append(f"Title: {new.title}, was {old.title}.")
    for part in (_values, _findings, _attachments, _rulebook):
        for section, sentence in part(old, new):
            said.append(sentence)
            touched.add(section)
    rest = _differing_sections(old, new) - touched
    if rest:
        named = [f"“{section.title}”" for section in _sections(new) if section.key in rest]
        gone = [f"“{section.title}”" for section in _sections(old) if section.key in rest]
        said.append(f"Sections that read differently: {listed(list(dict.fromkeys(named + gone)))}.")
    if len(said) > MOST:
        said = [*said[:MOST], f"And {counted(len(said) - MOST, 'change')} more."]
    return tuple(said)


def _sections(pack: Pack) -> tuple[Section, ...]:
    return tuple(s for s in pack.technical.sections if s.key not in _EVERY_PACK_ANEW)


def _differing_sections(old: Pack, new: Pack) -> set[str]:
    before = {section.key: section.blocks for section in _sections(old)}
    after = {section.key: section.blocks for section in _sections(new)}
    return {key for key in {*before, *after} if before.get(key) != after.get(key)}


def _values(old: Pack, new: Pack) -> Iterator[tuple[str, str]]:
    before, after = dict(_printed(old)), dict(_printed(new))
    rows_before = {place.row for place in before if place.row}
    rows_after = {place.row for place in after if place.row}
    sections = {place.row: place.section for place in (*before, *after) if place.row}
    for row in sorted(rows_after - rows_before):
        yield sections[row], f"New: {row}."
    for row in sorted(rows_before - rows_after):
        yield sections[row], f"No longer there: {row}."
    erased = old.personal is None and new.personal is not None
    if erased:
        yield (
            "parties",
            f"The personal part of revision {old.revision} was erased; names and addresses can't "
            "be compared.",
        )
    for place in (*after, *(place for place in before if place not in after)):
        if place.row and (place.row not in rows_before or place.row not in rows_after):
            continue
        was, now = before.get(place), after.get(place)
        if was and now and was.assumed and now.assumed:
            continue  # An assumed value follows from stated ones, whose change is told.
        if was == now or (erased and any(said and said.personal for said in (was, now))):
            continue
        yield place.section, _changed(place, was, now)


def _changed(place: _Place, was: _Said | None, now: _Said | None) -> str:
    label = f"{place.row}, {_within(place.label)}" if place.row else place.label
    if any(said is not None and said.personal for said in (was, now)):
        return f"{label}: changed."
    if now is None:
        return f"{label}: no longer asked for."
    if was is None:
        return f"{label}: {now.text}."
    return f"{label}: {now.text}, was {was.text}."


def _within(label: str) -> str:
    """A column's head in the middle of a sentence; "L1" stays as it is."""
    return label if label[1:2].isupper() or label[1:2].isdigit() else label[:1].lower() + label[1:]


def _printed(pack: Pack) -> Iterator[tuple[_Place, _Said]]:
    """Every data item and every cell of the tables of equipment."""
    labels = {entry.id: entry.label for entry in pack.technical.register}
    for section in pack.technical.sections:
        for block in section.blocks:
            if isinstance(block, Facts):
                for item in block.items:
                    item_id = item.id.removeprefix("again.")
                    if item_id not in _NO_CHANGE and item_id == item.id:
                        label = labels.get(item_id, item.label)
                        yield _Place(section.key, label, ""), _said(item.value, item.unit, pack)
            elif isinstance(block, Table) and not _left_out(block):
                yield from _rows(section, block, pack)


def _left_out(table: Table) -> bool:
    return table.wordy or table.id.startswith(_NOT_BY_CELL)


def _rows(section: Section, table: Table, pack: Pack) -> Iterator[tuple[_Place, _Said]]:
    seen: dict[str, int] = {}
    for row in table.rows:
        # The first line names the row, the others tell of it.
        head = (row.cells[0].text or "").split("\n")[0]
        if table.id == "network":
            head = f"Registered capacity, {head[:1].lower()}{head[1:]}"
        name = head
        seen[name] = seen.get(name, 0) + 1
        if seen[name] > 1:
            name = f"{name} ({seen[name]})"
        for cell, column in zip(row.cells[1:], table.columns[1:], strict=True):
            yield _Place(section.key, column.label, name), _said(cell, column.unit, pack)


def _said(cell: Cell, unit: str, pack: Pack) -> _Said:
    if cell.personal:
        values: Mapping[str, str] = pack.personal.values if pack.personal else {}
        return _Said(values.get(cell.personal, ""), True)
    if cell.text is None:
        return _Said(pack.technical.wording.not_known, False)
    assumed = f" ({pack.technical.wording.assumed})" if cell.assumed else ""
    text = " ".join(cell.text.split())
    return _Said(f"{text}{f' {unit}' if unit else ''}{assumed}", False, cell.assumed)


def _findings(old: Pack, new: Pack) -> Iterator[tuple[str, str]]:
    before = {_named(f): f for f in old.technical.decision.findings}
    after = {_named(f): f for f in new.technical.decision.findings}
    for key, finding in after.items():
        about = subject_words(finding.subject, new.technical.site)
        if key not in before:
            yield "findings", f"New finding ({about}): {finding.sentence}"
        elif before[key].sentence != finding.sentence:
            yield "findings", f"Finding changed ({about}): {finding.sentence}"
    for key, finding in before.items():
        if key not in after:
            about = subject_words(finding.subject, old.technical.site)
            yield "findings", f"No longer found ({about}): {finding.sentence}"


def _named(finding: Finding) -> tuple[str, str]:
    return finding.id, finding.subject


def _attachments(old: Pack, new: Pack) -> Iterator[tuple[str, str]]:
    before = {file.sha256: file.name for file in old.technical.attachments}
    after = {file.sha256: file.name for file in new.technical.attachments}
    for sha256, name in after.items():
        if sha256 not in before:
            yield "attachments", f"Attachment added: {name}."
    for sha256, name in before.items():
        if sha256 not in after:
            yield "attachments", f"Attachment left out: {name}."


def _rulebook(old: Pack, new: Pack) -> Iterator[tuple[str, str]]:
    was, now = old.technical.decision.rulebook, new.technical.decision.rulebook
    if was.digest != now.digest:
        yield (
            "about",
            f"Rulebook: {now.edition} ({now.digest[:12]}), was {was.edition} ({was.digest[:12]}).",
        )
