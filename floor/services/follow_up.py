"""What the office does after an incident: that the guardian was told, and that a child may play again."""

from dataclasses import replace
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Clinic
from core.acting import How, acting
from core.formats import full_day
from core.refusal import Reason, Refusal
from floor.models import Incident, IncidentFollowUp
from floor.rules.incidents import CLEARED, FOLLOWED, NOT_HEAD, WONT_RETURN, FollowUpFacts, wrong_in
from floor.services.syncing import lock_day
from people.models import User

__all__ = ["follow_up_mark", "save_follow_up"]

LONGEST = 500


def follow_up_mark(incident: Incident) -> str:
    """What a form carries, so that it is saved only over what its page showed; "" before the first saving."""
    row = IncidentFollowUp.objects.filter(incident=incident).values_list("saved_at", flat=True).first()
    return row.isoformat() if row else ""


@transaction.atomic
def save_follow_up(
    *, clinic: Clinic, incident: int, facts: FollowUpFacts, told_at: datetime | None, was: str, by: User, now: datetime
) -> IncidentFollowUp:
    """Record what was done after an incident: 1 lock the day, 2 check, 3 write.

    ``told_at`` is the moment on ``facts.told_on``. ``was`` is the mark that the form carried. What belongs to another
    outcome than the one chosen is not kept.

    Raises Refusal with the codes of ``wrong_in``, and "taken back", "not followed up" and "changed meanwhile".
    """
    lock_day(clinic)
    row = Incident.objects.without_words().select_related("clinic__center").get(pk=incident, clinic=clinic)
    facts = replace(
        facts,
        **{name: getattr(facts, name).strip()[:LONGEST] for name in ("told_by", "provider", "seen", "reason")},
    )
    today = now.astimezone(clinic.center.tz).date()
    reasons = _against(row, was)
    reasons += [
        Reason(one.code, _sentence(one.code, row), one.field)
        for one in wrong_in(row.sort, facts, happened_on=row.day, today=today)
    ]
    if told_at is not None and told_at > now and not any(one.code == "told later" for one in reasons):
        reasons.append(Reason("told later", _sentence("told later", row), "told_time"))
    if reasons:
        raise Refusal(*reasons)
    cleared, ended = facts.outcome == CLEARED, facts.outcome in (WONT_RETURN, NOT_HEAD)
    with acting(by, How.PAGE):
        done, _ = IncidentFollowUp.objects.update_or_create(
            incident=row,
            defaults={
                "happened_on": row.day,
                "told_at": told_at,
                "told_by": facts.told_by,
                "outcome": facts.outcome,
                "provider": facts.provider if facts.outcome in (CLEARED, NOT_HEAD) else "",
                "cleared_on": facts.cleared_on if cleared else None,
                "seen": facts.seen if cleared else "",
                "reason": facts.reason if ended else "",
                "saved_at": now,
                "saved_by": by,
            },
        )
    return done


def _against(row: Incident, was: str) -> list[Reason]:
    out = []
    if row.undone:
        words = gettext("The lead deleted this incident, so there’s nothing to record.")
        out.append(Reason("taken back", words))
    if row.sort not in FOLLOWED:
        out.append(Reason("not followed up", gettext("This kind of incident needs no follow-up.")))
    if was != follow_up_mark(row):
        words = gettext(
            "Someone else saved this follow-up after you opened it. Check what they saved, then save again."
        )
        out.append(Reason("changed meanwhile", words))
    return out


def _sentence(code: str, row: Incident) -> str:
    return {
        "nobody named": gettext("Enter who told them."),
        "no time": gettext("Enter when they were told, or leave the name empty if no one has told them yet."),
        "told before": gettext("It happened on %(day)s. Enter that day or a later one."),
        "told later": gettext("That’s in the future. Enter when they were told."),
        "unknown outcome": gettext("Choose one of the answers."),
        "not a head injury": gettext("This was not a hit to the head, so there’s nothing to clear."),
        "no provider": gettext("Enter the health care provider’s name and practice."),
        "no day": gettext("Enter the day on which the provider cleared them."),
        "cleared before": gettext("It happened on %(day)s. Enter that day or a later one."),
        "cleared later": gettext("That date is in the future. Record the clearance once the provider has given it."),
        "nothing seen": gettext("Enter what you saw, such as a signed note or a letter."),
        "no reason": gettext("Enter the reason."),
    }[code] % {"day": full_day(row.day)}
