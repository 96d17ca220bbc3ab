"""Lay a form of the sheet out on the page: crispy's layouts, with our own boxes in them.

Code writes the boxes, not a template for each. A sheet with twenty units has several hundred, and
templates are the cost of rendering them.
"""

from collections.abc import Iterable
from typing import Any

from crispy_forms.layout import Layout, LayoutObject
from django.utils.html import escape, format_html
from django.utils.safestring import SafeString, mark_safe

from sites.house.boxes.fields import Box, ChoiceBox
from sites.house.boxes.ticks_box import TicksBox

__all__ = ["Boxes", "Layout", "More", "box_html"]


class Boxes(LayoutObject):  # type: ignore[misc]
    """Boxes side by side, as many as fit."""

    def __init__(self, *fields: str) -> None:
        self.fields = list(fields)

    def render(self, form: Any, context: Any, **_kwargs: Any) -> SafeString:
        """The HTML of the boxes."""
        return mark_safe(
            f'<div class="boxes">{"".join(box_html(form, name) for name in self.fields)}</div>'
        )


class More(Boxes):
    """Rarely needed boxes, folded away; the line to open them says how many are filled.

    Open where one of them is wrong.
    """

    def __init__(self, *fields: str, title: str = "More") -> None:
        super().__init__(*fields)
        self.title = title

    def render(self, form: Any, context: Any, **kwargs: Any) -> SafeString:
        """The HTML of the folded boxes."""
        return format_html(
            '<details class="more"{}><summary>{}{}</summary>{}</details>',
            mark_safe(" open") if any(form.message(name) for name in self.fields) else "",
            self.title,
            filled_words(form, self.fields),
            super().render(form, context, **kwargs),
        )


def filled_words(form: Any, names: Iterable[str]) -> str:
    """Words on how many of these boxes are filled; empty where none is."""
    count = sum(
        bool(text := form.typed(name).text.strip()) and text != form.defaults.get(name)
        for name in names
    )
    return f" ({count} filled)" if count else ""


def box_html(form: Any, name: str) -> str:
    """One box with its label, its unit, its hint and its message. Escaped."""
    box: Box = form.fields[name]
    full = form.add_prefix(name)
    target = escape(f"id_{full}")
    typed = form.typed(name)
    message = form.message(name)
    if not form.is_bound or full not in form.data:
        typed = typed._replace(text=form.defaults.get(name, ""))
    described = [f"msg-{full}"]
    if box.hint:
        described.insert(0, f"hint-{full}")
    attributes = (
        f' id="{target}" name="{escape(full)}" aria-describedby="{escape(" ".join(described))}"'
    )
    if message:
        attributes += ' aria-invalid="true"'
    if form.begins_at == name:
        attributes += " autofocus"
    if box.required:
        attributes += ' aria-required="true"'
    label = escape(box.label)
    width = f" box-{box.width}" if box.width else ""
    hint = (
        f'<p class="form-text" id="hint-{escape(full)}">{escape(box.hint)}</p>' if box.hint else ""
    )
    slot = f'<div class="box-message" id="msg-{escape(full)}">{message}</div>'
    if box.control == "tick":
        checked = " checked" if typed.text else ""
        return (
            f'<div class="box box-tick form-check"><input type="checkbox" class="form-check-input"'
            f'{attributes}{checked}><label class="form-check-label" for="{target}">{label}</label>'
            f"{hint}{slot}</div>"
        )
    if isinstance(box, TicksBox):
        return _ticks(box, typed.text, full, described, hint + slot, bool(message))
    unseen = f'<span class="unseen">, in {escape(box.beside)}</span>' if box.beside else ""
    if box.control == "select" and isinstance(box, ChoiceBox):
        control = _select(box, form.nothing(name), attributes, typed.text, full)
    elif box.control == "lines":
        rows = 3
        control = (
            f'<textarea class="form-control" rows="{rows}" autocomplete="off"{attributes}>'
            f"\n{escape(typed.text)}</textarea>"
        )
    else:
        if box.numeric:
            attributes += ' inputmode="decimal"'
        if box.suggestions:
            attributes += f' list="words-{escape(box.suggestions)}"'
        control = (
            f'<input type="text" class="form-control{" num" if box.numeric else ""}"'
            f' autocomplete="off" value="{escape(typed.text)}"{attributes}>'
        )
    if box.beside:
        control = (
            f'<div class="with-unit">{control}<span aria-hidden="true">{escape(box.beside)}</span>'
            "</div>"
        )
    return (
        f'<div class="box{width}"><label class="form-label" for="{target}">{label}{unseen}</label>'
        f"{control}{hint}{slot}</div>"
    )


def _ticks(
    box: TicksBox, text: str, full: str, described: list[str], below: str, wrong: bool
) -> str:
    """A group of ticks under one label; a message about them leads to the group."""
    target = escape(f"id_{full}")
    invalid = ' aria-invalid="true"' if wrong else ""
    ticks = "".join(
        f'<div class="form-check"><input type="checkbox" class="form-check-input"'
        f' id="{target}-{i}" name="{escape(full)}" value="{escape(value)}"{invalid}'
        f'{" checked" if ticked else ""}><label class="form-check-label" for="{target}-{i}">'
        f"{escape(words)}</label></div>"
        for i, (value, words, ticked) in enumerate(box.options(text))
    )
    return (
        f'<div class="box box-long" id="{target}" tabindex="-1" role="group"'
        f' aria-labelledby="label-{escape(full)}" aria-describedby="{escape(" ".join(described))}">'
        f'<p class="form-label" id="label-{escape(full)}">{escape(box.label)}</p>{ticks}{below}'
        "</div>"
    )


def _select(box: ChoiceBox, nothing: str, attributes: str, text: str, full: str) -> str:
    options = [("", nothing), *box.choices]
    if text and all(value != text for value, _words in options):
        # Keep even a posted choice that isn't offered.
        options.append((text, text))
    html = "".join(
        f'<option value="{escape(value)}"{" selected" if value == text else ""}'
        f"{' id=' + chr(34) + 'nothing-' + str(escape(full)) + chr(34) if not value else ''}>"
        f"{escape(words)}</option>"
        for value, words in options
    )
    return f'<select class="form-select"{attributes}>{html}</select>'
