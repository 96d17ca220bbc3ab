"""`manage.py schema` prints the schemas that files are checked against."""

import json

import pytest
from django.core.management import CommandError, call_command

from connections.facts.schema import decision_schema, site_schema


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [((), site_schema), (("site",), site_schema), (("decision",), decision_schema)],
)
def test_it_prints_a_schema(arguments, wanted, capsys):
    call_command("schema", *arguments)
    assert json.loads(capsys.readouterr().out) == json.loads(json.dumps(wanted()))


def test_another_name_is_refused():
    with pytest.raises(CommandError, match="site"):
        call_command("schema", "pack")
