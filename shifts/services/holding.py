"""Clinics held before people, as everywhere: for whoever changes a record that shifts hang on."""

from collections.abc import Collection

from django.db import transaction
from django.db.models import QuerySet

from clinics.models import Clinic
from people.models import Volunteer

__all__ = ["hold"]

# How often one more clinic may come in between before the locks are taken as they come.
TRIES = 20


def hold(people: Collection[int], coming: "QuerySet[Clinic]") -> None:
    """Lock the clinics of ``coming``, which are theirs, and then the rows of ``people``, both by number.

    Whoever asks one of them for one more clinic meanwhile needs their row too. So once the rows are held, ``coming`` is
    asked again; where it has grown, all is let go (PostgreSQL does so at a savepoint) and taken anew in order. Must run
    in a transaction.
    """
    for _ in range(TRIES):
        mark = transaction.savepoint()
        # Asked anew each time: a queryset keeps what it has read, and would not know of what came in the wait.
        held = set(Clinic.objects.locked_in(coming.values_list("pk", flat=True)).values_list("pk", flat=True))
        rows = Volunteer.objects.select_for_update(no_key=True).filter(pk__in=people).order_by("pk")
        list(rows.values_list("pk"))
        if set(coming.values_list("pk", flat=True)) <= held:
            transaction.savepoint_commit(mark)
            return
        transaction.savepoint_rollback(mark)
