"""What is wrong with how a page lies in its window, measured in the page itself."""

from typing import Any

SIZES = {"desktop": (1280, 900), "phone": (360, 780)}
"""Width and height of the window in CSS pixels."""
TWICE = (640, 450)
"""A window of 1280 x 900 at 200 % zoom, in CSS pixels."""

# Things that may be wider than the window: a region that scrolls by itself and is marked as such,
# so that it is reached by Tab and has a name.
_SIDEWAYS = """() => {
  const wide = document.documentElement.clientWidth;
  const found = [];
  if (document.documentElement.scrollWidth > wide) {
    found.push(`the page is ${document.documentElement.scrollWidth} wide in a window of ${wide}`);
  }
  const scrolls = (element) => {
    for (let e = element; e && e !== document.body; e = e.parentElement) {
      const how = getComputedStyle(e).overflowX;
      if ((how === "auto" || how === "scroll") && e.tabIndex === 0
          && (e.ariaLabel || e.getAttribute("aria-labelledby"))) return true;
    }
    return false;
  };
  for (const element of document.querySelectorAll("main *, header *, footer *")) {
    const box = element.getBoundingClientRect();
    if (box.width < 2 || box.height < 2 || !element.checkVisibility()) continue;
    if ((box.right > wide + 1 || box.left < -1) && !scrolls(element)) {
      found.push(`${Math.round(box.left)} to ${Math.round(box.right)}: `
        + element.outerHTML.slice(0, 120));
    }
  }
  return found;
}"""

# Words of labels, headings and buttons that lie on one another, or on a box.
_OVERLAPS = """() => {
  const things = [...document.querySelectorAll(
    "main label, main button, main input:not([type=hidden]), main select, main textarea, main h1,"
    + " main h2, main h3, main h4, main legend, main summary, main a.btn")]
    .filter((e) => e.checkVisibility({visibilityProperty: true}));
  const small = (b) => b.width < 3 || b.height < 3;
  const boxes = things.map((e) => {
    if (!["LABEL", "LEGEND"].includes(e.tagName) && !/^H\\d$/.test(e.tagName)) {
      return [e.getBoundingClientRect()];
    }
    // The words, not the block that they stand in, and not those for screen readers alone.
    const words = document.createTreeWalker(e, NodeFilter.SHOW_TEXT);
    const found = [];
    while (words.nextNode()) {
      if (small(words.currentNode.parentElement.getBoundingClientRect())) continue;
      const range = document.createRange();
      range.selectNodeContents(words.currentNode);
      found.push(...range.getClientRects());
    }
    return found;
  });
  const meet = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 2
    && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 2;
  const bar = (e) => e.closest(".sheet-acts");
  const found = [];
  for (let i = 0; i < things.length; i++) for (let j = i + 1; j < things.length; j++) {
    const [a, b] = [things[i], things[j]];
    if (a.contains(b) || b.contains(a) || bar(a) !== bar(b)) continue;
    if (boxes[i].some((p) => !small(p) && boxes[j].some((q) => !small(q) && meet(p, q)))) {
      found.push(`${a.outerHTML.slice(0, 90)} lies on ${b.outerHTML.slice(0, 90)}`);
    }
  }
  return found;
}"""


def sideways(page: Any) -> list[str]:
    """What sticks out of the window to the side, but for regions marked as scrolling."""
    found: list[str] = page.evaluate(_SIDEWAYS)
    return found[:4]


def overlaps(page: Any) -> list[str]:
    """Labels, headings and controls that lie on one another. A bar that stays at the edge of the
    window may lie on what scrolls beneath it."""
    found: list[str] = page.evaluate(_OVERLAPS)
    return found[:4]
