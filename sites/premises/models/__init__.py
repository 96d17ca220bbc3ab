"""Rows of a premises: parties, supply, plant, designs, drafts and overrides."""

from sites.premises.models.design import Design, Removal
from sites.premises.models.double import Double, Locator
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
from sites.premises.models.search import SearchWord
from sites.premises.models.supply import Supply

__all__ = [
    "OVERRIDABLE",
    "Array",
    "Board",
    "Cable",
    "Cap",
    "Cells",
    "Clamp",
    "Default",
    "Design",
    "Double",
    "Draft",
    "Limit",
    "Load",
    "Locator",
    "Override",
    "Party",
    "Premises",
    "Protection",
    "Removal",
    "SearchWord",
    "Supply",
    "SupplyNumber",
    "Unit",
]
