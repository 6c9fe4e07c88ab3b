"""What the floor's books keep of a child whose time is up, and logs that nobody needs any more."""

import json
from datetime import datetime

from django.db import transaction

from core.merge import history_of
from families.models import Child, Spot
from floor.models import (
    FloorAction,
    FloorDay,
    FloorPhone,
    Incident,
    IncidentFollowUp,
    MergedNumber,
    PaperWaiver,
    SignIn,
)
from floor.queries.floor_hours import LOG_KEPT

__all__ = ["forget_on_floor", "purge_logs"]

# What entries say in words: of who fetched a child and of care; and with the whole record everything else.
FETCHED = ("pickup", "near", "reason", "phone", "allergies", "care_notes")
WORDS = (*FETCHED, "name", "guardian", "signed", "what", "first_aid", "told", "witness")


@transaction.atomic
def forget_on_floor(*, child: Child, everything: bool) -> None:
    """Forget who picked the child up; with ``everything`` forget the words of incidents and their follow-up too.

    An injury may be asked after as long as a waiver, so its words go only with the whole record. The log, from which
    the books are worked out anew, loses the same words.
    """
    _forget_in_log(child, WORDS if everything else FETCHED)
    SignIn.objects.filter(child=child).exclude(pickup="").update(pickup="")
    history_of(SignIn)._default_manager.filter(child_id=child.pk).delete()
    if everything:
        PaperWaiver.objects.filter(child=child).delete()
        Incident.objects.filter(child=child).update(what="", first_aid="", told="", witness="")
        IncidentFollowUp.objects.filter(incident__child=child).update(
            told_by="", provider="", seen="", reason="", words_gone=True
        )


@transaction.atomic
def purge_logs(*, now: datetime) -> int:
    """Delete the phones of clinics that ended LOG_KEPT ago with what they wrote; the books stay.

    Returns how many entries went. Twice is harmless.
    """
    old = FloorPhone.objects.filter(clinic__ends_at__lt=now - LOG_KEPT)
    count = FloorAction.objects.filter(phone__in=old).count()
    old.delete()
    # A phone may have been loaded the day before; no log that is still kept is older than both together.
    MergedNumber.objects.filter(merged_at__lt=now - 2 * LOG_KEPT).delete()
    return count


def _forget_in_log(child: Child, words: tuple[str, ...]) -> None:
    """The entries stay, so that the floor is still worked out as it was; what they say in ``words`` goes."""
    clinics = {
        *Spot.objects.filter(child=child).values_list("clinic", flat=True),
        *SignIn.objects.filter(child=child).values_list("clinic", flat=True),
    }
    days = FloorDay.objects.filter(clinic__in=clinics, clinic__floor_actions__isnull=False).values("pk")
    # A phone that sends in this moment would write the books from what is about to go.
    kept = FloorDay.objects.filter(pk__in=days).select_for_update(no_key=True).order_by("pk")
    numbers = {f"c{child.pk}", *MergedNumber.objects.filter(is_now=f"c{child.pk}").values_list("was", flat=True)}
    for clinic in list(kept.values_list("clinic", flat=True)):
        rows = [(row, json.loads(row.facts)) for row in FloorAction.objects.filter(clinic=clinic)]
        here = numbers | {facts["who"] for row, facts in rows if row.kind == "walk-in" and row.child_id == child.pk}
        for row, facts in rows:
            if facts.get("who") in here and any(facts.get(word) for word in words):
                row.facts = json.dumps(facts | {word: "" for word in words if word in facts})
                row.save(update_fields=["facts"])
