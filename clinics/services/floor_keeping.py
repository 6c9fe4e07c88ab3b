"""What the floor's books keep of a child whose time is up, and logs that nobody needs any more."""

from datetime import datetime, timedelta

from django.apps import apps
from django.db import transaction

from clinics.models import FloorAction, FloorPhone, Incident, JoinedNumber, SignIn
from people.models import Child

__all__ = ["LOG_KEPT", "forget_on_floor", "purge_logs"]

# The phones' own entries are worked out into the books at once; after this nobody settles them any more.
LOG_KEPT = timedelta(days=31)


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
    """Delete the phones of clinics that ended LOG_KEPT ago with what they wrote; the books that came of it stay.

    Returns how many entries went. Twice is harmless.
    """
    old = FloorPhone.objects.filter(clinic__ends_at__lt=now - LOG_KEPT)
    count = FloorAction.objects.filter(phone__in=old).count()
    old.delete()
    # A phone may have been loaded the day before; no log that is still kept is older than both together.
    JoinedNumber.objects.filter(joined_at__lt=now - 2 * LOG_KEPT).delete()
    return count
