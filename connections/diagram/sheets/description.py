"""Text alternative of a sheet: the drawing in words, in drawing order."""

from connections.diagram.circuits.circuit import Board, Circuit, Column, Island, Source, Stray
from connections.diagram.lettering import printable

ABOVE = "above: network operator and supplier"
BELOW = "below: customer"
"""Words at the boundary of ownership."""

_UNIT_NAMES = {
    "inverter": "inverter",
    "inverter-tested": "inverter with its interface protection inside",
    "machine": "rotating generator",
    "unit-not-known": "generating unit of unknown kind",
}
_SOURCE_NAMES = {
    "pv": "solar panels",
    "cells": "storage cells",
    "machine": "generator",
    "vehicle": "vehicle on its charge point",
    "source-other": "source of another kind",
}


def supply_sentences(circuit: Circuit) -> tuple[str, ...]:
    """Sentences on the supply, from the network to the main board."""
    meter = circuit.meter + (f"; {circuit.more_meters}" if circuit.more_meters else "")
    service = f" {circuit.service}." if circuit.service else ""
    said = [
        f"Supply from the network: {'; '.join(circuit.supply)}.",
        f"{circuit.cut_out}.{service} {meter}. Boundary of ownership, {ABOVE}; {BELOW}.",
        *(f"{clamps.words}." for clamps in circuit.clamps),
    ]
    if circuit.scheme:
        place = (
            "Its current transformer stands at the supply, below the meter."
            if circuit.measured_at_supply
            else "Its current transformer stands where the lines below say."
        )
        said.append(f"Limitation scheme: {'; '.join(circuit.scheme)}. {place}")
    said.append(f"{circuit.tails}.")
    return tuple(said)


def board_sentence(board: Board) -> str:
    """Sentence on a board, its feed and its loads."""
    feed = f", {board.feed}" if board.feed else ""
    said = [f"{board.name}{feed}"]
    if board.measured:
        said.append("the current transformer of the limitation scheme stands in its feeder")
    said.extend(device.words for device in board.devices)
    said.append(board.loads)
    said.extend(clamps.words for clamps in board.clamps)
    return "; ".join(said) + "."


def column_sentence(column: Column, board: Board) -> str:
    """Sentence on a unit with its circuit and its sources."""
    said = [
        f"Unit {printable(column.unit_id) or 'id not printable'} ({column.status}), on "
        f"{_inside(board.name)}: {_UNIT_NAMES[column.symbol]}",
        *column.words,
    ]
    if column.measured:
        said.append("the current transformer of the limitation scheme stands in its circuit")
    said.extend(clamps.words for clamps in column.clamps)
    said.extend(device.words for device in column.devices)
    if column.cable:
        said.append(column.cable)
    if column.changeover:
        said.append(f"changeover: {column.changeover.words}")
    if column.island:
        said.extend(_island(column.island))
    if column.isolator:
        said.append(column.isolator.words)
    if column.interface:
        said.append(column.interface)
    if column.controlled:
        said.append("control line from the limitation scheme")
    sources = [_source(source) for source in column.sources]
    behind = f" Behind it: {'; '.join(sources)}." if sources else ""
    return "; ".join(said) + "." + behind


def _island(island: Island) -> tuple[str, ...]:
    """The island of a unit, from its line upwards, then downwards."""
    board = (
        (f"as an island it feeds: {island.board}", island.loads) if island.board else ("island",)
    )
    residual = (island.residual.words,) if island.residual else ()
    return (*board, *residual, island.relay, island.terminal, island.electrode)


def _source(source: Source) -> str:
    isolation = source.isolator or source.unisolated
    before = f"{isolation}; then " if isolation else ""
    return f"{before}{_SOURCE_NAMES[source.symbol]} ({source.status}): {', '.join(source.words)}"


def stray_sentences(strays: tuple[Stray, ...]) -> tuple[str, ...]:
    """Sentences on panels and cells without a unit."""
    return tuple(
        f"{_SOURCE_NAMES[stray.source.symbol]} ({stray.source.status}): "
        f"{', '.join(stray.source.words)}; names unit “{stray.names}”, which is not there."
        for stray in strays
    )


def _inside(name: str) -> str:
    """A board's name in the middle of a sentence."""
    return name[0].lower() + name[1:]
