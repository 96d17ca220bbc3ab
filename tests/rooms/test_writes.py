"""Only `writing` changes rows: seen in the syntax of every other module of the project."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
# Methods of models, managers and querysets that write.
WRITES = {
    "save", "asave", "create", "acreate", "get_or_create", "aget_or_create", "update_or_create",
    "aupdate_or_create", "update", "aupdate", "delete", "adelete", "bulk_create", "abulk_create",
    "bulk_update", "abulk_update", "raw", "execute",
}  # fmt: skip
# Methods of a set of many-to-many rows that write; plain sets and forms have some of them too.
WRITES_OF_MANY = {"add", "aadd", "set", "aset", "remove", "aremove", "clear", "aclear"}
MANY = {"roles"}
"""The names of many-to-many fields, on either side."""

MEASURING = "sites/management/benchmarks/many_premises.py"
# What may write elsewhere, or only looks as if it did.
EXCEPTIONS = {
    ("sites/bootstrap/environment.py", "seen.update"): "a digest takes in bytes",
    ("sites/desk/reading/history.py", "keys.update"): "a plain set",
    ("sites/premises/forms/unit_lines.py", "seen.update"): "a plain set",
    ("sites/review/reading/cases_in_short.py", "missing.update"): "a plain dictionary",
    ("sites/house/archive.py", "seen.update"): "a digest takes in bytes",
    ("sites/house/examining.py", "clean.save"): "a picture drawn anew",
    ("sites/management/commands/pictures.py", "few.save"): "a picture of README",
    ("sites/people/logos.py", "bare.save"): "a picture written anew",
    ("sites/house/models/event.py", "super().save"): "refuses a second save",
    ("sites/rulebook/models/local_entry.py", "super().save"): "refuses a second save",
    ("sites/people/models.py", "person.save"): "Django's own way to make a person",
    ("sites/house/reading/health.py", "cursor.execute"): "asks whether the database answers",
    ("sites/management/benchmarks/lists.py", "cursor.execute"): "has the database count its rows",
    (MEASURING, "type(rows[0])._default_manager.bulk_create"): "makes premises up to measure",
}


def writes_in(source: str) -> Iterator[str]:
    """Every call in a source that may write a row, as it is written there."""
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
            continue
        on = node.func.value
        many = isinstance(on, ast.Attribute) and on.attr in MANY
        if node.func.attr in WRITES or (many and node.func.attr in WRITES_OF_MANY):
            yield ast.unparse(node.func)


def found() -> set[tuple[str, str]]:
    """File and call of every write outside `writing`, migrations left out."""
    return {
        (path.relative_to(ROOT).as_posix(), call)
        for path in (ROOT / "sites").rglob("*.py")
        if not {"writing", "writing.py", "migrations"} & set(path.relative_to(ROOT).parts)
        for call in writes_in(path.read_text(encoding="utf-8"))
    }


def test_only_writing_changes_rows():
    assert found() - set(EXCEPTIONS) == set()


def test_no_exception_is_left_over():
    assert set(EXCEPTIONS) - found() == set()


@pytest.mark.parametrize(
    "source",
    [
        "premises.save()",
        "Premises.objects.create(reference='A')",
        "Premises.objects.filter(pk=1).update(version=2)",
        "row.delete()",
        "type(row)._default_manager.bulk_update([row], ['name'])",
        "person.roles.set([role])",
        "role.people.roles.add(person)",
        "def view(request):\n    return [each.save() for each in rows]",
        "cursor.execute('delete from x')",
    ],
)
def test_a_write_is_found(source):
    assert len(list(writes_in(source))) == 1


@pytest.mark.parametrize("source", ["names.add('a')", "form.is_valid()", "row = 1", "create(1)"])
def test_what_writes_nothing_is_let_be(source):
    assert list(writes_in(source)) == []


def test_every_many_to_many_field_is_named():
    from django.apps import apps

    there = {
        name
        for model in apps.get_app_config("sites").get_models()
        for field in model._meta.many_to_many
        for name in (field.name, str(field.remote_field.related_name))
    }
    # `people` is also the name of a subject; nobody writes from that side.
    assert there - {"people"} == MANY
