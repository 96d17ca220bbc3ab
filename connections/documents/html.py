"""A frozen pack or annex as HTML: cells resolved, then printed by templates that escape text."""

from typing import TypedDict

from connections.documents.check_plots import plot_of_block
from connections.documents.diagrams import diagram_svgs, heading_of_pack
from connections.documents.fonts import printed_text
from connections.documents.phase_bars import placed
from connections.documents.print_error import PrintError
from connections.documents.templating import filled
from connections.pack.content import (
    Annex,
    Block,
    Cell,
    Content,
    Facts,
    Pack,
    PhaseBars,
    Plotted,
    Section,
    Signing,
    Table,
)
from connections.pack.figures import long_date


def pack_html(pack: Pack) -> str:
    """The whole HTML document of a pack.

    Raises PrintError if the personal part was removed: such a pack can't be printed any more.
    """
    context = {
        **_shared(pack),
        "diagrams": diagram_svgs(pack.technical.site, heading_of_pack(pack)),
    }
    return printed_text(filled("pack/pack.html", context))


def annex_html(annex: Annex) -> str:
    """The whole HTML document of an annex; raises PrintError as `pack_html` does."""
    return printed_text(filled("annex/annex.html", _shared(annex)))


def _shared(pack: Content) -> dict[str, object]:
    if pack.personal is None:
        raise PrintError("The personal part was removed, so this can't be printed any more.")
    return {
        "pack": pack,
        "words": pack.technical.wording,
        "prepared_on": long_date(pack.prepared_on),
        "sections": shown_sections(pack),
    }


class ShownSection(TypedDict):
    """A section as templates print it; `blocks` have their kind and what that kind shows."""

    key: str
    number: int
    title: str
    blocks: list[dict[str, object]]


def shown_sections(pack: Content) -> list[ShownSection]:
    """The sections as templates print them, with personal values filled in."""
    return [_section(section, pack) for section in pack.technical.sections]


def _section(section: Section, pack: Content) -> ShownSection:
    return {
        "key": section.key,
        "number": section.number,
        "title": section.title,
        "blocks": [_block(block, pack) for block in section.blocks],
    }


def _block(block: Block, pack: Content) -> dict[str, object]:
    """Values of a block for its template: its own fields, with cells resolved."""
    shown: dict[str, object] = {"kind": type(block).__name__.lower(), "block": block}
    if isinstance(block, Facts):
        shown["items"] = [(item, _cell(item.value, pack)) for item in block.items]
    elif isinstance(block, Table):
        shown["rows"] = [
            {
                "total": row.total,
                "head": _cell(row.cells[0], pack),
                "cells": [
                    (_cell(cell, pack), column)
                    for cell, column in zip(row.cells[1:], block.columns[1:], strict=True)
                ],
            }
            for row in block.rows
        ]
    elif isinstance(block, Plotted):
        shown["plot"] = plot_of_block(block)
    elif isinstance(block, PhaseBars):
        shown["bars"] = placed(block)
    elif isinstance(block, Signing):
        shown["name"], shown["on"] = _cell(block.name, pack), _cell(block.on, pack)
    return shown


def _cell(cell: Cell, pack: Content) -> dict[str, object]:
    text = cell.text
    if cell.personal:
        assert pack.personal is not None
        text = pack.personal.values.get(cell.personal)
    return {
        "text": text,
        "blank": cell.blank,
        "assumed": cell.assumed,
        "unknown": text is None and not cell.blank,
    }
