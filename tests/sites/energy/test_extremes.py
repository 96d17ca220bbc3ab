"""Numbers that no person types, sent all the same: refused in words, never a failure."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from sites.energy.models import EnergyInputs
from tests.sites.making import make_person, make_premises, meter_csv

pytestmark = pytest.mark.django_db

HUGE = "9" * 400


@pytest.mark.parametrize(
    "typed",
    [
        {"measured_yield_kwh": HUGE, "measured_kwp": "4"},
        {"measured_yield_kwh": "1" + "0" * 400, "measured_kwp": "4"},
        {"measured_yield_kwh": "3600", "measured_kwp": HUGE},
        {"yearly_use_kwh": HUGE},
        {"region": "9" * 5000},
        {"region": "²"},
        {"step_minutes": HUGE},
        {"import_pence": HUGE},
        {"import_pence": "1e999"},
        {"import_pence": "NaN"},
        {"cheap_from": HUGE, "cheap_to": "05:30"},
        {"meter_key": HUGE},
        {"seen": HUGE},
    ],
    ids=lambda typed: f"{next(iter(typed))}-{next(iter(typed.values()))[:4]}",
)
@pytest.mark.parametrize("with_file", [False, True])
def test_it_is_refused_in_words(client, typed, with_file):
    office = make_person("office")
    client.force_login(office)
    case = make_premises(by=office)
    sent = {"seen": "", "region": "3", "yearly_use_kwh": "3500", **typed}
    if with_file:
        file = SimpleUploadedFile("meter.csv", meter_csv(), "text/csv")
        sent |= {"meter_file": file, "meter_clock": "utc"}
    answer = client.post(reverse("designs-energy", args=[case.premises.key]), sent)
    if answer.status_code == 302:
        # A key of no file is none, and with a file the box of the use is not read.
        assert next(iter(typed)) in ("meter_key", "yearly_use_kwh")
        assert EnergyInputs.objects.count() == 1
        return
    assert answer.status_code == 422
    assert 'id="faults"' in answer.content.decode()
    assert not EnergyInputs.objects.exists()
