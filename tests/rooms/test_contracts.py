"""The contracts on imports hold, and each of them catches an import that it forbids."""

from copy import deepcopy
from pathlib import Path
from typing import Any

import grimp
import pytest
from importlinter import configuration
from importlinter.application.use_cases import read_user_options
from importlinter.contracts.forbidden import ForbiddenContract
from importlinter.contracts.layers import LayersContract

ROOT = Path(__file__).parents[2]
KINDS = {"forbidden": ForbiddenContract, "layers": LayersContract}

# For each contract, imports that nobody may write: who imports, and what.
WRONG = {
    "floors": [
        ("connections.assessing", "sites.premises.models.premises"),
        ("connections.facts.site", "sites.house.fetching"),
    ],
    "web": [
        ("connections.rules.decide", "django"),
        ("connections.facts.reading", "psycopg"),
        ("connections.documents.html", "django_tasks"),
    ],
    "rooms": [
        ("connections.facts.site", "connections.rulebook.book"),
        ("connections.rules.decide", "connections.pack.build"),
        ("connections.energy.year", "connections.diagram.drawing"),
        ("connections.electrical.power", "connections.calendar.deadlines"),
        ("connections.documents.html", "connections.assessing"),
    ],
    "numbers": [
        ("connections.rules.decide", "numpy"),
        ("connections.energy.year", "scipy"),
        ("connections.rulebook.load", "pint"),
        ("connections.pack.build", "weasyprint"),
        ("connections.rulebook.book", "holidays"),
    ],
    "diagram": [("connections.diagram.drawing", "connections.rules.decide")],
    "pack": [
        ("connections.pack.build", "connections.rulebook.load"),
        ("connections.pack.content", "connections.electrical.power"),
    ],
    "documents": [
        ("connections.documents.html", "connections.rules.decide"),
        ("connections.documents.check_plots", "connections.rulebook.book"),
    ],
    "subjects": [
        ("sites.house.fetching", "sites.people.models"),
        ("sites.people.writing", "sites.catalogue.models"),
        ("sites.rulebook.reading.values", "sites.catalogue.reading"),
        ("sites.catalogue.writing", "sites.rulebook.models.kept"),
        ("sites.cases.writing", "sites.premises.models.premises"),
        ("sites.rulebook.reading.values", "sites.cases.models"),
        ("sites.premises.writing.sheet", "sites.deciding.reading.panel"),
        ("sites.deciding.reading.panel", "sites.energy.models"),
        ("sites.energy.writing.years", "sites.designs.reading.side_by_side"),
        ("sites.designs.pages.limits", "sites.review.models.verdict"),
        ("sites.review.writing.verdicts", "sites.packs.reading.packs"),
        ("sites.packs.writing.issuing", "sites.looks.models"),
        ("sites.looks.writing.looking", "sites.desk.reading.work"),
        ("sites.desk.pages.work", "sites.management.serving"),
        ("sites.desk.pages.work", "sites.urls"),
        ("sites.premises.reading.site_rows", "sites.models"),
    ],
    "reading": [
        ("sites.premises.reading.drafts", "sites.premises.writing.drafts"),
        ("sites.catalogue.reading", "sites.catalogue.writing"),
        ("sites.deciding.reading.panel", "sites.premises.writing.sheet"),
        ("sites.desk.reading.work", "sites.desk.pages.work"),
        ("sites.premises.forms.sheet", "sites.premises.writing.drafts"),
    ],
    "bootstrap": [
        ("sites.bootstrap.entry", "sites.settings"),
        ("sites.bootstrap.tools", "django"),
        ("sites.bootstrap.paths", "connections.facts.site"),
    ],
}


@pytest.fixture(scope="module")
def contracts() -> dict[str, Any]:
    """Every contract of pyproject.toml by its id."""
    configuration.configure()
    options = read_user_options(config_filename=str(ROOT / "pyproject.toml"))
    return {
        each["id"]: KINDS[each["type"]](each["name"], options.session_options, each)
        for each in options.contracts_options
    }


@pytest.fixture(scope="module")
def graph() -> grimp.ImportGraph:
    return grimp.build_graph("connections", "sites", include_external_packages=True, cache_dir=None)


def kept(contract: Any, graph: grimp.ImportGraph) -> bool:
    return bool(contract.check(deepcopy(graph), verbose=False).kept)


def test_every_contract_is_broken_on_purpose(contracts):
    assert set(WRONG) == set(contracts)


@pytest.mark.parametrize("name", WRONG)
def test_the_tree_keeps_it(contracts, graph, name):
    assert kept(contracts[name], graph)


@pytest.mark.parametrize(
    ("name", "importer", "imported"),
    [(name, *wrong) for name, each in WRONG.items() for wrong in each],
)
def test_a_wrong_import_breaks_it(contracts, graph, name, importer, imported):
    wrong = deepcopy(graph)
    assert importer in wrong.modules
    if imported not in wrong.modules:
        assert not imported.startswith(("connections", "sites")), "no such module of ours"
        wrong.add_module(imported, is_squashed=True)
    wrong.add_import(importer=importer, imported=imported, line_number=1, line_contents="import it")
    assert not kept(contracts[name], wrong)


def test_a_room_or_subject_that_no_contract_names_is_found(contracts, graph):
    for module, name in (("connections.gossip", "rooms"), ("sites.gossip", "subjects")):
        more = deepcopy(graph)
        more.add_module(module)
        assert not kept(contracts[name], more)
