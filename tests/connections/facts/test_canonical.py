"""Canonical JSON: sorted keys, no spaces, UTF-8, whole numbers; and digests of it."""

import hashlib
import json

import pytest

from connections.facts.canonical import canonical, digest
from connections.facts.reading import read_site, write_site
from connections.rules.writing import write_decision
from tests.site_files import DEMO, cells, decided, file, limit, read, unit


def plainly(content: object) -> bytes:
    """The same by the standard library: a second writer."""
    return json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def no_fraction(text: str) -> float:
    raise AssertionError(f"{text} is no whole number")


def test_it_is_sorted_without_spaces_in_utf_8():
    content = {"b": [1, {"z": "Ż", "a": None}], "a": True, "é": "<&>", "B": -1}
    assert canonical(content) == ('{"B":-1,"a":true,"b":[1,{"a":null,"z":"Ż"}],"é":"<&>"}'.encode())


def test_a_digest_is_that_of_the_bytes():
    content = {"b": 1, "a": [2]}
    assert digest(content) == hashlib.sha256(b'{"a":[2],"b":1}').hexdigest()
    assert digest({"a": [2], "b": 1}) == digest(content)
    assert digest({"a": [2], "b": 2}) != digest(content)


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_a_site_is_written_the_same_by_another_writer(path):
    written = write_site(read_site(path.read_bytes()))
    assert written == plainly(json.loads(written, parse_float=no_fraction))


def test_what_is_left_out_stays_out_and_unknown_stays_unknown():
    content = file(unit(design_w=None))
    assert write_site(read(content)).count(b'"design_w":null') == 1
    again = json.loads(write_site(read(content)))
    assert "quantity" not in again["units"][0]
    assert "limits" not in again


@pytest.mark.parametrize(
    "answer",
    [
        decided(unit()),
        decided(unit("a", 5000, phases=["L1", "L2", "L3"]), phases=3),
        decided(unit("a", 5000), cells(rated_w=5000), limits=limit(16_000)),
        decided(unit("a", None, type_tested=None)),
        decided(unit("a", 7000, phases=["L2"]), cells(rated_w=1), phases=3),
    ],
    ids=["small", "three phases", "limited", "open", "unbalanced"],
)
def test_a_decision_is_written_the_same_by_another_writer(answer):
    for explain in (False, True):
        written = canonical(write_decision(answer, explain=explain))
        assert written == plainly(json.loads(written, parse_float=no_fraction))


def test_deciding_twice_gives_the_same_bytes():
    sites = [[unit("a", 5000), cells(rated_w=5000)], [unit("a", None)]]
    for units in sites:
        first, second = (canonical(write_decision(decided(*units))) for _ in range(2))
        assert first == second
