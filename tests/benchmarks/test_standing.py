"""Standing in bulk and the Horizon page, each as a ratio to a baseline of the same run."""

import time

import pgtrigger
import pytest
from django.core.management import call_command
from django.db import connection
from django.test import override_settings
from django.urls import reverse

from core import clock
from people.models import Clearance, ClearanceKind, PolicyRow, Volunteer
from people.queries.standing import open_book
from people.rules import standing as rule
from tests.benchmarks.conftest import p95_ms, report


@pytest.mark.django_db
def test_standing_of_twenty_thousand_on_one_day_and_over_twelve_months():
    call_command("load_scale", volunteers=20_000, clinics=0, seed=1)
    for number in (1, 2):
        kind = ClearanceKind.objects.create(code=f"extra{number}", name=f"extra {number}")
        PolicyRow.objects.create(duty_id="coach", kind=kind, months=24)
        with pgtrigger.ignore():
            Clearance.objects.bulk_create(
                Clearance(volunteer_id=pk, kind=kind, issued_on=clock.today())
                for pk in Volunteer.objects.values_list("pk", flat=True)
            )
    kind = ClearanceKind.objects.get(code="first_aid")
    PolicyRow.objects.create(duty_id="coach", kind=kind, months=24)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    ids = list(Volunteer.objects.values_list("pk", flat=True))
    today = clock.today()

    began = time.perf_counter()
    rows = list(
        Clearance.objects.order_by().values_list("volunteer_id", "kind__code", "state", "issued_on", "expires_on")
    )
    bare = time.perf_counter() - began
    began = time.perf_counter()
    book = open_book(ids)
    found = [book.on(pk, "coach", today) for pk in ids]
    one_day = time.perf_counter() - began
    began = time.perf_counter()
    policy = book.rows_on(today)
    end = today.replace(year=today.year + 1) if (today.month, today.day) != (2, 29) else today.replace(day=28)
    for pk in ids:
        rule.horizon("coach", book.clearances.get(pk, []), policy, today, end)
    year = time.perf_counter() - began

    assert len(found) == 20_000 and len(found[0].reasons) == 6
    baseline = f"the bare SQL that reads the same {len(rows)} rows"
    report("standing_20000x6_one_day", one_day, "s", one_day / bare, baseline)
    report("standing_20000x6_twelve_months", year, "s", year / bare, baseline)


@pytest.mark.django_db
@pytest.mark.parametrize("volunteers", [200, 20_000])
@override_settings(ROOT_URLCONF="tests.benchmarks.urls")
def test_the_horizon_page(coordinator, signed_in, volunteers):
    call_command("load_scale", volunteers=volunteers, clinics=volunteers // 4 if volunteers < 1000 else 1000, seed=1)
    client = signed_in(coordinator)
    baseline = p95_ms(lambda: client.get("/empty/"), 40)

    value = p95_ms(lambda: client.get(reverse("horizon")), 12)

    report(f"horizon_{volunteers}_p95", value, "ms", value / baseline, "an empty view, p95")
