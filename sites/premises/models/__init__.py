"""Rows of a premises: case, parties, supply, plant, designs, drafts and overrides."""

from sites.premises.models.application import Application, ApplicationLine
from sites.premises.models.design import Design, Removal
from sites.premises.models.draft import Draft
from sites.premises.models.override import OVERRIDABLE, Default, Override
from sites.premises.models.plant import (
    Array,
    Board,
    Cable,
    Cells,
    Clamp,
    Limit,
    Load,
    Protection,
    Unit,
)
from sites.premises.models.premises import Cap, Party, Premises, SupplyNumber
from sites.premises.models.supply import Supply

__all__ = [
    "OVERRIDABLE",
    "Application",
    "ApplicationLine",
    "Array",
    "Board",
    "Cable",
    "Cap",
    "Cells",
    "Clamp",
    "Default",
    "Design",
    "Draft",
    "Limit",
    "Load",
    "Override",
    "Party",
    "Premises",
    "Protection",
    "Removal",
    "Supply",
    "SupplyNumber",
    "Unit",
]
