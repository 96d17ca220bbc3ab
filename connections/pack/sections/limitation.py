"""The limitation scheme, current clamps, and the network operator's answers."""

from connections.facts.declaring import declared
from connections.facts.defaults import known
from connections.facts.site import Cap, Clamp
from connections.pack import cells
from connections.pack.content import Block, Cell, Column, PrintedRow, Table
from connections.pack.figures import listed
from connections.pack.items.of_scheme import limit_text
from connections.pack.sections.layout import Sheet

_LEFT = ("value", "type_tested", "type_test_reference", "controls")
_RIGHT = (
    "measured_at",
    "ct_position",
    "response_ms",
    "fail_safe",
    "nets_phases",
    "commissioned_on",
)


def limitation_blocks(sheet: Sheet) -> list[Block]:
    """The export and the import limit as stated, the clamps, and operators' caps; may be none."""
    case = sheet.case
    blocks: list[Block] = []
    for which in ("export", "import"):
        if case.limit(which) is not None:
            both = case.limit("export") is not None and case.limit("import") is not None
            title = f"{which.capitalize()} limit" if both else ""
            blocks += [
                sheet.facts(f"limitation.{which}", title, _ids(which, _LEFT), side="left"),
                sheet.facts(f"limitation.{which}.how", "", _ids(which, _RIGHT), side="right"),
            ]
    if case.site.clamps:
        blocks.append(_clamps(sheet, case.site.clamps))
    if case.site.caps:
        blocks.append(_caps(sheet))
    return blocks


def limitation_title(sheet: Sheet) -> str:
    """The heading, by what is limited."""
    limits = [which for which in ("export", "import") if sheet.case.limit(which) is not None]
    if not limits:
        return "What the network operator has answered" if sheet.case.site.caps else "Clamps"
    return f"{listed(limits).capitalize()} limitation scheme"


def _ids(which: str, fields: tuple[str, ...]) -> list[str]:
    return [f"limit.{which}.{field}" for field in fields]


def _clamps(sheet: Sheet, clamps: tuple[Clamp, ...]) -> Table:
    facts = declared(Clamp)
    names = ("place", "serves", "phase", "direction", "link")
    sheet.enter(
        "limitation.clamps", "limitation", "Current clamps", "limitation.clamps", needed=False
    )
    return Table(
        id="limitation.clamps",
        title="Current clamps",
        columns=(
            Column("Clamp", 14),
            *(
                Column(facts[name].label, width)
                for name, width in zip(names, (16, 22, 10, 22, 16), strict=True)
            ),
        ),
        rows=tuple(
            PrintedRow(
                (
                    Cell(text=clamp.id),
                    *(
                        cells.words(getattr(clamp, name), dict(facts[name].choices))
                        for name in names
                    ),
                )
            )
            for clamp in clamps
        ),
    )


def _cap_text(cap: Cap) -> str:
    """A cap as written, with the way in which phases share a total, if stated."""
    said = {True: ", each phase its share only", False: ", on whichever phase", None: ""}
    return limit_text(cap.value, cap.basis) + said[known(cap.split_equally)]


def _caps(sheet: Sheet) -> Table:
    names = {
        "export": "export",
        "installed": "installed capacity",
    }
    sheet.enter(
        "limitation.caps",
        "limitation",
        "What the network operator has answered",
        "limitation.caps",
        needed=False,
    )
    limited = any(sheet.case.limit(which) is not None for which in ("export", "import"))
    return Table(
        id="limitation.caps",
        title="What the network operator has answered" if limited else "",
        columns=(
            Column("Cap on", 40),
            Column("As written", 22),
            Column("Operator's reference", 22),
            Column("Until", 16),
        ),
        rows=tuple(
            PrintedRow(
                (
                    Cell(text=names[cap.on]),
                    Cell(text=_cap_text(cap)),
                    cells.words(cap.from_operator_reference),
                    cells.day(cap.until),
                )
            )
            for cap in sheet.case.site.caps
        ),
    )
