"""Form of an extra condition."""

import re
from typing import Unpack

from connections.facts.canonical import digest
from connections.facts.deciding import DECIDING_FACTS
from sites.house.form_arguments import FormArguments, Sent, SentFiles
from sites.rulebook.forms.boxes import lines, select_box, sentence, words_box
from sites.rulebook.forms.entry_form import EntryForm

CONDITIONS = 3
"""The form takes this many conditions; a file can hold more."""

_OPS = (
    ("at_most", "is at most"),
    ("below", "is below"),
    ("at_least", "is at least"),
    ("above", "is above"),
    ("is", "is"),
    ("one_of", "is one of"),
)
_SEVERITIES = (
    ("decide", "Needs an engineer's decision"),
    ("stops", "Stops the application"),
    ("inform", "For information"),
)


class ConditionForm(EntryForm):
    """An extra condition that an operator sets."""

    kind = "condition"
    own = (
        "says",
        "asks",
        "severity",
        "attachments",
        *(f"{name}_{n}" for n in range(1, CONDITIONS + 1) for name in ("fact", "op", "against")),
    )

    says = words_box(
        "What the operator says, in one sentence", "Say in one sentence what the operator says."
    )
    asks = words_box(
        "What is to be done, in one sentence", "Say in one sentence what is to be done."
    )
    severity = select_box("What it does", _SEVERITIES, "Choose one.")
    attachments = words_box("What goes with the application", hint="One a line.", rows=2)

    def __init__(
        self, data: Sent = None, files: SentFiles = None, **more: Unpack[FormArguments]
    ) -> None:
        super().__init__(data, files, **more)
        facts = [("", "no condition"), *((f.name, f.says) for f in DECIDING_FACTS)]
        for n in range(1, CONDITIONS + 1):
            self.fields[f"fact_{n}"] = select_box(f"Fact {n}", facts)
            self.fields[f"op_{n}"] = select_box(f"Comparison {n}", _OPS)
            self.fields[f"against_{n}"] = words_box(
                f"Compared with {n}",
                hint="The key of a value, such as g98.sum_limit; or yes, no, or a word.",
                longest=100,
            )
        self.put_in_order()

    def own_parts(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Return the boxes of the request, then those of each condition."""
        told = [name for name in self.own if not name[-1].isdigit()]
        return (
            ("", tuple(told)),
            *(
                (
                    "Asked only where" if n == 1 else f"And where ({n})",
                    (f"fact_{n}", f"op_{n}", f"against_{n}"),
                )
                for n in range(1, CONDITIONS + 1)
                if f"fact_{n}" in self.fields
            ),
        )

    def clean_says(self) -> str:
        """Return the sentence with its full stop."""
        return sentence(self.cleaned_data["says"])

    def clean_asks(self) -> str:
        """Return the sentence with its full stop."""
        return sentence(self.cleaned_data["asks"])

    def clean(self) -> dict[str, object]:
        """Refuse a condition with only a fact or only a comparison."""
        cleaned = super().clean()
        for n in range(1, CONDITIONS + 1):
            fact, against = cleaned.get(f"fact_{n}"), str(cleaned.get(f"against_{n}") or "").strip()
            if fact and not against:
                self.add_error(f"against_{n}", "Say what the fact is compared with.")
            if against and not fact:
                self.add_error(f"fact_{n}", "Choose the fact, or take the comparison out.")
        return cleaned

    def about(self) -> str:
        """Return an id made of the condition's sentence."""
        says = self.cleaned_data["says"]
        first = re.sub(r"[^a-z0-9]+", "-", says.lower()).strip("-")[:40].strip("-")
        return "-".join(part for part in (first, digest(says)[:4]) if part)

    def content(self) -> dict[str, object]:
        """Return the keys of the condition as a local file has them."""
        data = self.cleaned_data
        when = [
            {"fact": data[f"fact_{n}"], data[f"op_{n}"]: _compared(data, n)}
            for n in range(1, CONDITIONS + 1)
            if data.get(f"fact_{n}")
        ]
        found: dict[str, object] = {"says": data["says"]}
        if when:
            found["when"] = when
        found |= {"severity": data["severity"], "asks": data["asks"]}
        if attachments := lines(data["attachments"]):
            found["attachments"] = attachments
        return found


def _compared(data: dict[str, object], n: int) -> str | int | list[str]:
    """Return the right side of a comparison as a local file writes it."""
    text = str(data[f"against_{n}"]).strip()
    if data[f"op_{n}"] == "one_of" and "." not in text:
        return [word.strip() for word in text.split(",") if word.strip()]
    kind = next(fact.kind for fact in DECIDING_FACTS if fact.name == data[f"fact_{n}"])
    if kind == "yes-no" and text.lower() in ("yes", "no"):
        return text.lower() == "yes"
    if kind == "count" and text.isascii() and text.isdigit():
        return int(text)
    return text
