"""Enter in a text box sends no form that changes anything; signing in is the exception."""

import re
from pathlib import Path

TEMPLATES = Path(__file__).parents[3] / "templates"
SIGNING_IN = {"people", "account", "mfa"}
"""Folders of templates whose forms Enter may send."""

FORM = re.compile(r'<form\b[^>]*method="post"[^>]*>(?P<inside>.*?)(?:</form>|\Z)', re.S)
NO_BOX = re.compile(
    r'<input type="hidden"[^>]*>|<button.*?</button>|{% (?:csrf_token|if|elif|else|endif|with|'
    r"endwith|for|endfor|url)\b[^%]*%}",
    re.S,
)
MAY_BE_A_BOX = re.compile(r"<input|<select|<textarea|{% include|{{[^}]*(?:form|box|html)")
FIRST = '{% csrf_token %}{% include "house/no_enter.html" %}'


def test_every_form_with_boxes_begins_with_a_button_that_sends_nothing():
    forms = [
        (path, found["inside"])
        for path in TEMPLATES.rglob("*.html")
        if path.relative_to(TEMPLATES).parts[0] not in SIGNING_IN
        for found in FORM.finditer(path.read_text())
        if MAY_BE_A_BOX.search(NO_BOX.sub("", found["inside"]))
    ]
    assert len(forms) > 10
    assert [str(path) for path, inside in forms if not inside.strip().startswith(FIRST)] == []
