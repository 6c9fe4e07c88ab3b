"""The demo's spots, written together, are what the office's service would have written one by one."""

import io
from datetime import timedelta

import pytest
from django.core.management import call_command
from django.db import connection

from clinics.models import Clinic
from core import clock
from families.letters.families import SPOTS
from families.models import Spot
from families.services.office import give_spot
from outbox.models import Note
from people.models import Volunteer
from tests.demo_world import begin_in_demo
from tests.floor_days import clinic_of_today

pytestmark = pytest.mark.django_db


def prepare() -> str:
    out = io.StringIO()
    call_command("prepare_demo", stdout=out)
    return out.getvalue()


def written(clinic: Clinic) -> tuple[list[tuple[object, ...]], list[tuple[object, ...]]]:
    spots = Spot.objects.filter(clinic=clinic).order_by("pk")
    number = {f"spots {spot.pk}:": f"child {spot.child_id}:" for spot in spots}
    notes: list[tuple[object, ...]] = []
    for note in Note.objects.about(clinic).filter(kind=SPOTS).order_by("pk"):
        key = note.key
        for old, new in number.items():
            key = key.replace(old, new)
        notes.append(
            (key, note.to_name, note.to_email, note.summary, note.due_at, note.language, sorted(note.about), note.facts)
        )
    return list(spots.values_list("child", "guardian", "state", "age", "asked_at")), notes


def test_spots_given_together_are_those_given_one_by_one() -> None:
    begin_in_demo()
    clinic = clinic_of_today()
    spots = list(Spot.objects.filter(clinic=clinic).select_related("child").order_by("pk"))
    together = written(clinic)
    assert {spot.state for spot in spots} == {"held", "waiting"}, "a full clinic says more"
    Spot.objects.filter(clinic=clinic).delete()
    Note.objects.about(clinic).filter(kind=SPOTS).delete()

    for spot in spots:
        give_spot(clinic=clinic, child=spot.child, now=spot.asked_at)

    assert written(clinic) == together


@pytest.mark.thorough
def test_preparing_again_asks_little_and_changes_nothing() -> None:
    assert "is loaded" in prepare()
    people, latest = Volunteer.objects.count(), Clinic.objects.latest("pk")
    assert latest.starts_at < clock.now() + timedelta(days=40)
    asked: list[str] = []

    def listen(execute, sql, params, many, context):
        asked.append(sql)
        return execute(sql, params, many, context)

    with connection.execute_wrapper(listen):
        assert "nothing was loaded" in prepare()

    assert (Volunteer.objects.count(), Clinic.objects.latest("pk")) == (people, latest)
    assert not [sql for sql in asked if sql.lstrip().upper().startswith(("CREATE", "ALTER", "DROP"))]
