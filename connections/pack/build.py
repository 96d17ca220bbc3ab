"""Make the frozen content of a pack and of its annex from a site, its decision and rulebook."""

import datetime as dt
import re
from collections.abc import Iterable, Sequence

from msgspec import structs

from connections.facts.decision import Decision, Step
from connections.facts.defaults import status_of
from connections.facts.site import Site
from connections.pack.case import (
    BEYOND,
    UNDETERMINED,
    Case,
    EngineerDecision,
    InstallerDeclaration,
    SentWithout,
)
from connections.pack.content import (
    Annex,
    AttachedFile,
    Block,
    Change,
    Digests,
    Kind,
    Noted,
    Pack,
    Personal,
    ProcedureName,
    Registered,
    Section,
    Technical,
    Wording,
    decided_of,
    sealed,
)
from connections.pack.issuing import Hindrance, hindrances
from connections.pack.items.types import GROUPS
from connections.pack.needs import Gap, gaps
from connections.pack.pack_error import PackError
from connections.pack.sections import closing
from connections.pack.sections.alike_checks import without_persons
from connections.pack.sections.circuits import circuit_blocks, larger_blocks
from connections.pack.sections.decisions import decision_blocks
from connections.pack.sections.front import front_blocks, title_of
from connections.pack.sections.layout import Sheet
from connections.pack.sections.limitation import limitation_blocks, limitation_title
from connections.pack.sections.network_view import network_blocks
from connections.pack.sections.new_loads import (
    NOTICE,
    has_own_notice,
    notice_step,
    told_with_pack,
)
from connections.pack.sections.protection import protection_blocks
from connections.pack.sections.schedule import unit_blocks
from connections.pack.withholding import (
    Withholding,
    technical_decision,
    technical_site,
    with_persons,
)
from connections.rulebook.book import Rulebook

LARGEST_REVISION = 9999
SHORTEST_SALT = 16
FEW_UNITS = 3
"""Most units that page one holds."""
TELLING: tuple[Kind, ...] = ("notification", "confirmation", "decommission")
"""Kinds of pack that ask for nothing."""

WORDING = Wording(
    not_issued="Not issued",
    not_known="not known",
    assumed="assumed",
    revision="revision",
    replaces="replaces revision",
    changed="What changed since",
    name="Name",
    signature="Signature",
    date="Date",
    reference="Reference",
    not_given="not given",
    fact="Fact",
    was="Was",
    now="Is now",
    worked_out="What is worked out",
    formula="Formula, and what goes in",
    arithmetic="Arithmetic, and what comes out",
)


def kind_of(decision: Decision) -> Kind:
    """Kind of pack for this decision, before anything is built.

    An application or a question before the work if a step asks for one; else a notification after
    it, or of plant that goes if nothing else is told. A working sheet where no procedure follows
    that is prepared here.
    """
    return kind_after(decision.procedure.key, decision.steps)


def kind_after(procedure: str, steps: Sequence[Step]) -> Kind:
    """Kind of pack for a procedure, by its key, and the steps that follow."""
    if procedure in (UNDETERMINED, BEYOND):
        return "assessment"
    if any(s.when == "before-work" and s.what in ("application", "ask") for s in steps):
        return "application"
    after = {s.what for s in steps if s.when == "after-commissioning"}
    if after & {"notification", "confirmation"}:
        return "notification"
    if "decommission" in after:
        return "decommission"
    return "assessment"


def build_pack(
    site: Site,
    decision: Decision,
    book: Rulebook,
    *,
    reference: str,
    prepared_on: dt.date,
    salt: str,
    revision: int = 1,
    replaces: int | None = None,
    changes: tuple[Change, ...] = (),
    issued: bool = False,
    decisions: tuple[EngineerDecision, ...] = (),
    kind: Kind | None = None,
    subject: Iterable[str] = (),
    declaration: InstallerDeclaration | None = None,
    attachments: tuple[AttachedFile, ...] = (),
    without: tuple[SentWithout, ...] = (),
) -> Pack:
    """The frozen content of a pack.

    Args:
        site: the facts; parties and premises go into the personal part only.
        decision: the decision on exactly these facts.
        book: the rulebook that made the decision.
        reference: the firm's reference of the case; it stays when a customer is erased.
        prepared_on: the local date that the pack and its PDF carry.
        salt: random text of at least 16 characters, another one for every pack.
        revision, replaces, changes: from revision 2 on, the revision replaced and the changes.
        issued: False prints "Not issued" on every page.
        decisions: engineers' decisions on findings.
        kind: kind of pack; by default the one that the decision's first steps ask for.
        subject: ids of the units that the pack is about; by default the proposed ones or, where
            there are none, all that stay.
        declaration: the installer's declaration, for a pack after the work.
        attachments: the files that go with it, in the order of printing.
        without: engineers' reasons to send it without needed facts.

    Raises PackError naming what is at fault. An issued pack also needs everything that
    `pack_hindrances` looks for.
    """
    case = _case(
        site,
        decision,
        book,
        kind,
        subject,
        prepared_on,
        decisions,
        declaration,
        attachments,
        without,
    )
    _check_heading(reference, revision, replaces, changes, salt)
    if issued and (found := hindrances(case)):
        raise PackError(found[0].path, found[0].message)
    withholding = Withholding(site)
    sheet = Sheet(_withheld(case, withholding))
    serves = serves_of(case)
    sections = _sections(sheet, serves)
    register = _in_order(sheet.register)
    content = Technical(
        site=technical_site(site, withholding),
        decided=decided_of(decision),
        sections=sections,
        register=register,
        wording=WORDING,
        attachments=sheet.case.attachments,
    )
    return sealed(
        Pack(
            format="pack/1",
            reference=reference,
            revision=revision,
            replaces=replaces,
            changes=tuple(withholding.whole(change) for change in changes),
            issued=issued,
            prepared_on=prepared_on,
            title=title_of(case),
            procedure=ProcedureName(
                decision.procedure.key, decision.procedure.title, case.kind, serves
            ),
            technical=content,
            personal=Personal(salt, dict(sorted(sheet.personal.items()))),
            digests=Digests("", "", ""),
        )
    )


def build_annex(
    pack: Pack,
    site: Site,
    decision: Decision,
    book: Rulebook,
    *,
    salt: str,
    decisions: tuple[EngineerDecision, ...] = (),
    kind: Kind | None = None,
    subject: Iterable[str] = (),
) -> Annex:
    """The frozen annex of a pack, made from the same facts; arguments as for `build_pack`.

    Its personal part holds the names of those who decided. Raises PackError.
    """
    # Imported here: readers of packs need no formulas, a third of the time to load.
    from connections.pack.sections.annex import annex_sections
    from connections.rules.checks.basis.types import PRINTED
    from connections.rules.decide import decide
    from connections.rules.engineering import checks_of

    _check_salt(salt)
    case = _case(
        site, decision, book, kind, subject, pack.prepared_on, decisions, None, (), ()
    )  # fmt: skip
    withholding = Withholding(site)
    sheet = Sheet(_withheld(case, withholding))
    printed = (check for check in checks_of(decide(site, book)) if check.group in PRINTED)
    sections = annex_sections(sheet, pack, without_persons(printed, withholding))
    return sealed(
        Annex(
            format="annex/1",
            reference=pack.reference,
            revision=pack.revision,
            issued=pack.issued,
            prepared_on=pack.prepared_on,
            title=f"Annex to {pack.reference}, revision {pack.revision}",
            pack=pack.digests.pack,
            technical=Noted(sheet.case.decision, numbered(sections), pack.technical.wording),
            personal=Personal(salt, dict(sorted(sheet.personal.items()))),
            digests=Digests("", "", ""),
        )
    )


def build_notice(
    pack: Pack,
    site: Site,
    decision: Decision,
    book: Rulebook,
    *,
    salt: str,
    kind: Kind | None = None,
    subject: Iterable[str] = (),
) -> Pack | None:
    """The notice of demand that goes beside a pack.

    None where no load is told of, or where the pack itself applies for the loads. Its form is the
    one that the rulebook names. Arguments as for `build_pack`; raises PackError.
    """
    from connections.pack.sections.notice import notice_sections, notice_title

    _check_salt(salt)
    case = _case(site, decision, book, kind, subject, pack.prepared_on, (), None, (), ())
    withholding = Withholding(site)
    sheet = Sheet(_withheld(case, withholding))
    step = notice_step(case)
    if step is None or not has_own_notice(case, step):
        return None
    sections = numbered(notice_sections(sheet, step))
    title = notice_title(step)
    return sealed(
        structs.replace(
            pack,
            replaces=None,
            changes=(),
            title=title,
            procedure=ProcedureName(NOTICE, title, "demand-notice", step.form),
            technical=structs.replace(
                pack.technical,
                sections=sections,
                register=_in_order(sheet.register),
                attachments=(),
            ),
            personal=Personal(salt, dict(sorted(sheet.personal.items()))),
        )
    )


def _withheld(case: Case, withholding: Withholding) -> Case:
    """The case with personal values replaced in what people typed, as sections read it."""
    text = withholding.text
    return structs.replace(
        case,
        site=with_persons(technical_site(case.site, withholding), case.site, withholding),
        decision=technical_decision(case.decision, withholding),
        decisions=tuple(structs.replace(d, reason=text(d.reason)) for d in case.decisions),
        attachments=tuple(withholding.whole(file) for file in case.attachments),
        without=tuple(structs.replace(w, reason=text(w.reason)) for w in case.without),
    )


def pack_hindrances(
    site: Site,
    decision: Decision,
    book: Rulebook,
    *,
    prepared_on: dt.date,
    decisions: tuple[EngineerDecision, ...] = (),
    kind: Kind | None = None,
    subject: Iterable[str] = (),
    declaration: InstallerDeclaration | None = None,
    without: tuple[SentWithout, ...] = (),
) -> tuple[Hindrance, ...]:
    """All reasons why the pack can't be issued; arguments as for `build_pack`."""
    return hindrances(
        _case(site, decision, book, kind, subject, prepared_on, decisions, declaration, (), without)
    )


def needed_later(
    site: Site,
    decision: Decision,
    book: Rulebook,
    *,
    prepared_on: dt.date,
    kind: Kind | None = None,
    subject: Iterable[str] = (),
) -> tuple[Gap, ...]:
    """Facts that only a later stage needs and that are not known yet; arguments as above."""
    case = _case(site, decision, book, kind, subject, prepared_on, (), None, (), ())
    return gaps(case, later=True) if case.kind != "assessment" else ()


def missing_items(pack: Pack) -> tuple[Registered, ...]:
    """Data items that this pack needs and lacks, in the order of the index."""
    return tuple(
        entry for entry in pack.technical.register if entry.needed and entry.state == "not known"
    )


def _case(
    site: Site,
    decision: Decision,
    book: Rulebook,
    kind: Kind | None,
    subject: Iterable[str],
    prepared_on: dt.date,
    decisions: tuple[EngineerDecision, ...],
    declaration: InstallerDeclaration | None,
    attachments: tuple[AttachedFile, ...],
    without: tuple[SentWithout, ...],
) -> Case:
    if decision.rulebook.digest != book.digest:
        raise PackError("decision.rulebook", "the decision was made under another rulebook")
    if decision.reference != site.reference or decision.on_date != site.on_date:
        raise PackError("decision.reference", "the decision was made for another site file")
    there = frozenset(unit.id for unit in site.units)
    named = frozenset(subject)
    if unknown := sorted(named - there):
        raise PackError("subject", f'there is no unit "{unknown[0]}" in the site file')
    kind = kind or kind_of(decision)
    gone = frozenset(unit.id for unit in site.units if status_of(unit) == "removed")
    proposed = frozenset(unit.id for unit in site.units if status_of(unit) == "proposed")
    return Case(
        site=site,
        decision=decision,
        book=book,
        kind=kind,
        subject=gone if kind == "decommission" else named or proposed or there - gone,
        prepared_on=prepared_on,
        decisions=decisions,
        declaration=declaration,
        attachments=attachments,
        without=without,
    )


def _check_heading(
    reference: str, revision: int, replaces: int | None, changes: tuple[Change, ...], salt: str
) -> None:
    if not reference.strip():
        raise PackError("reference", "a pack needs a reference; give one")
    if not 1 <= revision <= LARGEST_REVISION:
        raise PackError("revision", f"give a whole number from 1 to {LARGEST_REVISION}")
    if revision == 1 and (replaces is not None or changes):
        raise PackError("replaces", "the first revision replaces none and changes nothing")
    if revision > 1 and (replaces is None or not 1 <= replaces < revision):
        raise PackError("replaces", "name the earlier revision that this one replaces")
    if revision > 1 and not any(change.words.strip(" :") for change in changes):
        raise PackError("changes", "say what changed against the revision that is replaced")
    _check_salt(salt)


def _check_salt(salt: str) -> None:
    if len(salt) < SHORTEST_SALT:
        raise PackError("salt", f"give at least {SHORTEST_SALT} random characters")


def serves_of(case: Case) -> str:
    """The form of the recommendations that the pack's data serves, by kind of pack."""
    serves = next((o.serves for o in case.book.outcomes if o.key == case.procedure), "")
    if case.kind == "assessment" or not serves or serves == "none":
        return "no form yet"
    if case.kind == kind_of(case.decision):
        loads = told_with_pack(case)
        return f"{serves}; {loads.form}" if loads is not None and loads.form else serves
    # After agreed work, the data serves another form of the same recommendation.
    step = next(
        (
            s
            for s in case.decision.steps
            if s.when == "after-commissioning" and s.form and s.what != NOTICE
        ),
        None,
    )
    if step is None:
        return "no form that the rulebook names"
    recommendation = re.match(r"EREC G\d+", serves)
    form = step.form if step.form.startswith("Form") or " " in step.form else f"Form {step.form}"
    return f"{recommendation[0]} {form}" if recommendation else form


def _sections(sheet: Sheet, serves: str) -> tuple[Section, ...]:
    """The sections in the order of printing; one without blocks is left out.

    Page one ends with the units, or before them where their table needs a page of its own.
    """
    case = sheet.case
    told = case.kind in TELLING
    units = ("units", "Generating units, existing and proposed", unit_blocks(sheet))
    protection = ("protection", "Interface protection", protection_blocks(sheet))
    circuits = ("circuits", "Isolation, circuits and loads", circuit_blocks(sheet))
    # A notification has two pages: what fits under its units stands before the diagram.
    first = (protection, circuits) if told and len(case.site.units) <= FEW_UNITS else ()
    diagram = ("diagram", "Single-line diagram", closing.diagram_blocks(sheet))
    parts: list[tuple[str, str, list[Block]]] = [
        ("asked", "What is told" if told else "What is asked for", front_blocks(sheet, serves)),
        ("network", "What the network sees", network_blocks(sheet)),
        *((units, *first, diagram) if len(case.site.units) <= FEW_UNITS else (diagram, units)),
        ("limitation", limitation_title(sheet), limitation_blocks(sheet)),
        *(() if first else (protection, circuits)),
        ("larger", "Reports appended", larger_blocks(sheet)),
        ("decisions", "Decisions that concern the network", decision_blocks(sheet)),
        ("declarations", "Declarations", closing.declaration_blocks(sheet)),
        ("attachments", "With this pack", closing.attachment_blocks(sheet)),
        ("next", "What happens next", closing.next_blocks(sheet)),
        ("cautions", "Caution", closing.caution_blocks(sheet)),
    ]
    return numbered(parts)


def numbered(parts: Iterable[tuple[str, str, Sequence[Block]]]) -> tuple[Section, ...]:
    """Sections in their order, of key, title and blocks."""
    return tuple(
        Section(key, number, title, tuple(blocks))
        for number, (key, title, blocks) in enumerate((part for part in parts if part[2]), start=1)
    )


def _in_order(register: list[Registered]) -> tuple[Registered, ...]:
    """The register by groups, with their titles; an item entered twice keeps its later place."""
    last = {entry.id: entry for entry in register}
    return tuple(
        structs.replace(entry, group=title)
        for key, title in GROUPS.items()
        for entry in last.values()
        if entry.group == key
    )
