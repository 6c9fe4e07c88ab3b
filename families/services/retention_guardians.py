"""Guardians whose time is up: no one here is theirs any more, or only the signed waiver is left of their children."""

from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime

from django.db import transaction
from django.db.models import Exists, Max, OuterRef, Q

from core import clock
from families.models import FamilyRequest, Guardian, Guardianship, Retention, Spot
from families.rules.retention import redact_after
from families.services.redaction import forget_guardian, redact_guardian
from outbox.services.subjects import forget_about
from people.models import Purge

__all__ = ["guardians_due", "purge_guardians"]

WORDS = {"all": "guardians without a child", "contacts": "guardians (everything except the signature)"}


def guardians_due(
    *, today: date, months: int, now: datetime, only: Guardian | None = None
) -> Iterator[tuple[Guardian, str]]:
    """Guardians of whom something goes: "all" when no child here is theirs, "contacts" when only waivers are left.

    A guardian stays who waits for an answer of ours, or has a child on hold or expected at a clinic. One query.
    """
    coming = Spot.objects.live().filter(clinic__ends_at__gt=now)
    theirs = Guardianship.objects.filter(guardian=OuterRef("pk"))
    asked = Guardian.objects.filter(pk=only.pk) if only is not None else Guardian.objects.all()
    rows = (
        asked.filter(forgotten_at=None)
        .filter(
            ~Exists(theirs.filter(Q(child__redacted_at=None) | ~Q(child__held_because=""))),
            ~Exists(FamilyRequest.objects.filter(guardian=OuterRef("pk"), state=FamilyRequest.State.WAITING)),
            ~Exists(coming.filter(guardian=OuterRef("pk"))),
            ~Exists(coming.filter(child__guardianships__guardian=OuterRef("pk"))),
        )
        .annotate(has_child=Exists(theirs), last_at=Max("spots__clinic__starts_at"))
        .order_by("pk")
    )
    for row in rows.iterator(chunk_size=2000):
        if row.has_child:  # type: ignore[attr-defined]
            yield row, "contacts"
            continue
        last = max(filter(None, (row.registered_at, row.last_at)))  # type: ignore[attr-defined]
        if today > redact_after(last.astimezone(clock.home_zone()).date(), months):
            yield row, "all"


def purge_guardians(*, today: date, now: datetime) -> Counter[str]:
    """Forget the guardians who are due, one transaction each, and record how many, never whom. Twice is harmless."""
    done: Counter[str] = Counter()
    months = Retention.now().child_months
    for guardian, goes in list(guardians_due(today=today, months=months, now=now)):
        with transaction.atomic():
            row = Guardian.objects.select_for_update(no_key=True).filter(pk=guardian.pk).first()
            # A child may have been registered, or the guardian forgotten on request, since the list was made.
            if row is None or not list(guardians_due(today=today, months=months, now=now, only=row)):
                continue
            if goes == "all":
                forget_guardian(guardian=row)
            else:
                forget_about(row=row)
                redact_guardian(guardian=row, now=now)
            done[goes] += 1
    Purge.objects.bulk_create(Purge(at=now, what=WORDS[goes], count=count) for goes, count in done.items())
    return done
