"""Compare typed rows with saved rows, matched by key: new, changed and removed ones."""

from collections.abc import Iterable, Mapping, Sequence

from django.db import models

from sites.house.models import Keyed

_OWN = {"id", "key", "premises", "design", "part"}


def fields_of(kind: type[models.Model]) -> tuple[str, ...]:
    """The names of the fields that a person fills in."""
    return tuple(
        field.name
        for field in kind._meta.concrete_fields
        if field.name not in _OWN and not field.name.endswith("_at")
    )


def changed_fields(old: models.Model, new: models.Model, names: Iterable[str]) -> list[str]:
    """Those of `names` whose value differs in `new`."""
    return [name for name in names if getattr(old, name) != getattr(new, name)]


def put_rows(
    kind: type[models.Model],
    saved: Iterable[Keyed],
    typed: Sequence[Keyed],
    *,
    owner: Mapping[str, models.Model | None],
    called: str,
) -> list[str]:
    """Make the saved rows of one owner equal to the typed ones.

    Rows are matched by key; a typed row whose key isn't among the saved ones is new. `owner` is set
    on new rows. Returns the names of what changed, as `called[n].field`, without values.
    """
    names = fields_of(kind)
    ordered = "place" in names
    by_key = {row.key: row for row in saved}
    keep: list[tuple[Keyed, Keyed]] = []
    new: list[Keyed] = []
    changes: list[str] = []
    for place, row in enumerate(typed):
        if ordered:
            setattr(row, "place", place)  # noqa: B010 - a field of the kinds that have an order
        old = by_key.pop(row.key, None)
        if old is None:
            new.append(row)
        else:
            keep.append((old, row))
    if by_key:
        kind._default_manager.filter(pk__in=[row.pk for row in by_key.values()]).delete()
        changes += [f"{called}: {name_of(row)} taken out" for row in by_key.values()]
    changed = [(old, row, found) for old, row in keep if (found := changed_fields(old, row, names))]
    _make_room(kind, [old for old, _row, found in changed if "label" in found])
    for old, row, found in changed:
        for name in found:
            setattr(old, name, getattr(row, name))
        old.save(update_fields=found)
        changes += [f"{called}: {name_of(old)}: {name}" for name in found if name != "place"]
    for row in new:
        for name, value in owner.items():
            setattr(row, name, value)
        row.save(force_insert=True)
        changes.append(f"{called}: {name_of(row)} added")
    return changes


def _make_room(kind: type[models.Model], renamed: list[Keyed]) -> None:
    """Free the labels of renamed rows: units may swap labels, which no two rows may ever share."""
    for row in renamed:
        kind._default_manager.filter(pk=row.pk).update(label=f"~{row.key.hex}")


def name_of(row: Keyed) -> str:
    """Name of a row in the log; nothing personal."""
    for name in ("label", "unit_id", "part", "on", "use", "kind", "default"):
        if value := getattr(row, name, ""):
            return str(value)
    return "a row"
