"""The limitation scheme, current clamps, and the network operator's answers."""

from connections.facts.declaring import declared
from connections.facts.defaults import known
from connections.facts.site import Cap, Clamp
from connections.pack import cells
from connections.pack.content import Block, Cell, Column, PrintedRow, Prose, Table
from connections.pack.items.of_scheme import limit_text
from connections.pack.sections.layout import Sheet

_FIELDS = (
    "value",
    "type_tested",
    "type_test_reference",
    "response_ms",
    "fail_safe",
    "measured_at",
    "controls",
    "ct_position",
    "nets_phases",
    "commissioned_on",
)
_BESIDE = (
    "A description of the scheme goes with an application: purpose, controller and its firmware, "
    "units and loads that it controls, way of control and medium, set-points and dead band, what "
    "it does on loss of the meter, a link, the controller or the supply, who can change its "
    "settings, and the test plan (secondary sources and memory; the text of EREC G100 was not "
    "read)."
)


def limitation_blocks(sheet: Sheet) -> list[Block]:
    """The export and the import limit as stated, the clamps, and operators' caps."""
    case = sheet.case
    blocks: list[Block] = []
    for which in ("export", "import"):
        if case.limit(which) is not None:
            ids = [f"limit.{which}.{field}" for field in _FIELDS]
            blocks.append(sheet.facts(f"limitation.{which}", f"{which.capitalize()} limit", ids))
    if blocks:
        blocks.append(Prose("limitation.beside", "", (_BESIDE,)))
    else:
        blocks.append(Prose("limitation.none", "", ("No limitation scheme is stated.",)))
    if case.site.clamps:
        blocks.append(_clamps(sheet, case.site.clamps))
    if case.site.caps:
        blocks.append(_caps(sheet))
    return blocks


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
        "export": "export (a limitation scheme can answer it)",
        "installed": "installed capacity (only less capacity answers it)",
    }
    sheet.enter(
        "limitation.caps",
        "limitation",
        "What the network operator has answered",
        "limitation.caps",
        needed=False,
    )
    return Table(
        id="limitation.caps",
        title="What the network operator has answered",
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
