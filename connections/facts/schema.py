"""JSON Schemas (draft 2020-12) of the site file and the decision file, made from the types."""

from typing import Any

import msgspec

from connections.facts.decision import Decision
from connections.facts.decision_words import words_of
from connections.facts.site import Site

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def site_schema() -> dict[str, Any]:
    """JSON Schema of site/1."""
    return _schema(Site, "site/1")


def decision_schema() -> dict[str, Any]:
    """JSON Schema of decision/1."""
    schema = _schema(Decision, "decision/1")
    for part, found in schema["$defs"].items():
        for name, says in found["properties"].items():
            title, sentence = words_of(part, name)
            found["properties"][name] = {"title": title, "description": sentence, **says}
    return schema


SCHEMAS = {"site": site_schema, "decision": decision_schema}


def _schema(kind: type, title: str) -> dict[str, Any]:
    """The schema of a kind of file. Its id is a URN, since it is not published at an address."""
    schema = {
        "$schema": DIALECT,
        "$id": f"urn:meterside:{title}",
        "title": title,
        **msgspec.json.schema(kind),
    }
    for part in schema["$defs"].values():
        part["description"] = " ".join(part["description"].split())
    return schema
