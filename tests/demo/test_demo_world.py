"""The demo's world as tests put it back: row by row the one that was loaded, and alive."""

import pytest
from django.db import IntegrityError, connection

from clinics.models import Clinic
from core import clock
from outbox.models import Note
from people.models import Clearance, ClearanceEvent
from tests import demo_world

pytestmark = pytest.mark.django_db


def test_the_world_that_is_put_back_is_the_one_that_was_there() -> None:
    demo_world.begin_in_demo()
    before = demo_world.rows()
    assert len(before) > 50 and Clinic.objects.count() == 14
    Note.objects.all().delete()
    Clinic.objects.update(theme="another")

    demo_world.put(before)

    assert demo_world.rows() == before


def test_what_changes_after_it_is_put_back_is_checked_and_recorded_as_ever() -> None:
    demo_world.begin_in_demo()
    demo_world.put(demo_world.rows())
    count = ClearanceEvent.objects.count()

    Clearance.objects.update(issuer="Harrow Bend")

    assert ClearanceEvent.objects.count() == count + Clearance.objects.count()
    with pytest.raises(IntegrityError, match="violates foreign key"):
        Clinic.objects.filter(pk=Clinic.objects.latest("pk").pk).update(center_id=2**31 - 1)
        connection.check_constraints()


def test_it_is_not_earlier_than_when_the_world_was_loaded() -> None:
    demo_world.begin_in_demo()

    assert not Note.objects.filter(written_at__gt=clock.now()).exists()
