"""Text alternative of a sheet: the drawing in words, in drawing order."""

from connections.diagram.circuits.circuit import Board, Circuit, Column, Stray
from connections.diagram.lettering import printable
from connections.diagram.sheets.column import ISLAND_WORDS, SWITCHED_WORDS

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
    said = [
        f"Supply from the network: {'; '.join(circuit.supply)}.",
        f"{circuit.cut_out}. Meter. Below the meter the installation is the customer's; above it "
        "stands the equipment of the network operator and the supplier.",
    ]
    if circuit.scheme:
        place = (
            "Its current transformer stands at the supply, below the meter."
            if circuit.measured_at_supply
            else "Its current transformer stands where the lines below say."
        )
        said.append(f"Limitation scheme: {'; '.join(circuit.scheme)}. {place}")
    return tuple(said)


def board_sentence(board: Board) -> str:
    """Sentence on a board, its feed and its loads."""
    feed = f", {board.feed}" if board.feed else ""
    said = [f"{board.name}{feed}"]
    if board.measured:
        said.append("the current transformer of the limitation scheme stands in its feeder")
    said.extend(device.words for device in board.devices)
    said.append(board.loads)
    return "; ".join(said) + "."


def column_sentence(column: Column, board: Board) -> str:
    """Sentence on a unit with its circuit and its sources."""
    said = [
        f"Unit {printable(column.unit_id) or 'with no printable id'} ({column.status}), on "
        f"{_inside(board.name)}: {_UNIT_NAMES[column.symbol]}",
        *column.words,
    ]
    if column.equipment:
        said.append(column.equipment)
    if column.measured:
        said.append("the current transformer of the limitation scheme stands in its circuit")
    said.extend(device.words for device in column.devices)
    if column.cable:
        said.append(column.cable)
    if column.island:
        said.append(f"changeover switch; {ISLAND_WORDS}")
    if column.switched:
        said.append(f"changeover switch; {SWITCHED_WORDS}")
    said.append(column.isolator or "lockable AC isolator, rating not known")
    if column.interface:
        said.append(column.interface)
    if column.controlled:
        said.append("control line from the limitation scheme")
    if column.dc_isolator:
        said.append(column.dc_isolator)
    sources = [
        f"{_SOURCE_NAMES[source.symbol]} ({source.status}): {', '.join(source.words)}"
        for source in column.sources
    ]
    behind = f" Behind it: {'; '.join(sources)}." if sources else ""
    return "; ".join(said) + "." + behind


def stray_sentences(strays: tuple[Stray, ...]) -> tuple[str, ...]:
    """Sentences on panels and cells without a unit."""
    return tuple(
        f"Joined to nothing: {_SOURCE_NAMES[stray.source.symbol]} ({stray.source.status}): "
        f"{', '.join(stray.source.words)}; they name unit “{stray.names}”, which is not there."
        for stray in strays
    )


def _inside(name: str) -> str:
    """A board's name in the middle of a sentence."""
    return name[0].lower() + name[1:]
