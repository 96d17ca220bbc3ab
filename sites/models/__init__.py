"""The rows of the lower app: people, premises, designs, plant, drafts and the audit log."""

from sites.models.design import Design, Removal
from sites.models.draft import Draft
from sites.models.equipment import Equipment
from sites.models.event import Event
from sites.models.override import OVERRIDABLE, Override
from sites.models.people import Firm, Person, Role
from sites.models.plant import Array, Board, Cable, Cells, Limit, Load, Protection, Unit
from sites.models.premises import Cap, Party, Premises, SupplyNumber
from sites.models.supply import Supply

__all__ = [
    "OVERRIDABLE",
    "Array",
    "Board",
    "Cable",
    "Cap",
    "Cells",
    "Design",
    "Draft",
    "Equipment",
    "Event",
    "Firm",
    "Limit",
    "Load",
    "Override",
    "Party",
    "Person",
    "Premises",
    "Protection",
    "Removal",
    "Role",
    "Supply",
    "SupplyNumber",
    "Unit",
]
