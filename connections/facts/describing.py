"""The site file in words: a table for each of its parts, as Markdown, from the declarations."""

from collections.abc import Iterator

from msgspec import Struct

from connections.facts.declaring import Fact, declared, part_of
from connections.facts.naming import literals_of, parts


def site_file_words() -> str:
    """Every key of a site file: what it says, its unit or words, and what a left-out key means."""
    return "\n".join(_lines())


def _lines() -> Iterator[str]:
    for title, part in parts():
        names = dict(zip(part.__struct_fields__, part.__struct_encode_fields__, strict=True))
        yield f"### {title}"
        yield ""
        yield "| key | says | unit or words | left out |"
        yield "|---|---|---|---|"
        for name, fact in declared(part).items():
            inner = part_of(part, name)
            takes = f"see {fact.label}" if inner is not None else _takes(part, name, fact)
            cells = (f"`{names[name]}`", fact.says, takes, fact.assumed)
            yield f"| {' | '.join(map(_cell, cells))} |"
        yield ""


def _takes(part: type[Struct], name: str, fact: Fact) -> str:
    words = ", ".join(f"`{word}`" for word in literals_of(part, name))
    return fact.unit or words


def _cell(text: str) -> str:
    return " ".join(text.replace("|", "\\|").split())
