"""Older modules that are mostly replaced (EREC G99, A.6), and the day that binds new storage."""

from typing import Any

import pytest

from tests.site_files import cells, decided, found, unit

OLD = {"standard": "G83", "commissioned_on": "2016-06-01"}


def old(id: str, watts: int, status: str, **facts: Any) -> dict[str, Any]:
    return unit(id, watts, status=status, **{**OLD, **facts})


NEW = unit("new", 3000)


@pytest.mark.parametrize(
    ("units", "told"),
    [
        # A.6: from 80 % on. 2400 W of 3000 W are 80 %; 2399 W of 2999 W are 79.99 %.
        ([old("a", 2400, "removed"), old("b", 600, "existing"), NEW], True),
        ([old("a", 2399, "removed"), old("b", 600, "existing"), NEW], False),
        # Two of 1200 W go: 2400 of 3000 W.
        ([old("a", 1200, "removed", quantity=2), old("b", 600, "existing"), NEW], True),
        # Nothing old stays, or nothing new comes.
        ([old("a", 3000, "removed"), NEW], False),
        ([old("a", 2400, "removed"), old("b", 600, "existing")], False),
        # What stays was commissioned under the present recommendations.
        ([old("a", 2400, "removed"),
          unit("b", 600, status="existing", commissioned_on="2019-04-27"), NEW], False),
        # A date that is not known may be an old one: 2400 of 3000 W.
        ([old("a", 2400, "removed"),
          old("b", 600, "existing", commissioned_on=None), NEW], True),
    ],
)  # fmt: skip
def test_most_of_an_older_module_is_replaced(units, told):
    assert found(decided(*units), "module-replaced") == ([("decide", "site")] if told else [])


def test_the_share_is_said_with_its_figures():
    # 2500 x 100 / 3000 = 83.3 %.
    answer = decided(old("a", 2500, "removed"), old("b", 500, "existing"), NEW)
    [about] = [each for each in answer.findings if each.id == "module-replaced"]
    sentence, workings = about.words()
    assert sentence == (
        "2.5 kW of 3 kW of the older plant is replaced; from 80 % on, what stays meets the current "
        "edition too."
    )
    assert workings.startswith("2500 x 100 / 3000 is about 83 %.")


BATTERY = "storage-requirements"


@pytest.mark.parametrize(
    ("plant", "facts", "told"),
    [
        # Issue 2 binds storage from 1 March 2026 (three pages agree, secondary).
        (cells("b", 3000, planned_on="2026-03-01"), {}, True),
        (cells("b", 3000, planned_on="2026-02-28"), {}, False),
        (cells("b", 3000), {"planned_on": "2026-02-28"}, False),
        (cells("b", 3000), {}, True),  # by the day of sending, 24 November 2026
        (unit("b", 3000), {"storage": [{"unit_id": "b"}]}, True),
        (unit("b", 3000), {}, False),
        (cells("b", 3000, status="existing", commissioned_on="2026-06-01"), {}, False),
    ],
)
def test_new_storage_and_the_requirements_for_it(plant, facts, told):
    assert found(decided(plant, **facts), BATTERY) == ([("inform", "b")] if told else [])
