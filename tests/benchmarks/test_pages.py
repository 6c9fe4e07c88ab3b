"""Pages at 2,000 volunteers and 1,000 clinics, as a ratio to an empty view of the same run."""

from functools import partial

import pytest
from django.core.management import call_command
from django.test import Client, override_settings
from django.urls import reverse

from clinics.models import Clinic
from core import clock
from tests.benchmarks.conftest import p95_ms, report

TIMES = 60


@pytest.mark.django_db
@override_settings(ROOT_URLCONF="tests.benchmarks.urls")
def test_p95_of_ahead_one_clinic_and_horizon(coordinator, signed_in):
    call_command("load_scale", volunteers=2000, clinics=1000, seed=1)
    client: Client = signed_in(coordinator)
    clinic = Clinic.objects.filter(starts_at__gt=clock.now()).order_by("starts_at")[0]
    shift = clinic.shifts.filter(duty__code="coach")[0]

    baseline = p95_ms(lambda: client.get("/empty/"), TIMES)
    for name, address in (
        ("ahead_p95", reverse("ahead")),
        ("clinic_p95", reverse("clinic", args=[clinic.pk])),
        ("who_p95", reverse("shift-who", args=[shift.pk])),
        ("horizon_p95", reverse("horizon")),
        ("clinics_p95", reverse("clinics")),
    ):
        assert client.get(address).status_code == 200
        value = p95_ms(partial(client.get, address), TIMES)
        report(name, value, "ms", value / baseline, "an empty view, p95")
