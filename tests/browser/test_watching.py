"""The watch over the browser notices what it is there for."""

import pytest
from playwright.sync_api import expect

from tests.browser.layout import overlaps, sideways
from tests.browser.watching import Watch

pytestmark = [pytest.mark.browser, pytest.mark.looks]


@pytest.fixture
def watched(chromium, live_server):
    """The sign-in page under a watch of its own."""
    context = chromium.new_context(base_url=live_server.url, viewport={"width": 360, "height": 780})
    watch = Watch()
    watch.look_at(context)
    page = context.new_page()
    page.goto("/sign-in/")
    assert watch.faults == []
    yield page, watch
    context.close()


@pytest.mark.parametrize(
    ("trouble", "noticed"),
    [
        ("document.body.insertAdjacentHTML('beforeend', '<p style=\"color: red\">')", "style-src"),
        ("document.body.insertAdjacentHTML('beforeend', '<img src=x onerror=f()>')", "script-src"),
        ("fetch('https://elsewhere.example/')", "connect-src"),
        ("setTimeout(() => { throw new Error('a script failed') })", "a script failed"),
        ("setTimeout(() => alert('somebody got in'))", "somebody got in"),
        ("console.error('it went wrong')", "it went wrong"),
        ("fetch('/no/such/page/')", "answered 404"),
    ],
)
def test_trouble_is_noticed(watched, trouble, noticed):
    page, watch = watched
    page.evaluate(f"() => {{ {trouble}; }}")
    for _ in range(50):
        if any(noticed in fault for fault in watch.faults):
            return
        page.evaluate("() => new Promise(requestAnimationFrame)")
    pytest.fail(f"{noticed} is not among {watch.faults}")


def test_a_code_that_is_announced_is_no_fault(watched):
    page, watch = watched
    with watch.answers(404):
        page.evaluate("() => fetch('/no/such/page/')")
    assert watch.faults == []


def test_what_sticks_out_and_what_lies_on_something_is_noticed(watched):
    page, _watch = watched
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    assert sideways(page) == []
    assert overlaps(page) == []
    page.evaluate(
        "() => { const p = document.querySelector('main label'); p.style.width = '500px'; "
        "p.style.display = 'block'; p.style.marginBottom = '-30px' }"
    )
    assert any("500" in fault or "label" in fault for fault in sideways(page))
    assert any("<label" in fault for fault in overlaps(page))
