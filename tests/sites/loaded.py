"""Loads our code once, for all processes that are forked from the one that imports this."""

from importlib import import_module

import django

django.setup()

for name in (
    "connections.documents.render",
    "tests.sites.looks.cases",
    "tests.sites.premises.at_once",
    "tests.sites.processes",
    "tests.sites.review.making",
):
    import_module(name)
