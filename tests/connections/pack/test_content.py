"""Frozen content: digests, the two parts, writing and reading."""

import copy
import json
import re
from typing import Any

import pytest

from connections.facts.canonical import digest
from connections.pack.content import (
    Pack,
    digest_faults,
    read_pack,
    without_personal,
    write_pack,
)
from connections.pack.pack_error import PackError
from tests.connections.pack.cases import FILES, SALT, pack_of


@pytest.fixture(scope="module")
def pack() -> Pack:
    return pack_of(FILES["application"]())


@pytest.mark.parametrize("name", FILES)
def test_reading_what_was_written_gives_the_same_pack(name: str) -> None:
    pack = pack_of(FILES[name]())
    assert read_pack(write_pack(pack)) == pack


def test_the_same_facts_give_the_same_content() -> None:
    assert write_pack(pack_of(FILES["large"]())) == write_pack(pack_of(FILES["large"]()))


def _leaves(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[tuple[Any, ...], Any]]:
    if isinstance(value, dict):
        return [leaf for key, entry in value.items() for leaf in _leaves(entry, (*path, key))]
    if isinstance(value, list):
        return [leaf for i, entry in enumerate(value) for leaf in _leaves(entry, (*path, i))]
    return [(path, value)]


def _changed(value: Any) -> Any:
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return value + 1
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", value):
        return "2001-01-01"
    return "x" if value is None else f"{value}x"


def test_no_content_can_change_without_its_digest(pack: Pack) -> None:
    """One leaf of every kind of place is changed; the pack is then refused."""
    plain = json.loads(write_pack(pack))
    kinds = {
        tuple("*" if isinstance(p, int) else p for p in path): path for path, _ in _leaves(plain)
    }
    assert len(kinds) > 150
    for path in kinds.values():
        changed = copy.deepcopy(plain)
        place = changed
        for step in path[:-1]:
            place = place[step]
        place[path[-1]] = _changed(place[path[-1]])
        with pytest.raises(PackError):
            read_pack(json.dumps(changed).encode())


def test_another_salt_changes_the_personal_digest_and_the_packs_alone(pack: Pack) -> None:
    other = pack_of(FILES["application"](), salt="f" * 32)
    assert other.digests.technical == pack.digests.technical
    assert other.digests.personal != pack.digests.personal
    assert other.digests.pack != pack.digests.pack


def test_another_customer_leaves_the_technical_digest() -> None:
    file = FILES["plain"]()
    file["parties"]["customer"]["name"] = "Cy Example"
    first, second = pack_of(FILES["plain"]()), pack_of(file)
    assert first.digests.technical == second.digests.technical
    assert first.digests.personal != second.digests.personal


def test_the_personal_digest_is_that_of_salt_and_values(pack: Pack) -> None:
    assert pack.personal is not None
    assert pack.digests.personal == digest({"salt": SALT, "values": pack.personal.values})


def test_a_pack_without_its_personal_part_can_still_be_proved(pack: Pack) -> None:
    erased = without_personal(pack)
    assert erased.digests == pack.digests
    assert digest_faults(erased) == ()
    assert read_pack(write_pack(erased)) == erased
    raw = write_pack(erased).decode()
    assert SALT not in raw
    assert "Ada Example" not in raw


@pytest.mark.parametrize(
    ("raw", "words"),
    [(b"", "not the content of a pack"), (b"{}", "not the content"), (b'{"format":1}', "not")],
)
def test_what_is_no_pack_is_refused(raw: bytes, words: str) -> None:
    with pytest.raises(PackError, match=words):
        read_pack(raw)


def test_a_changed_pack_says_which_digest_is_wrong(pack: Pack) -> None:
    plain = json.loads(write_pack(pack))
    plain["personal"]["values"]["customer.name"] = "Eve Example"
    with pytest.raises(PackError) as fault:
        read_pack(json.dumps(plain).encode())
    assert fault.value.path == "digests.personal"
