"""A post that outweighs every form is refused before it is read."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.web.making import make_person

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("signed_in", [True, False])
@pytest.mark.parametrize("name", ["sign-in", "premises-new"])
def test_a_post_of_six_megabytes_is_refused(name: str, signed_in: bool) -> None:
    client = Client(enforce_csrf_checks=True)
    if signed_in:
        client.force_login(make_person())
    body = b"x=" + b"y" * 6_000_000  # 6 MB; a form may hold 5
    answer = client.post(reverse(name), body, content_type="application/x-www-form-urlencoded")
    assert answer.status_code == 413
    assert "too large" in answer.content.decode()


def test_a_form_of_common_size_goes_on() -> None:
    client = Client()
    client.force_login(make_person())
    answer = client.post(reverse("premises-new"), {"case-reference": "FH-900"})
    assert answer.status_code == 302
    assert answer["Location"].startswith("/premises/")
