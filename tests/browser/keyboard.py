"""A person who has a keyboard and no mouse, and who looks where the cursor is."""

from collections import Counter
from typing import Any, NamedTuple

_STOP = """async () => {
  const element = document.activeElement;
  if (!element || element === document.body) return null;
  const words = (text) => (text || "").replace(/\\s+/g, " ").trim();
  const named = (id) => words(document.getElementById(id)?.textContent);
  const around = [];
  for (let e = element.parentElement; e; e = e.parentElement) {
    if (e.tagName === "FIELDSET") around.push(words(e.querySelector("legend")?.textContent));
    if (e.getAttribute("aria-labelledby")) around.push(named(e.getAttribute("aria-labelledby")));
  }
  // A heading above, in the same part of the page.
  const part = element.closest("section, form, main, body");
  const above = [...part.querySelectorAll("h2, h3, summary")]
    .filter((e) => e.compareDocumentPosition(element) & Node.DOCUMENT_POSITION_FOLLOWING);
  if (above.length) around.push(words(above.at(-1).textContent));
  const label = element.labels?.length ? element.labels[0].textContent
    : element.getAttribute("aria-label") || element.textContent;
  const style = getComputedStyle(element);
  const inView = () => {
    const box = element.getBoundingClientRect();
    const left = Math.max(box.left, 0), right = Math.min(box.right, innerWidth);
    const top = Math.max(box.top, 0), bottom = Math.min(box.bottom, innerHeight);
    return right > left && bottom > top && [0.5, 0.1, 0.9].some((x) => [0.5, 0.1, 0.9].some((y) => {
      const on = document.elementFromPoint(left + (right - left) * x, top + (bottom - top) * y);
      return on && element.contains(on);
    }));
  };
  // The page follows the focus with the next picture that is drawn.
  for (let frame = 0; frame < 5 && !inView(); frame++) await new Promise(requestAnimationFrame);
  return {
    name: words(label),
    field: element.name || element.getAttribute("href") || "",
    around,
    tag: element.tagName.toLowerCase(),
    kind: element.type || "",
    inView: inView(),
    marked: (style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2)
      || style.boxShadow !== "none",
    html: element.outerHTML.slice(0, 120),
  };
}"""

_IN_ROW = """(row) => document.activeElement.closest("fieldset")
  ?.querySelector("legend").textContent.trim().startsWith(row)"""

_USABLE = """() => [...document.querySelectorAll(
    "a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']")]
  .filter((e) => e.checkVisibility({visibilityProperty: true}) && !e.disabled)
  // Tab comes to one radio button of a set: the one that is picked, or the first.
  .filter((e) => e.type !== "radio" || e === ([...document.getElementsByName(e.name)]
    .find((one) => one.checked) ?? document.getElementsByName(e.name)[0]))
  .map((e) => e.outerHTML.slice(0, 120))"""

_END = "(the end of the page)"
_ROUNDS = 2
"""How often the page may end before a control counts as out of reach."""


class Stop(NamedTuple):
    """Where the Tab key has come to: what it is called, and the parts of the page it lies in."""

    name: str
    field: str
    around: list[str]
    tag: str
    kind: str
    html: str

    def is_called(self, name: str, within: str) -> bool:
        """Whether this is the control called `name` in a part whose heading begins with `within`.

        A unit that stands beside a box, and words for screen readers, may follow the name. Boxes of
        the sheet may also be called as they are posted, and links by their address.
        """
        called = name in {self.name, self.field} or self.name.startswith(
            (f"{name},", f"{name}:", f"{name} on:")
        )
        return called and (not within or any(part.startswith(within) for part in self.around))

    @property
    def does(self) -> str:
        """What a person does here: type, choose, tick, pick one, or push."""
        if self.tag == "input" and self.kind in {"checkbox", "radio"}:
            return "tick" if self.kind == "checkbox" else "pick"
        return {"input": "type", "textarea": "type", "select": "choose"}.get(self.tag, "push")


class Keyboard:
    """Uses a page with Tab, Enter, Space, arrows and letters, and nothing else.

    Wherever Tab stops, the stop has to be in view, not covered, and marked; `lost` are those that
    were not.
    """

    def __init__(self, page: Any) -> None:
        self.page = page
        self.lost: set[str] = set()
        self.filled: set[str] = set()

    def tab(self, *, back: bool = False) -> Stop | None:
        """Go on by one stop; None where the page has ended and begins anew."""
        self.page.keyboard.press("Shift+Tab" if back else "Tab")
        return self._look(was_tabbed=True)

    def here(self) -> Stop | None:
        """Where the focus is now; None if it is on nothing."""
        return self._look(was_tabbed=False)

    def _look(self, *, was_tabbed: bool) -> Stop | None:
        found = self.page.evaluate(_STOP)
        if found is None:
            return None
        assert found["name"], f"This has no name: {found['html']}"
        if was_tabbed and not found["inView"]:
            self.lost.add(f"The focus is out of sight: {found['html']}")
        if was_tabbed and not found["marked"]:
            self.lost.add(f"Nothing marks the focus: {found['html']}")
        parts = ("name", "field", "around", "tag", "kind", "html")
        return Stop(*(found[part] for part in parts))

    def go_round(self) -> None:
        """Tab from the beginning of the page to its end; everything that can be used is a stop."""
        reached: list[str] = []
        while (stop := self.tab()) is not None and stop.html not in reached[:1]:
            reached.append(stop.html)
        missed = Counter(self.page.evaluate(_USABLE)) - Counter(reached)
        assert not missed, f"Tab does not come to {list(missed)}"

    def go_to(self, does: str, name: str, *, within: str = "", back: bool = False) -> Stop:
        """Tab until the focus is on the control of this name where one `does` this; no key where it
        is there already."""
        stop = self.here()
        passed: list[str] = []
        while stop is None or stop.does != does or not stop.is_called(name, within):
            passed.append(stop.name if stop else _END)
            assert passed.count(_END) < _ROUNDS, f"no {name!r} {within!r} to {does} in {passed}"
            stop = self.tab(back=back)
        return stop

    def fill(self, name: str, text: str, *, within: str = "") -> None:
        """Go to a box and type over what it holds."""
        stop = self.go_to("type", name, within=within)
        self.filled.add(stop.field)
        self.page.keyboard.press("Control+a")
        for number, line in enumerate(text.split("\n")):
            if number:
                self.page.keyboard.press("Enter")
            self.page.keyboard.type(line)

    def choose(self, name: str, value: str) -> None:
        """Go to a list and move down it until its value, as it is posted, is `value`."""
        stop = self.go_to("choose", name)
        self.filled.add(stop.field)
        self.page.keyboard.press("Home")
        offered = [self._chosen()]
        while offered[-1] != value:
            self.page.keyboard.press("ArrowDown")
            offered.append(self._chosen())
            assert offered[-1] != offered[-2], f"{name} offers {offered}, not {value!r}"

    def _chosen(self) -> str:
        chosen: str = self.page.evaluate("document.activeElement.value")
        return chosen

    def push(self, name: str, *, within: str = "") -> None:
        """Go to a button, a link or a folded part, and press Enter."""
        self.go_to("push", name, within=within)
        self.page.keyboard.press("Enter")

    def tick(self, name: str, *, back: bool = False) -> None:
        """Go to a tick and press Space."""
        self.go_to("tick", name, back=back)
        self.page.keyboard.press("Space")

    def pick(self, field: str, name: str) -> None:
        """Go to the choices posted as `field` and move down them until `name` is picked."""
        stop = self.go_to("pick", field)
        self.page.keyboard.press("Space")
        passed = [stop.name]
        while not stop.is_called(name, ""):
            self.page.keyboard.press("ArrowDown")
            found = self.here()
            assert found is not None
            assert found.name not in passed, f"no {name!r} in {passed}"
            stop = found
            passed.append(stop.name)

    def add_row(self, button: str, row: str) -> None:
        """Push a button that adds a row; the focus has to move into the new row by itself."""
        self.push(button)
        self.page.wait_for_function(_IN_ROW, arg=row)
