"""Every box of the sheet with nonsense in it: nothing breaks, nothing is lost, nothing runs."""

from html.parser import HTMLParser

import pytest

from sites.deciding.reading.deciding import decide_rows
from sites.deciding.reading.panel import panel_of
from sites.house.boxes.fields import Box
from sites.house.boxes.sheet_form import SheetForm
from sites.house.boxes.ticks_box import TicksBox
from sites.premises.forms.premises import PremisesForm
from sites.premises.forms.sheet import GROUPS, SINGLES, Sheet

NONSENSE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "'; drop table sites_premises; --",
    "{{ 7|add:7 }}{% load static %}",
    "-1",
    "0",
    "1e999",
    "9" * 4000,
    "3,680",
    "16 parsecs",
    "\x00\x01\x02",
    "\u202e\u0000\ufeff\ud7ff",
    "é́ 電 🌞",
    "=1+1",
    "null",
    "\n\n",
    " ",
)
BASE = {
    "case-reference": ["R"],
    "supply-phases": ["3"],
    "proposed-units-TOTAL_FORMS": ["1"],
    "proposed-units-0-source": ["pv"],
    "proposed-units-0-rated_w": ["3"],
    "proposed-units-0-phases": ["L1"],
}
BOXES = [
    (prefix, name)
    for prefix, form in (
        *SINGLES.items(),
        *((f"{group}-0", form) for group, form in GROUPS.items()),
    )
    for name, box in form.base_fields.items()
    if isinstance(box, Box) and box.control != "tick"
]
PREFIXES = list(dict.fromkeys(prefix for prefix, _name in BOXES))
HARMLESS = {
    *("div", "label", "input", "select", "option", "textarea", "span", "p", "details", "summary")
}
# Without these there is no site yet.
UNDECIDABLE = {
    ("case", "reference"),
    ("supply", "phases"),
    ("changed", "phases"),
    ("proposed-units-0", "source"),
    ("proposed-units-0", "phases"),
}

# Deciding looks for the firm's local entries.
pytestmark = pytest.mark.django_db


class Controls(HTMLParser):
    """What stands in the boxes of a page, and every tag that there is."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.values: dict[str, str] = {}
        self.tags: set[str] = set()
        self.odd: list[str] = []
        self._area = self._select = ""

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        given = dict(attrs)
        self.odd += [name for name in given if name.startswith("on") or name == "style"]
        if given.get("type") == "checkbox":
            if "checked" in given:
                said = self.values.get(given["name"], "")
                self.values[given["name"]] = f"{said}\n{given.get('value') or ''}"
        elif tag == "input":
            self.values[given.get("name", "")] = given.get("value") or ""
        elif tag == "textarea":
            self._area = given["name"]
            self.values[self._area] = ""
        elif tag == "select":
            self._select = given["name"]
            self.values[self._select] = ""
        elif tag == "option" and "selected" in given:
            self.values[self._select] = given.get("value") or ""

    def handle_endtag(self, tag):
        if tag == "textarea":
            # A browser drops the line break with which a text area begins.
            self.values[self._area] = self.values[self._area].removeprefix("\n")
            self._area = ""

    def handle_data(self, data):
        if self._area:
            self.values[self._area] += data


def posted(prefix: str, boxes: dict[str, str]) -> dict[str, list[str]]:
    """A sheet that is plain but for these boxes of one form."""
    raw = {**BASE, **{f"{prefix}-{name}": [text] for name, text in boxes.items()}}
    group = prefix.rpartition("-")[0]
    if group in GROUPS:
        raw[f"{group}-TOTAL_FORMS"] = ["1"]
    if prefix == "changed":
        raw = {"changed-changes": ["on"], "changed-phases": ["3"], **raw}
    return raw


def form_of(sheet: Sheet, prefix: str) -> SheetForm:
    group = prefix.rpartition("-")[0]
    return sheet.groups[group].forms[0] if group in GROUPS else sheet.forms[prefix]


def look(sheet: Sheet, prefix: str, boxes: dict[str, str]) -> None:
    """Whatever was typed stands in its box, escaped, and every fault says what to do."""
    sheet.show("all")
    form = form_of(sheet, prefix)
    page = Controls()
    page.feed(form.hidden_html + form.html)
    if isinstance(form, PremisesForm):
        page.feed(form.area_html)
    for name, text in boxes.items():
        if isinstance(form.fields[name], TicksBox):
            ticked = page.values.get(f"{prefix}-{name}", "").split("\n")
            assert {line for line in ticked if line.strip()} == {
                line for line in text.split("\n") if line.strip()
            }
        else:
            assert page.values[f"{prefix}-{name}"] == text
    assert page.tags <= HARMLESS
    assert page.odd == []
    for fault in sheet.faults():
        assert fault.message
        assert fault.label
        assert fault.target.startswith(("id_", "rows-"))


@pytest.mark.parametrize("prefix", PREFIXES)
def test_nonsense_in_all_boxes_of_a_form(prefix):
    names = [name for where, name in BOXES if where == prefix]
    for text in NONSENSE:
        boxes = dict.fromkeys(names, text)
        sheet = Sheet(posted(prefix, boxes))
        shown = panel_of(sheet)
        assert shown.outcome is not None or shown.first
        look(sheet, prefix, boxes)


@pytest.mark.parametrize("prefix", PREFIXES)
def test_nonsense_in_one_box_leaves_the_others_readable(prefix):
    for name in (name for where, name in BOXES if where == prefix):
        for text in (NONSENSE[0], "-1", "\x00\x01", "9" * 400):
            sheet = Sheet(posted(prefix, {name: text}))
            decided = decide_rows(sheet.rows)
            assert decided.decision is not None or (prefix, name) in UNDECIDABLE, decided.fault
            look(sheet, prefix, {name: text})


def test_every_box_refuses_something_or_takes_any_words():
    """A box that silently drops what it can't read would lose it on saving."""
    for prefix, name in BOXES:
        if name in ("key", "was"):
            continue
        full = f"{prefix}-{name}"
        faults = Sheet(posted(prefix, {name: "\x07"})).faults()
        assert f"id_{full}" in {fault.target for fault in faults}, full
