"""The sections of the annex: what the firm keeps beside the pack that it sends."""

from collections.abc import Sequence
from itertools import groupby

from connections.pack.content import Block, Cell, Column, Pack, Points, PrintedRow, Prose, Table
from connections.pack.figures import long_date
from connections.pack.sections.cautions import cautions
from connections.pack.sections.check_basis import Basis
from connections.pack.sections.checks import electrical_blocks, working_blocks
from connections.pack.sections.findings import finding_blocks
from connections.pack.sections.layout import Sheet
from connections.pack.sections.network_view import working_blocks_of_sums
from connections.pack.sections.procedure import procedure_blocks
from connections.rules.checks.basis.types import Check


def annex_sections(
    sheet: Sheet, pack: Pack, checks: Sequence[Check]
) -> list[tuple[str, str, list[Block]]]:
    """Key, title and blocks of each section; `checks` name no person."""
    basis = Basis(sheet.case, checks)
    return [
        ("findings", "Findings and decisions", finding_blocks(sheet)),
        ("procedure", "Why this procedure, and why none simpler", procedure_blocks(sheet)),
        ("sums", "Sums, unit by unit", working_blocks_of_sums(sheet)),
        ("checks", "Electrical checks", electrical_blocks(checks, basis)),
        ("workings", "Workings of the electrical checks", working_blocks(checks)),
        ("figures", "Figures taken, with their sources", _figure_blocks(sheet, basis)),
        ("cautions", "Cautions", [Points("cautions", "", cautions(sheet.case))]),
        ("index", "Data items of the pack", _index_blocks(pack)),
    ]


def _figure_blocks(sheet: Sheet, basis: Basis) -> list[Block]:
    rulebook = sheet.case.decision.rulebook
    titles = {layer.key: layer.title for layer in sheet.case.book.layers}
    figures = basis.table()
    told = (
        ("Edition", rulebook.edition),
        ("Layers, lowest first", "\n".join(titles.get(key, key) for key in rulebook.layers)),
        ("Taken for", long_date(sheet.case.decision.on_date)),
        ("SHA-256", rulebook.digest),
    )
    return [
        *([figures] if figures is not None else []),
        Table(
            id="figures.rulebook",
            title="Rulebook that decided",
            columns=(Column("What", 22), Column("Which", 78)),
            rows=tuple(PrintedRow((Cell(text=what), Cell(text=which))) for what, which in told),
        ),
    ]


def _index_blocks(pack: Pack) -> list[Block]:
    """Every data item of the pack: where it is printed, and whether it is known."""
    places: dict[str, str] = {}
    for section in pack.technical.sections:
        for block in section.blocks:
            for anchor in (block.id, *(item.id for item in getattr(block, "items", ()))):
                places[anchor] = f"{section.number} {section.title}"
    said = "Each data item with the section of the pack that it stands in. The grouping is ours."
    blocks: list[Block] = [Prose("index", "", (said,))]
    for n, (group, entries) in enumerate(groupby(pack.technical.register, lambda e: e.group), 1):
        blocks.append(
            Table(
                id=f"index.{n}",
                title=group,
                columns=(
                    Column("Data item", 44), Column("Section of the pack", 36), Column("State", 20),
                ),
                rows=tuple(
                    PrintedRow(
                        (
                            Cell(text=entry.label),
                            Cell(text=places[entry.anchor]),
                            Cell(text=", ".join((entry.state, *entry.of))),
                        )
                    )
                    for entry in entries
                ),
                wordy=True,
            )
        )  # fmt: skip
    return blocks
