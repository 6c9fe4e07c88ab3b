"""What the floor's books keep of a child whose time is up, and logs that nobody needs any more."""

from datetime import datetime, timedelta

from django.apps import apps
from django.db import transaction

from clinics.models import FloorAction, Incident, SignIn
from people.models import Child

__all__ = ["LOG_DAYS", "forget_on_floor", "purge_logs"]

# The phones' own entries are worked out into the books at once; after this nobody settles them any more.
LOG_DAYS = 30


@transaction.atomic
def forget_on_floor(*, child: Child, everything: bool) -> None:
    """Who collected the child goes; with ``everything`` the words of incidents too. That they came stays, for counting.

    An injury may be asked after as long as a waiver, so its words go only with the whole record.
    """
    SignIn.objects.filter(child=child).exclude(collector="").update(collector="")
    apps.get_model("clinics", "SignInEvent").objects.filter(child_id=child.pk).delete()
    if everything:
        Incident.objects.filter(child=child).update(what="", first_aid="", told="", witness="")


@transaction.atomic
def purge_logs(*, now: datetime) -> int:
    """Delete what phones wrote at clinics that ended LOG_DAYS ago; the books that came of it stay."""
    count, _ = FloorAction.objects.filter(clinic__ends_at__lt=now - timedelta(days=LOG_DAYS)).delete()
    return count
