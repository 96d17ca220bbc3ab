"""Files with one fault each, made from good ones by the patches of `broken.toml`."""

import tomllib
from pathlib import Path
from typing import NamedTuple

from connections.rulebook.load import DATA

HERE = Path(__file__).parent
GOOD = {
    "edition": HERE / "fixtures/edition.toml",
    "operator": HERE / "fixtures/operator.toml",
    "local": HERE / "fixtures/local.toml",
    "place": HERE / "fixtures/place.toml",
    "register": DATA / "sources.toml",
    "area": DATA / "areas.toml",
}


class Broken(NamedTuple):
    """A file with a fault: its name, the good file it is made of, its text, and the refusal."""

    name: str
    of: str
    text: str
    refused: str


def broken_files() -> dict[str, Broken]:
    """Every file of the table, by its name."""
    table = tomllib.loads((HERE / "broken.toml").read_text(encoding="utf-8"))
    return {
        name: Broken(
            name, of, patched(GOOD[of].read_text(encoding="utf-8"), entry), entry["refused"]
        )
        for of, entries in table.items()
        for name, entry in entries.items()
    }


def patched(good: str, entry: dict[str, str | list[str]]) -> str:
    """The text of a good file with the patches of one entry; KeyError for a table not in it."""
    texts = good.strip().split("\n\n")
    there = {name_of(text): text.splitlines() for text in texts}
    assert len(there) == len(texts)
    tables = dict(there)
    more: list[list[str]] = []
    for target, lines in entry.items():
        if target == "more":
            more.append([str(lines)])
        elif target.startswith("again "):
            more.append(changed(there[target.removeprefix("again ")], lines))
        elif target != "refused":
            tables[target] = changed(there[target], lines) if lines else []
    return "\n\n".join("\n".join(lines) for lines in [*tables.values(), *more]) + "\n"


def name_of(text: str) -> str:
    """What a table is called in the patches: "book", "value a.limit", "row small"."""
    head, *lines = text.splitlines()
    key = next((line for line in lines if line.startswith(("key = ", "id = "))), "")
    kind = head.strip("[]")
    return f"{kind} {key.split(' = ')[1].strip(chr(34))}" if head.startswith("[[") and key else kind


def changed(table: list[str], lines: str | list[str]) -> list[str]:
    """The lines of a table with some of them replaced, taken out or added."""
    assert isinstance(lines, list)
    found = list(table)
    for line in lines:
        key = line.removeprefix("+").split(" =")[0]
        at = [i for i, old in enumerate(found) if old.split(" =")[0] == key]
        if line.startswith("["):
            found[0] = line
        elif line.endswith(" ="):
            del found[at[0]]
        elif line.startswith("+") or not at:
            found.append(line.removeprefix("+"))
        else:
            found[at[0]] = line
    return found
