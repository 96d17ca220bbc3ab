"""What a page holds and shows, read from the page itself."""

from typing import Any

_HELD = """() => Object.fromEntries(
  [...document.querySelectorAll("#sheet input, #sheet textarea, #sheet select")]
    .filter((box) => box.name && box.type !== "hidden")
    .filter((box) => box.type !== "radio" || box.checked)
    .map((box) => [box.name, box.type === "checkbox" ? box.checked : box.value]))"""


def box(page: Any, name: str) -> Any:
    """A box of the sheet by the name under which it is posted."""
    return page.locator(f'#sheet [name="{name}"]')


def held(page: Any) -> dict[str, Any]:
    """Every box of the sheet by name, with what it holds; waits for a page that is on its way."""
    page.locator("#sheet").wait_for(state="attached")
    boxes: dict[str, Any] = page.evaluate(_HELD)
    assert boxes, "there is no sheet on this page"
    return boxes


def filled(page: Any) -> dict[str, Any]:
    """The boxes that hold anything."""
    return {name: value for name, value in held(page).items() if value}


def message_at(page: Any, name: str) -> Any:
    """The words that stand at a box, as a locator."""
    described = box(page, name).get_attribute("aria-describedby").split()
    (slot,) = [each for each in described if each.startswith("msg-")]
    return page.locator(f'[id="{slot}"]')


def mark(page: Any) -> None:
    """Leave a mark in the page's window; it is gone once the page is loaded anew."""
    page.evaluate("window.markedByTest = true")


def is_marked(page: Any) -> bool:
    """Whether the page is still the one that was marked."""
    return page.evaluate("window.markedByTest") is True
