"""The closing sections: diagram, attachments, checks, declarations, cautions, index, this pack."""

from connections.pack.content import (
    AttachedFile,
    Block,
    Cell,
    Column,
    Drawing,
    PrintedRow,
    Prose,
    Signing,
    Table,
)
from connections.pack.figures import counted, fixed, long_date
from connections.pack.sections.cautions import wiring_of
from connections.pack.sections.layout import Sheet

_ON_PAPER = Cell(blank=True)


def diagram_blocks(sheet: Sheet) -> list[Block]:
    """The single-line diagram."""
    sheet.enter("diagram", "attachments", "Single-line diagram", "diagram")
    return [
        Drawing(
            "diagram",
            "",
            "Drawn from the facts of this pack. Ratings are those of one unit; existing and "
            "proposed equipment is named as such.",
        )
    ]


def attachment_blocks(sheet: Sheet) -> list[Block]:
    """Files in the PDF, attachments that the steps ask for, and where each of them is."""
    files = sheet.case.attachments
    asked = list(
        dict.fromkeys(wanted for step in sheet.case.decision.steps for wanted in step.attachments)
    )
    said = (
        f"The PDF carries {counted(len(files), 'file')}, listed here, and one data file, the "
        "content of this pack."
        if files
        else "No file is attached to this pack. What is marked “beside this pack” below has to be "
        "sent with it. The PDF carries one data file, the content of this pack."
    )
    blocks: list[Block] = [Prose("attachments", "", (said,))]
    if files:
        blocks.append(_files(files))
    if asked:
        blocks.append(
            Table(
                id="attachments.asked",
                title="What the steps ask for",
                columns=(Column("Attachment", 50), Column("Where it is", 50)),
                rows=tuple(
                    PrintedRow((Cell(text=_named(want)), Cell(text=_where(want, bool(files)))))
                    for want in asked
                ),
            )
        )
    sheet.enter("attachments", "attachments", "Attachments", "attachments")
    return blocks


def _files(files: tuple[AttachedFile, ...]) -> Table:
    return Table(
        id="attachments.files",
        title="Attached files",
        says="Each is embedded in this PDF under its number and name; its SHA-256 tells that it is "
        "the same file.",
        columns=(
            Column("File", 32),
            Column("What it is", 24),
            Column("Pages", 8, number=True),
            Column("Size", 10, "kB", number=True),
            Column("SHA-256", 26),
        ),
        rows=tuple(
            PrintedRow(
                (
                    Cell(text=embedded_name(number, file)),
                    Cell(text=file.title or "–"),
                    Cell(text=str(file.pages)),
                    Cell(text=fixed(-(-file.size_bytes // 1000), 0)),
                    Cell(text=file.sha256),
                )
            )
            for number, file in enumerate(files, start=1)
        ),
    )


def embedded_name(number: int, file: AttachedFile) -> str:
    """Name of an embedded file; numbered, since two files may have the same name."""
    return f"{number:02d} {file.name}"


def _named(want: str) -> str:
    return want[:1].upper() + want[1:]


def _where(want: str, files: bool) -> str:
    if want == "single-line diagram":
        return "in this pack, section “Single-line diagram”"
    if want == "protection schedule":
        return "in this pack, section “Interface protection”"
    beside = "beside this pack"
    return f"among the attached files above, or else {beside}" if files else beside


_CHECKS = (
    "Work agrees with {wiring}",
    "Isolation can be locked off; its place:",
    "Labels for two sources of supply are in place",
    "Protection settings are those of this pack",
    "Starts and stops without disturbance",
    "Runs without tripping for no cause",
    "Stops on loss of mains, and waits before it reconnects",
    "The site agrees with the diagram",
    "The maker's guidance on cyber security was followed",
)
_SCHEME_CHECKS = (
    "Limit and direction of measurement are right",
    "Export is forced over the limit; time to come back, in seconds:",
    "Meter, link, controller and supply are each taken away; the scheme falls back to the limit",
    "Settings are still there after power is off and on",
    "Settings are locked against change",
)


def check_blocks(sheet: Sheet) -> list[Block]:
    """Checks at commissioning, to be filled in on paper."""
    checks = [check.format(wiring=wiring_of(sheet.case)) for check in _CHECKS]
    if sheet.case.limit("export") is not None or sheet.case.limit("import") is not None:
        checks += _SCHEME_CHECKS
    sheet.enter(
        "commissioning.checks",
        "commissioning",
        "Commissioning checks",
        "commissioning.checks",
        "on paper",
    )
    return [
        Table(
            id="commissioning.checks",
            title="",
            wordy=True,
            says="To be filled in at the site. The list is ours, after published forms read in "
            "part and from memory; the operator may ask for more.",
            columns=(
                Column("Check", 52),
                Column("Result", 24),
                Column("Date", 12),
                Column("Initials", 12),
            ),
            rows=tuple(
                PrintedRow((Cell(text=check), _ON_PAPER, _ON_PAPER, _ON_PAPER)) for check in checks
            ),
        )
    ]


def declaration_blocks(sheet: Sheet) -> list[Block]:
    """Declarations with places to sign."""
    case = sheet.case
    edition = case.decision.rulebook.edition
    declared = case.declaration
    if case.after_the_work:
        installer = (
            "I declare that the equipment listed in this pack was installed and commissioned as "
            f"described here and as {edition} asks, and that the facts above are right to the "
            "best of my knowledge."
        )
    else:
        installer = (
            "I declare that the equipment listed in this pack is to be installed as described "
            f"here and as {edition} asks, and that the facts above are right to the best of my "
            "knowledge."
        )
    name = Cell(text=declared.by) if declared else _ON_PAPER
    signed = Cell(text=long_date(declared.on)) if declared else _ON_PAPER
    blocks: list[Block] = [
        Signing(
            "declarations.installer",
            "Installer",
            installer,
            sheet.kept_apart("declaration.installer.by", name) if declared else name,
            signed,
        ),
        Signing(
            "declarations.customer",
            "Customer, who runs the generation",
            "I ask for what page one says, and I accept what goes with running generation in "
            "parallel with the public network: to keep the settings, to let the network operator "
            "reach the isolation, and to tell it before anything is changed or taken away.",
            _ON_PAPER,
            _ON_PAPER,
        ),
        Signing(
            "declarations.owner",
            "Owner of the premises, if another person",
            "I consent to the work described in this pack.",
            _ON_PAPER,
            _ON_PAPER,
        ),
    ]
    sheet.enter(
        "declarations.installer",
        "declarations",
        "Installer's declaration",
        "declarations.installer",
        "given" if declared else "on paper",
        needed=True,
    )
    for block_id, label in (
        ("declarations.customer", "Customer's declaration"),
        ("declarations.owner", "Owner's consent, signed"),
    ):
        sheet.enter(block_id, "declarations", label, block_id, "on paper")
    return blocks


def about_blocks(sheet: Sheet) -> list[Block]:
    """How to read the pack, its digests and the rulebook that decided."""
    rulebook = sheet.case.decision.rulebook
    titles = {layer.key: layer.title for layer in sheet.case.book.layers}
    layers = "; ".join(f"{titles.get(key, key)} ({key})" for key in rulebook.layers)
    sheet.enter("case.rulebook", "case", "Rulebook that decided", "about.rulebook")
    return [
        Prose(
            "about.reading",
            "How to read it",
            (
                "“Not known” stands where nobody has given the fact; “assumed” where nothing was "
                "said and the usual case was taken. A dash stands where there is nothing to tell.",
                "The PDF carries its own content as a data file (pack.json). A character that the "
                "typeface of these pages lacks is printed as \ufffd; the data file has it.",
                "The content has a technical part and a personal part; each has a digest, and the "
                "digest on every page covers both.",
            ),
        ),
        Table(
            id="about.rulebook",
            title="Rulebook that decided",
            columns=(Column("What", 22), Column("Which", 78)),
            rows=(
                PrintedRow(
                    (Cell(text="Edition"), Cell(text=f"{rulebook.edition} ({rulebook.key})"))
                ),
                PrintedRow((Cell(text="Layers, lowest first"), Cell(text=layers))),
                PrintedRow(
                    (Cell(text="Taken for"), Cell(text=long_date(sheet.case.decision.on_date)))
                ),
                PrintedRow((Cell(text="Digest"), Cell(text=rulebook.digest))),
            ),
        ),
    ]
