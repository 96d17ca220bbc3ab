"""Change a site step by step and record the changes as site-file paths.

Each change applies to the result of the ones before. Removals come last, from the end of each list
to its start, so that earlier indexes stay valid.
"""

from collections.abc import Collection

from msgspec import UNSET, structs

from connections.facts.decision import Change
from connections.facts.defaults import known, part_status, status_of
from connections.facts.site import Array, Limit, LimitBasis, Limits, Site, Storage, Unit


class Edit:
    """A site under change; `site` and `changes` give the result."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self._units: list[Unit | None] = list(site.units)
        self._parts: dict[str, list[Array | Storage | None]] = {
            "arrays": list(site.arrays),
            "storage": list(site.storage),
        }
        self._supply = site.supply
        self._limits = site.limits
        self._changes: list[Change] = []
        self.takes_out: list[str] = []

    @property
    def site(self) -> Site:
        """The site as changed so far."""
        return structs.replace(
            self._site,
            units=tuple(unit for unit in self._units if unit is not None),
            arrays=tuple(part for part in self._parts["arrays"] if isinstance(part, Array)),
            storage=tuple(part for part in self._parts["storage"] if isinstance(part, Storage)),
            supply=self._supply,
            limits=self._limits,
        )

    @property
    def changes(self) -> tuple[Change, ...]:
        """The changes, in the order of applying them."""
        taken = [
            Change(f"{name}[{i}]", None)
            for name, gone in (
                ("units", [unit is None for unit in self._units]),
                *((name, [part is None for part in parts]) for name, parts in self._parts.items()),
            )
            for i in reversed(range(len(gone)))
            if gone[i]
        ]
        return (*self._changes, *taken)

    def unit(self, index: int, **facts: object) -> None:
        """Change facts of the unit at `index`; an unchanged value is no change."""
        before = self._units[index]
        assert before is not None
        changed = {name: to for name, to in facts.items() if getattr(before, name) != to}
        self._units[index] = structs.replace(before, **changed)
        self._changes += [
            Change(f"units[{index}].{name}", None if to is UNSET else to)
            for name, to in changed.items()
        ]

    def add(self, unit: Unit) -> None:
        """Add a unit at the end."""
        self._changes.append(Change(f"units[{len(self._units)}]", unit))
        self._units.append(unit)

    def add_like(self, index: int, **facts: object) -> None:
        """Append a copy of the unit at `index` with these facts changed."""
        like = self._units[index]
        assert like is not None
        self.add(structs.replace(like, **facts))

    def take_out(self, index: int) -> None:
        """Remove a proposed unit; mark an existing one as removed."""
        unit = self._units[index]
        assert unit is not None
        self.takes_out.append(unit.id)
        if status_of(unit) == "existing":
            self.unit(index, status="removed")
        else:
            self._units[index] = None

    def parts_behind(self, unit_id: str) -> list[tuple[str, int]]:
        """Remaining panels and cells behind a unit, as (list, index)."""
        return [
            (name, i)
            for name, entries in self._parts.items()
            for i, part in enumerate(entries)
            if part is not None and part.unit_id == unit_id and part.status != "removed"
        ]

    def _there(self, name: str, index: int) -> Array | Storage:
        part = self._parts[name][index]
        assert part is not None
        return part

    def part(self, name: str, index: int, **facts: object) -> None:
        """Change facts of panels or cells."""
        before = self._there(name, index)
        changed = {key: to for key, to in facts.items() if getattr(before, key) != to}
        self._parts[name][index] = structs.replace(before, **changed)
        self._changes += [
            Change(f"{name}[{index}].{key}", None if to is UNSET else to)
            for key, to in changed.items()
        ]

    def share_parts(self, unit_id: str, shares: dict[str, int], now: int) -> None:
        """Share the panels and cells behind `now` like units among lines.

        `shares` gives the number of units of each line. The line itself keeps its share; the others
        get parts of their own. An amount that does not divide into whole numbers becomes unknown.
        """
        for name, i in self.parts_behind(unit_id):
            part = self._there(name, i)
            for line, n in shares.items():
                facts = {field: share(getattr(part, field), n, now) for field in _SHARED[name]}
                if line == unit_id:
                    self.part(name, i, **facts)
                else:
                    made = structs.replace(part, unit_id=line, **facts)
                    self._changes.append(Change(f"{name}[{len(self._parts[name])}]", made))
                    self._parts[name].append(made)

    def move_parts(self, unit_id: str, to: str) -> None:
        """Move panels and cells from one unit to another; they keep their status."""
        unit = next((u for u in self._site.units if u.id == unit_id), None)
        for name, i in self.parts_behind(unit_id):
            part = self._there(name, i)
            self.part(name, i, unit_id=to, status=part_status(part.status, unit))

    def drop_parts(self, unit_id: str) -> None:
        """Remove proposed panels and cells behind a unit; mark existing ones as removed."""
        unit = next((u for u in self._site.units if u.id == unit_id), None)
        for name, i in self.parts_behind(unit_id):
            if part_status(self._there(name, i).status, unit) == "existing":
                self.part(name, i, status="removed")
            else:
                self._parts[name][i] = None

    def phases_of_supply(self, phases: int) -> None:
        """Change the number of phases of the supply and keep the present number."""
        if self._supply.phases == phases:
            return
        now = known(self._supply.now_phases) or self._supply.phases
        self._supply = structs.replace(
            self._supply, phases=phases, now_phases=UNSET if now == phases else now
        )
        self._changes += [
            Change("supply.phases", phases),
            Change("supply.now_phases", None if now == phases else now),
        ]

    def export_limit(self, value: int, basis: LimitBasis) -> None:
        """Add a fully type-tested limitation scheme that holds export under a limit.

        Other facts of an existing scheme stay.
        """
        self._limit("export", value, basis)

    def import_limit(self, value: int, basis: LimitBasis) -> None:
        """Add a fully type-tested limitation scheme that holds import under a limit."""
        self._limit("import", value, basis)

    def _limit(self, which: str, value: int, basis: LimitBasis) -> None:
        facts: dict[str, object] = {"value": value, "basis": basis, "type_tested": True}
        if basis != "ma_per_phase":
            facts["nets_phases"] = False
        field = {"import": "import_"}.get(which, which)
        limits = known(self._limits) or Limits()
        there = known(getattr(limits, field)) or Limit(value, basis)
        self._limits = structs.replace(limits, **{field: structs.replace(there, **facts)})
        self._changes += [Change(f"limits.{which}.{name}", to) for name, to in facts.items()]


_SHARED = {
    "arrays": ("peak_w", "panels", "strings"),
    "storage": ("usable_wh", "charge_w", "discharge_w"),
}


def share(amount: object, n: int, of: int) -> object:
    """`n` of `of` shares of an amount; unknown if not a whole number, or for a list."""
    if not isinstance(amount, int):
        return None if isinstance(amount, tuple) else amount
    whole, rest = divmod(amount * n, of)
    return None if rest else whole


def free_id(taken: Collection[str], word: str) -> str:
    """The first free unit id: word-1, word-2, ..."""
    return next(name for n in range(1, len(taken) + 2) if (name := f"{word}-{n}") not in taken)
