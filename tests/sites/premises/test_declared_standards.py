"""What a maker declares on harmonics and flicker, ticked on the sheet, and what follows from it."""

import pytest

from sites.deciding.reading.deciding import decide_rows
from sites.premises.forms.sheet import Sheet

pytestmark = pytest.mark.django_db

NAME = "proposed-units-0-emission_standards"
LARGE = {
    "case-reference": ["R"],
    "supply-phases": ["1"],
    "proposed-units-TOTAL_FORMS": ["1"],
    "proposed-units-0-source": ["pv"],
    "proposed-units-0-rated_w": ["5"],
}
"""5000 W / 230 V = 21.739 A, above 16 A."""


@pytest.mark.parametrize(
    ("ticked", "flagged"),
    [
        ([], True),
        (["none"], True),
        (["61000-3-12"], True),
        (["61000-3-12", "61000-3-11"], False),
        # The stricter standards of small equipment do as well.
        (["61000-3-2", "61000-3-3"], False),
    ],
)
def test_a_large_unit_needs_a_decision_unless_its_standards_are_ticked(ticked, flagged):
    decision = decide_rows(Sheet({**LARGE, NAME: ticked}).rows).decision
    assert decision is not None
    found = [finding for finding in decision.findings if finding.id == "check-emissions"]
    assert bool(found) is flagged
    assert all(finding.severity == "decide" for finding in found)
