"""The JSON Schemas (draft 2020-12) of the site file and the decision file, from the types."""

from typing import Any

import msgspec

from connections.facts.decision import Decision
from connections.facts.site import Site

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def site_schema() -> dict[str, Any]:
    """JSON Schema of site/1."""
    return _schema(Site, "site/1")


def decision_schema() -> dict[str, Any]:
    """JSON Schema of decision/1."""
    return _schema(Decision, "decision/1")


def _schema(kind: type, title: str) -> dict[str, Any]:
    return {"$schema": DIALECT, "title": title, **msgspec.json.schema(kind)}
