"""What changed between two revisions of a pack: fact, old value, new value."""

import datetime as dt
from collections.abc import Iterator

from msgspec import UNSET, Struct, structs

from connections.facts.decision import Decision
from connections.facts.declaring import Fact, declared, lowered, part_of
from connections.facts.defaults import is_month
from connections.facts.naming import fact_at, words_for
from connections.facts.site import Cap, Limit, ProtectionSetting, Site
from connections.pack.content import Cell, Change, Decided, Pack, Section, Table
from connections.pack.figures import counted, listed, long_date, rounded, when_words
from connections.pack.items.of_scheme import limit_text
from connections.pack.places import subject_words

MOST = 60
"""Most changes told; further ones are only counted, so that page one stays readable."""
NOT_KNOWN = "not known"
NEW = "new"

_NO_CHANGE = frozenset({"format", "reference", "on_date", "overrides"})
"""The day of the rules moves by itself; an engineer's figures are told of in the annex."""
_NAMES = ("id", "unit_id", "name", "kind", "from_", "to", "serves", "use", "on", "function")
"""Fields that tell the entries of a list apart."""
_OF_THE_DAY = frozenset({"asked", "next"})
"""Sections that name a day, or repeat what others say."""
_WITH_DAYS = frozenset({"planned_on", "commissioned_on"})


class _Said(Struct, frozen=True):
    """A fact of a site in words, with its value."""

    fact: str
    value: str


def changes_between(old: Pack, new: Pack) -> tuple[Change, ...]:
    """The differences in `new`, most telling first; empty if there are none.

    Personal values are named but not shown. Where the personal part of `old` was erased they can't
    be compared, and one change says so.
    """
    told = [
        Change(what, was, now)
        for what, was, now in (
            ("Procedure", old.procedure.title, new.procedure.title),
            ("Title", old.title, new.title),
            ("Data for", old.procedure.serves, new.procedure.serves),
        )
        if was != now
    ]
    told += _facts(old.technical.site, new.technical.site)
    told += _persons(old, new)
    told += _sums(old.technical.decided, new.technical.decided)
    told += _decisions(old, new)
    told += _attachments(old, new)
    was, now = old.technical.decided.rulebook, new.technical.decided.rulebook
    if was.digest != now.digest:
        told.append(
            Change("Rulebook", _named(was.edition, was.digest), _named(now.edition, now.digest))
        )
    if not told and (rest := _sections_that_differ(old, new)):
        told.append(Change("Sections that read differently", "", listed(rest)))
    if len(told) > MOST:
        left_out = counted(len(told) - MOST, "change")
        told = [*told[:MOST], Change("Further", "", f"{left_out} more")]
    return tuple(told)


def decisions_between(old: Decision, new: Decision, site: Site) -> tuple[Change, ...]:
    """What steps and findings on the same site say otherwise: those new, changed and gone."""
    before, after = _told(old, site), _told(new, site)
    return tuple(
        Change(key[0], before.get(key, ""), after.get(key, ""))
        for key in dict.fromkeys((*after, *before))
        if before.get(key) != after.get(key)
    )


def _told(decision: Decision, site: Site) -> dict[tuple[str, ...], str]:
    """Every step and finding: what it is called and its keys, with its words."""
    steps: dict[tuple[str, ...], str] = {
        ("Step", step.when, step.what): " ".join((step.says, *step.notes))
        for step in decision.steps
    }
    findings: dict[tuple[str, ...], str] = {
        (f"Finding, {lowered(subject_words(f.subject, site))}", f.id, f.subject): f.sentence
        for f in decision.findings
    }
    return {**steps, **findings}


def _named(edition: str, digest: str) -> str:
    return f"{edition} ({digest[:12]})"


# Facts of the site ---------------------------------------------------------------------------


def _facts(old: Site, new: Site) -> Iterator[Change]:
    before, after = dict(_said(old, old)), dict(_said(new, new))
    came = [key for key in after if key not in before]
    went = [key for key in before if key not in after]
    for key, said in ((key, after[key]) for key in came):
        if not _inside(key, came):
            yield Change(said.fact, "", said.value)
    for key, said in ((key, before[key]) for key in went):
        if not _inside(key, went):
            yield Change(said.fact, said.value, "")
    for key, said in after.items():
        if key in before and before[key].value != said.value:
            yield Change(said.fact, before[key].value, said.value)


def _inside(key: tuple[str, ...], others: list[tuple[str, ...]]) -> bool:
    """Whether the entry that a fact belongs to came or went as a whole."""
    there = set(others)
    return any(key[:n] in there for n in range(1, len(key)))


def _said(
    site: Site, part: Struct, path: str = "", key: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], _Said]]:
    """Every fact of a part of a site by a key that outlives a change of order."""
    for name, in_file in zip(part.__struct_fields__, part.__struct_encode_fields__, strict=True):
        fact = declared(type(part)).get(name)
        if fact is None or fact.personal or (not path and name in _NO_CHANGE):
            continue
        value = getattr(part, name)
        place = f"{path}.{in_file}" if path else in_file
        if isinstance(value, Struct):
            yield from _said(site, value, place, (*key, name))
        elif isinstance(value, tuple) and value and isinstance(value[0], Struct):
            yield from _entries(site, value, place, (*key, name))
        elif part_of(type(part), name) is None and not _told_with_another(part, name):
            alone = "[" not in place and not place.startswith("limits.")
            words = fact.label if alone else _capital(words_for(place, site))
            yield (*key, name), _Said(words, _value(part, name, fact))


def _entries(
    site: Site, entries: tuple[Struct, ...], path: str, key: tuple[str, ...]
) -> Iterator[tuple[tuple[str, ...], _Said]]:
    seen: dict[str, int] = {}
    for i, entry in enumerate(entries):
        name = "/".join(str(getattr(entry, n)) for n in _NAMES if hasattr(entry, n))
        seen[name] = seen.get(name, 0) + 1
        own = (*key, f"{name}#{seen[name]}")
        place = f"{path}[{i}]"
        words = _capital(words_for(place, site))
        yield own, _Said(_numbered(path, i) if words == place else words, NEW)
        if isinstance(entry, ProtectionSetting):
            words = f"{_capital(words_for(f'{place}.value', site))}, {entry.function}"
            yield (*own, "value"), _Said(words, rounded(entry.value, entry.unit))
        else:
            yield from _said(site, entry, place, own)


def _numbered(path: str, i: int) -> str:
    """An entry of a list whose entries have no name: "Cap 1"."""
    fact = fact_at(path)
    return f"{fact.label if fact is not None else 'Entry'} {i + 1}"


def _told_with_another(part: Struct, name: str) -> bool:
    """Whether a field only tells the unit of another, or tells entries apart."""
    return isinstance(part, Limit | Cap) and name == "basis"


def _value(part: Struct, name: str, fact: Fact) -> str:
    value = getattr(part, name)
    if value is UNSET:
        value = fact.default
    if value is UNSET or value is None or value == ():
        return NOT_KNOWN
    if isinstance(part, Limit | Cap) and name == "value":
        return limit_text(part.value or 0, part.basis)
    if isinstance(value, bool):
        return "yes" if value else "no"
    words = dict(fact.choices)
    if isinstance(value, tuple):
        return ", ".join(words.get(str(each), str(each)) for each in value)
    if isinstance(value, dt.date):
        return long_date(value)
    if isinstance(value, str):
        if name in _WITH_DAYS:
            return when_words(value) if is_month(value) else long_date(dt.date.fromisoformat(value))
        return words.get(value, value)
    return words.get(str(value)) or rounded(value, fact.unit)


def _capital(words: str) -> str:
    words = words.removeprefix("the ")
    first = words.split(" ", 1)[0]
    return words if any(c.isdigit() for c in first) else f"{words[:1].upper()}{words[1:]}"


# The rest of a pack --------------------------------------------------------------------------


def _persons(old: Pack, new: Pack) -> Iterator[Change]:
    if new.personal is None:
        return
    if old.personal is None:
        yield Change(
            "Names and addresses",
            "",
            f"not compared, since those of revision {old.revision} were erased",
        )
        return
    labels = {entry.id: entry.label for entry in (*old.technical.register, *new.technical.register)}
    before, after = old.personal.values, new.personal.values
    for key in dict.fromkeys((*after, *before)):
        if before.get(key) != after.get(key):
            yield Change(labels.get(key, "A name").replace(": ", ", "), "", "changed")


def _sums(old: Decided, new: Decided) -> Iterator[Change]:
    figures = (
        ("Registered capacity together", old.total_w, new.total_w, "W"),
        ("Largest export", old.export_w, new.export_w, "W"),
        *(
            (f"Together on {phase}", old.per_phase_ma.get(phase), ma, "mA")
            for phase, ma in new.per_phase_ma.items()
        ),
    )
    for what, was, now, unit in figures:
        if was != now:
            said = [NOT_KNOWN if each is None else rounded(each, unit) for each in (was, now)]
            yield Change(what, said[0], said[1])


def _decisions(old: Pack, new: Pack) -> Iterator[Change]:
    before, after = _decided(old), _decided(new)
    for about in dict.fromkeys((*after, *before)):
        if before.get(about) != after.get(about):
            said = [" ".join(each.get(about, ())) for each in (before, after)]
            yield Change(f"Decided about {lowered(about)}", said[0], said[1])


def _decided(pack: Pack) -> dict[str, list[str]]:
    """The decisions that the operator must know, by what they are about."""
    found: dict[str, list[str]] = {}
    for section in pack.technical.sections:
        for block in section.blocks:
            if isinstance(block, Table) and block.id == "decisions":
                for row in block.rows:
                    said = f"{_one_line(row.cells[1])} {_one_line(row.cells[2])}"
                    found.setdefault(_one_line(row.cells[0]), []).append(said)
    return found


def _one_line(cell: Cell) -> str:
    return " ".join((cell.text or "").split())


def _attachments(old: Pack, new: Pack) -> Iterator[Change]:
    before = {file.sha256: file.name for file in old.technical.attachments}
    after = {file.sha256: file.name for file in new.technical.attachments}
    for sha256, name in after.items():
        if sha256 not in before:
            yield Change(f"Attachment {name}", "", "added")
    for sha256, name in before.items():
        if sha256 not in after:
            yield Change(f"Attachment {name}", "there", "")


def _sections_that_differ(old: Pack, new: Pack) -> list[str]:
    before, after = _blocks(old), _blocks(new)
    return [
        f"“{section.title}”"
        for section in new.technical.sections
        if before.get(section.key) != after.get(section.key) and section.key not in _OF_THE_DAY
    ]


def _blocks(pack: Pack) -> dict[str, Section]:
    return {s.key: structs.replace(s, number=0) for s in pack.technical.sections}
