"""A post that outweighs every form is refused before it is read."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from sites.energy.models import EnergyFile
from tests.sites.making import make_person, make_premises

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


def test_files_are_weighed_before_the_token_is_looked_for() -> None:
    """One that may be read needs its token; 13 MB are not read at all, and change nothing."""
    client = Client(enforce_csrf_checks=True)
    person = make_person()
    client.force_login(person)
    address = reverse("designs-energy", args=[make_premises(by=person).premises.key])
    for megabytes, status in ((1, 403), (13, 422)):
        file = SimpleUploadedFile("meter.csv", b"x" * (megabytes * 1_000_000))
        answer = client.post(address, {"region": "3", "meter_file": file})
        assert answer.status_code == status
    assert "13.0 MB; 6 MB are taken for each file" in answer.content.decode()
    assert not EnergyFile.objects.exists()
