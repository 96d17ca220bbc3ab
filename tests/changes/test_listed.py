"""The list of changes stays true of the code; `python -m tests.changes` makes them."""

import pytest
from msgspec import structs

from tests.changes.listed import changes, fault


def test_every_text_stands_once_in_its_file(capsys):
    every = changes()
    assert [said for change in every if (said := fault(change))] == []
    names = [change.name for change in every]
    assert len(set(names)) == len(names)
    with capsys.disabled():
        print(f" {sum(change.survives for change in every)} of {len(every)} changes survive ")


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"file": "connections/none.py"}, "there is no connections/none.py"),
        ({"text": "no such text anywhere"}, "stands 0 times"),
        ({"text": "\n"}, "not once"),
        ({"tests": ("tests/none.py",)}, "there is no tests/none.py"),
        ({"tests": ("tests/changes/test_listed.py::none",)}, "has no none"),
        ({"tests": ()}, "names no tests"),
    ],
)
def test_a_change_that_cannot_be_made_is_told(wrong, said):
    change = structs.replace(changes()[0], **wrong)
    assert said in fault(change)


def test_a_change_that_changes_nothing_is_told():
    change = changes()[0]
    assert "changes nothing" in fault(structs.replace(change, becomes=change.text))
