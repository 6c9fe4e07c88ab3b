"""After a test that commits, every table is as each migrate leaves it."""

import pytest
from django.contrib.auth.models import Group
from django.contrib.contenttypes.models import ContentType
from django.db import connection

from people.models import ClearanceEvent, Volunteer
from runsheets.models import Activity
from tests import emptying

pytestmark = pytest.mark.django_db(transaction=True)


def rows() -> dict[str, list[str]]:
    found = {}
    with connection.cursor() as cursor:
        for table in emptying.tables(connection):
            cursor.execute(f'SELECT t::text FROM "{table}" t ORDER BY 1')
            found[table] = [row for (row,) in cursor.fetchall()]
    return found


def test_what_was_written_goes_what_was_deleted_or_changed_comes_back(request):
    before = rows()
    assert before["auth_group"] and before["django_content_type"] and not before["people_volunteer"]
    for name in ("make_clinic", "make_volunteer"):
        request.getfixturevalue(name)()
    assert ClearanceEvent.objects.exists()  # history, which refuses to be deleted
    Activity.objects.all().delete()
    Group.objects.filter(name="admin").update(name="somebody else")
    ContentType.objects.create(app_label="nowhere", model="nothing")

    emptying.restore()

    assert rows() == before
    assert not Volunteer.objects.exists() and Group.objects.filter(name="admin").exists()
