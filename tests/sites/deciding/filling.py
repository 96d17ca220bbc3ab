"""Reading a sheet as a browser does: what its form would send."""

from html.parser import HTMLParser

Sent = dict[str, list[str]]


class _Form(HTMLParser):
    """The controls of the form `sheet`."""

    def __init__(self, form_id: str) -> None:
        super().__init__(convert_charrefs=True)
        self.form_id = form_id
        self.inside = False
        self.sent: Sent = {}
        self._area = ""
        self._select = ""

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        if tag == "form":
            self.inside = given.get("id") == self.form_id
        if not self.inside:
            return
        if tag == "input" and given.get("name"):
            if given.get("type") in ("checkbox", "radio") and "checked" not in given:
                return
            self.sent.setdefault(given["name"], []).append(given.get("value") or "")
        elif tag == "textarea":
            self._area = given["name"]
            self.sent[self._area] = [""]
        elif tag == "select":
            self._select = given["name"]
            self.sent[self._select] = [""]
        elif tag == "option" and "selected" in given:
            self.sent[self._select] = [given.get("value") or ""]

    def handle_endtag(self, tag):
        if tag == "textarea" and self._area:
            self.sent[self._area] = [self.sent[self._area][0].removeprefix("\n")]
            self._area = ""
        if tag == "form":
            self.inside = False

    def handle_data(self, data):
        if self._area:
            self.sent[self._area][0] += data


def form_of(answer, form_id: str = "sheet") -> Sent:
    """What the form of a page would send as it stands."""
    reader = _Form(form_id)
    reader.feed(answer.content.decode())
    assert reader.sent, "the page has no such form"
    return reader.sent


def filled(answer, boxes: dict[str, str]) -> Sent:
    """The form with these boxes filled; every box must be on the page, or be a row's."""
    sent = form_of(answer)
    for name, text in boxes.items():
        sent[name] = [text]
    return sent
