"""Message at a box whose text could not be taken, with the answers to choose from."""

import hashlib
from collections.abc import Sequence

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from sites.house.boxes.typed import Reading

_TICK = (
    '<div class="form-check"><input class="form-check-input" type="{}" id="meant-{}-{}" '
    'name="{}-meant" value="{}"><label class="form-check-label" for="meant-{}-{}">'
    "Yes, I mean {}</label></div>"
)


def message_html(name: str, message: str, text: str, readings: Sequence[Reading]) -> SafeString:
    """The message at the box `name`, with a tick for each reading that the person may mean."""
    kind = "radio" if len(readings) > 1 else "checkbox"
    ticks = format_html_join(
        "",
        _TICK,
        (
            (kind, name, i, name, reading.answer(text), name, i, reading.words)
            for i, reading in enumerate(readings)
        ),
    )
    first = message[:1].upper() + message[1:]
    return format_html('<p class="fault">{}.</p>{}', first.rstrip("."), ticks)


def answer_html(name: str, answer: str, words: str) -> SafeString:
    """The set tick, which stays at the box so that it can be taken back."""
    return format_html(
        '<div class="form-check"><input class="form-check-input" type="checkbox" id="meant-{}-0" '
        'name="{}-meant" value="{}" checked><label class="form-check-label" for="meant-{}-0">'
        "Yes, I mean {}</label></div>",
        name,
        name,
        answer,
        name,
        words,
    )


def digest_of(html: str) -> str:
    """Digest of a message, to tell whether it changed."""
    return hashlib.sha256(html.encode()).hexdigest()[:12]
