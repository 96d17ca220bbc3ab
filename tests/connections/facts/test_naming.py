"""Site-file paths in words, as a reader of a finding sees them."""

import pytest

from connections.facts.naming import words_for
from tests.site_files import cells, decision, site, unit


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("units[1].rated_w", "the registered capacity of bat-1"),
        ("units[0].standards", "the certificates of inv-1"),
        ("units[0].standards[0].type_tested", "the type-test standing of inv-1"),
        ("units[0].commissioned_on", "the commissioning date of inv-1"),
        ("units[0].dc_inputs[1].max_mv", "the largest DC voltage of inv-1"),
        ("supply.cutout_a", "the rating of the cut-out"),
        ("arrays[0].peak_w", "the peak power of the panels behind inv-1"),
        ("units[9].rated_w", "units[9].rated_w"),
        ("somewhere.else", "somewhere.else"),
    ],
)
def test_paths_have_words(path, words):
    two = site(unit(), cells(), arrays=[{"unit_id": "inv-1"}])
    assert words_for(path, two) == words


def test_a_missing_fact_is_asked_for_in_words():
    made = decision(unit(), cells(rated_w=None))
    told = next(f for f in made.findings if f.id == "undetermined")
    assert told.sentence == ("Cannot tell the procedure: needs the registered capacity of bat-1.")
    assert told.values["possible"]
