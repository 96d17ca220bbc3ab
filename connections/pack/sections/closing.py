"""The closing sections: diagram, declarations, attachments, what comes next, one caution."""

from connections.facts.decision import Period, Step
from connections.pack.case import Case
from connections.pack.content import (
    AttachedFile,
    Block,
    Cell,
    Column,
    Drawing,
    Facts,
    Item,
    PrintedRow,
    Prose,
    Signing,
    Table,
)
from connections.pack.figures import counted, fixed, listed, long_date
from connections.pack.items.types import LARGE
from connections.pack.sections.cautions import wiring_of
from connections.pack.sections.front import applicant_of
from connections.pack.sections.layout import Sheet
from connections.pack.sections.limitation import limitation_title

_ON_PAPER = Cell(blank=True)
_CAUTION = (
    "Work near a live cut-out, meter or store of energy can kill. Cut-out and seals belong to the "
    "network operator. Design, connection and testing are for competent and registered persons. "
    "The operator's written word and local codes come first."
)


def diagram_blocks(sheet: Sheet) -> list[Block]:
    """The single-line diagram, on A3 above 50 kW."""
    sheet.enter("diagram", "attachments", "Single-line diagram", "diagram")
    return [Drawing("diagram", "", "A3" if sheet.case.procedure in LARGE else "A4")]


# Declarations -------------------------------------------------------------------------------


def _of_limits(case: Case) -> list[str]:
    """The recommendation on limitation schemes, where a site has one."""
    limited = any(case.limit(which) is not None for which in ("export", "import"))
    return ["EREC G100"] if limited and "form.limiter_application" in case.book.values else []


def declaration_blocks(sheet: Sheet) -> list[Block]:
    """Declarations by those who must declare, with places to sign."""
    case = sheet.case
    if case.after_the_work:
        told = [
            Item(f"attachments.{n}", what, Cell(text=where))
            for n, (what, where) in enumerate(_attached(sheet), start=1)
        ]
        beside = Facts("attachments", "With this pack", tuple(told), side="right")
        return [_installer(sheet), beside]
    who = applicant_of(case)
    edition = case.decision.rulebook.edition
    authority = "" if who == "customer" else ", with the customer's authority"
    asks = "give notice that the plant described here is taken out"
    if case.kind != "decommission":
        asks = "apply for the connection described here"
    text = (
        f"I {asks}{authority}. The facts are true as far as I know. Installation, tests and "
        f"records will follow {listed([edition, *_of_limits(case), wiring_of(case)])}."
    )
    title = {"customer": "Customer", "installer": "Applicant and installer"}.get(who, "Applicant")
    sheet.enter(
        "declarations.applicant", "declarations", "Applicant's declaration",
        "declarations.applicant", "on paper",
    )  # fmt: skip
    sheet.enter(
        "declarations.owner", "declarations", "Owner's consent, signed", "declarations.owner",
        "on paper",
    )  # fmt: skip
    owner = (
        "I own the premises, or act for the owner, and consent to this work. I know that the "
        "network operator may limit or refuse it, and that work starts only after its answer."
    )
    return [
        Signing("declarations.applicant", title, text, _ON_PAPER, _ON_PAPER, side="left"),
        Signing("declarations.owner", "Owner", owner, _ON_PAPER, _ON_PAPER, side="right"),
    ]


def _installer(sheet: Sheet) -> Signing:
    declared = sheet.case.declaration
    name = Cell(text=declared.by) if declared else _ON_PAPER
    sheet.enter(
        "declarations.installer",
        "declarations",
        "Installer's declaration",
        "declarations.installer",
        "given" if declared else "on paper",
    )
    return Signing(
        "declarations.installer",
        "Installer",
        "I declare that the equipment listed here was installed and commissioned as described and "
        f"as {sheet.case.decision.rulebook.edition} and {wiring_of(sheet.case)} ask, and that the "
        "facts are right to the best of my knowledge.",
        sheet.kept_apart("declaration.installer.by", name) if declared else name,
        Cell(text=long_date(declared.on)) if declared else _ON_PAPER,
        side="left",
    )


# Attachments --------------------------------------------------------------------------------


def attachment_blocks(sheet: Sheet) -> list[Block]:
    """What goes with the pack; after the work it stands beside the declaration."""
    if sheet.case.after_the_work:
        return []
    return [
        Table(
            id="attachments",
            title="",
            columns=(Column("What", 60), Column("Where", 40)),
            rows=tuple(
                PrintedRow((Cell(text=what), Cell(text=where))) for what, where in _attached(sheet)
            ),
        )
    ]


def _attached(sheet: Sheet) -> list[tuple[str, str]]:
    """What goes with the pack, and where each of it is."""
    files = sheet.case.attachments
    stage: tuple[str, ...] = (
        ("after-commissioning",) if sheet.case.after_the_work else ("before-work",)
    )
    if sheet.case.kind == "decommission":
        stage = ("after-commissioning", "before-work")
    asked = dict.fromkeys(
        wanted
        for step in sheet.case.decision.steps
        if step.when in stage
        for wanted in step.attachments
    )
    rows: list[tuple[str, str]] = [(_named(want), _where(sheet, want)) for want in asked]
    rows += [(_file(n, file), _size(file)) for n, file in enumerate(files, start=1)]
    rows.append(("Data of this pack (pack.json)", "inside this PDF"))
    sheet.enter("attachments", "attachments", "Attachments", "attachments")
    return rows


def _file(number: int, file: AttachedFile) -> str:
    name = embedded_name(number, file)
    return f"{file.title}: {name}" if file.title else name


def _size(file: AttachedFile) -> str:
    size = fixed(-(-file.size_bytes // 1000), 0)
    return f"inside this PDF, {counted(file.pages, 'page')}, {size} kB"


def embedded_name(number: int, file: AttachedFile) -> str:
    """Name of an embedded file; numbered, since two files may have the same name."""
    return f"{number:02d} {file.name}"


def _named(want: str) -> str:
    return want[:1].upper() + want[1:]


_SECTIONS = {
    "single-line diagram": "Single-line diagram",
    "protection schedule": "Interface protection",
    "maximum demand after diversity": "Demand, and capacities wanted",
}


def _where(sheet: Sheet, want: str) -> str:
    section = _SECTIONS.get(want)
    if want == "limitation scheme description" and sheet.case.limit("export") is not None:
        section = limitation_title(sheet)
    return f"above, under “{section}”" if section else "beside this pack"


# What happens next --------------------------------------------------------------------------


def next_blocks(sheet: Sheet) -> list[Block]:
    """The answer that is waited for, and what is sent later; none for a notification."""
    if sheet.case.after_the_work or sheet.case.kind in ("assessment", "decommission"):
        return []
    rows: list[tuple[str, str]] = []
    for step in sheet.case.decision.steps:
        if step.when == "before-work" and step.what in ("application", "ask") and step.wait:
            rows.append(("Your answer", _limit_words(step.limit) or "in writing, before the work"))
        elif step.when == "before-energising":
            rows.append(("Our programme of commissioning", _limit_words(step.limit) or "before it"))
        elif step.when == "after-commissioning":
            what = _AFTER.get(step.what, "confirmation")
            rows.append((f"Our {what}{_on_form(step)}", _limit_words(step.limit) or "with it"))
    if not rows:
        return []
    return [
        Table(
            id="next",
            title="",
            columns=(Column("What", 60), Column("When", 40)),
            rows=tuple(PrintedRow((Cell(text=a), Cell(text=b))) for a, b in rows),
        )
    ]


_AFTER = {"demand-notice": "notice of new loads", "decommission": "notice of plant taken out"}


def _on_form(step: Step) -> str:
    if not step.form:
        return ""
    return f" on {step.form}" if " " in step.form else f" on Form {step.form}"


_FROM = {
    "submission": "of the complete application",
    "commissioning": "of commissioning",
    "before-commissioning": "",
}


def _limit_words(period: Period | None) -> str:
    if period is None:
        return ""
    size = counted(period.n, period.unit.rstrip("s").replace("-", " "))
    if period.from_ == "before-commissioning":
        return f"at least {size} before commissioning"
    return f"within {size} {_FROM.get(period.from_, f'of the {period.from_}')}".strip()


def caution_blocks(sheet: Sheet) -> list[Block]:
    """The one line of caution that the pack keeps."""
    sheet.enter("cautions", "declarations", "Caution", "cautions", needed=False)
    return [Prose("cautions", "", (_CAUTION,))]
