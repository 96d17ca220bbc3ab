"""The closed list of deciding facts.

Each fact names the site-file paths that it is made from. A condition on any other name does not
load. `connections.rules.deciding_facts` works out the values.
"""

from typing import Literal

from msgspec import Struct

FactKind = Literal[
    "power-per-phase",
    "power",
    "apparent-per-phase",
    "apparent",
    "peak",
    "count",
    "yes-no",
    "word",
]

PER_PHASE: tuple[FactKind, ...] = ("power-per-phase", "apparent-per-phase")
"""Kinds that may be compared with a current at the rulebook's phase-to-neutral voltage."""

UNITS_OF: dict[FactKind, str] = {"power": "W", "apparent": "VA", "peak": "Wp"}
"""The unit of each kind that has only one."""


class DecidingFact(Struct, frozen=True):
    """A fact that conditions may test.

    `kind` says what it is compared with: "power-per-phase" with a current (at the rulebook's
    phase-to-neutral voltage) or a power, "power" with a power, "apparent-per-phase" with a current
    or an apparent power, "apparent" with an apparent power, "peak" with a peak power of panels,
    "count" with a count, "word" with words, "yes-no" with yes or no. `paths` are site-file paths;
    `[]` stands for every entry of a list.
    """

    name: str
    kind: FactKind
    says: str
    paths: tuple[str, ...]


_CAPACITY = ("units[].rated_w", "units[].quantity", "units[].phases", "units[].status")
_APPARENT = (
    "units[].rated_va",
    "units[].rated_ma",
    "units[].rated_w",
    "units[].quantity",
    "units[].phases",
    "units[].status",
)
_KIT = ("units[].plugged_in", "units[].standards[].standard", "units[].status")
_TESTED = (
    "units[].standards[].type_tested",
    "units[].standards[].standard",
    "units[].standards[].rated_w",
    "units[].standards[].valid_until",
    "units[].commissioned_on",
)

DECIDING_FACTS: tuple[DecidingFact, ...] = (
    DecidingFact("voltage_level", "word", "the supply's voltage level", ("supply.voltage_level",)),
    DecidingFact(
        "supply_kind",
        "word",
        "the kind of supply",
        ("supply.phases",),
    ),
    DecidingFact(
        "accepted_as_micro",
        "yes-no",
        "every counted unit is fully type tested as micro-generation, or is older plant that "
        "still counts so",
        _TESTED,
    ),
    DecidingFact(
        "accepted_as_small",
        "yes-no",
        "every counted unit is fully type tested as a small generation installation needs, or is "
        "older plant that still counts so",
        _TESTED,
    ),
    DecidingFact(
        "every_unit_inverter", "yes-no", "every counted unit is an inverter", ("units[].kind",)
    ),
    DecidingFact(
        "every_unit_long_term_parallel",
        "yes-no",
        "every counted unit runs in long-term parallel",
        ("units[].operating_mode",),
    ),
    DecidingFact(
        "islanding",
        "word",
        "any counted unit can run as an island",
        ("units[].can_island",),
    ),
    DecidingFact(
        "largest_rated",
        "power-per-phase",
        "the largest registered capacity of one unit, per phase",
        ("units[].rated_w", "units[].phases"),
    ),
    DecidingFact(
        "largest_design",
        "power-per-phase",
        "the largest design capacity of one unit, per phase",
        ("units[].design_w", "units[].phases"),
    ),
    DecidingFact(
        "largest_phase_sum",
        "power-per-phase",
        "the aggregate registered capacity on the fullest phase",
        _CAPACITY,
    ),
    DecidingFact(
        "export_limit",
        "power-per-phase",
        "the export limit of a type-tested limitation scheme, per phase",
        ("limits.export.value", "limits.export.basis", "limits.export.type_tested"),
    ),
    DecidingFact(
        "generation_phase_sum",
        "power-per-phase",
        "the aggregate registered capacity other than storage on the phase that has most of it",
        (*_CAPACITY, "units[].source"),
    ),
    DecidingFact(
        "storage_phase_sum",
        "power-per-phase",
        "the aggregate registered capacity of storage with inverters of its own on the phase that "
        "has most of it",
        (*_CAPACITY, "units[].source"),
    ),
    DecidingFact(
        "largest_phase_va",
        "apparent-per-phase",
        "the aggregate apparent power on the fullest phase",
        _APPARENT,
    ),
    DecidingFact("total_va", "apparent", "the aggregate apparent power of the site", _APPARENT),
    DecidingFact("total", "power", "the aggregate registered capacity of the site", _CAPACITY),
    DecidingFact(
        "largest_module",
        "power",
        "the registered capacity of the largest module",
        (*_CAPACITY, "units[].kind"),
    ),
    DecidingFact(
        "nearby_premises",
        "count",
        "other premises of the firm near by within the days before and after",
        ("nearby.premises",),
    ),
    DecidingFact(
        "untested_inverter",
        "yes-no",
        "a counted inverter is not fully type tested",
        ("units[].standards[].type_tested", "units[].design_w", "units[].kind"),
    ),
    DecidingFact(
        "untested_synchronous",
        "yes-no",
        "a counted synchronous unit is not fully type tested",
        ("units[].standards[].type_tested", "units[].design_w", "units[].kind"),
    ),
    DecidingFact(
        "limitation_scheme",
        "word",
        "the limitation scheme",
        (
            "limits.export",
            "limits.import",
            "limits.export.type_tested",
            "limits.import.type_tested",
        ),
    ),
    DecidingFact(
        "limit_use",
        "word",
        "whether the network operator relies on a limit: on import, or on export up to its cap",
        (
            "limits.export",
            "limits.import",
            "supply.export_capacity_va",
            "caps",
            "premises.feeder",
            "premises.postcode",
        ),
    ),
    DecidingFact(
        "demand_notice",
        "word",
        "what the network operator is told of charge points, heat pumps and charging",
        (
            "loads.assessed_demand_va",
            "loads.items[].w",
            "supply.cutout_a",
            "supply.looped",
            "storage[].charge_w",
            "storage[].charges_from_grid",
        ),
    ),
    DecidingFact(
        "plug_in_kit",
        "yes-no",
        "all that is proposed is one plug-in kit of panels without cells",
        (*_KIT, "units[].source", "storage[].unit_id"),
    ),
    DecidingFact(
        "plug_in_kits",
        "count",
        "plug-in kits, existing and proposed",
        (*_KIT, "units[].quantity"),
    ),
    DecidingFact(
        "plug_in_total",
        "power",
        "the registered capacity of all plug-in kits",
        (*_KIT, "units[].rated_w", "units[].quantity"),
    ),
    DecidingFact(
        "plug_in_va",
        "apparent",
        "the apparent power of the largest plug-in kit, where it is known",
        (*_KIT, "units[].rated_va"),
    ),
    DecidingFact(
        "dc_side_only",
        "yes-no",
        "panels or cells are added behind an inverter that stays, and no unit comes or goes",
        ("arrays[].status", "storage[].status", "units[].status"),
    ),
    DecidingFact(
        "nothing_parallel",
        "yes-no",
        "no unit runs in parallel once the work is done",
        ("units[].status", "units[].operating_mode", "units[].quantity"),
    ),
    DecidingFact(
        "taken_out",
        "yes-no",
        "a unit that runs in parallel is taken out",
        ("units[].status", "units[].operating_mode"),
    ),
)

OTHER_WORK = frozenset({"nothing_parallel", "plug_in_kit", "dc_side_only"})
"""Facts on what kind of work it is. A row that fails by one is not about this work at all."""

BY_NAME = {fact.name: fact for fact in DECIDING_FACTS}
