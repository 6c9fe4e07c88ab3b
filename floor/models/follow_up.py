"""What the office did after an incident: who told the guardian, and who cleared the child to play again."""

import pghistory
from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy

from core.secret_text import EncryptedTextField
from floor.models.books import Incident
from floor.rules.incidents import CLEARED, NOT_HEAD, WONT_RETURN


class Outcome(models.TextChoices):
    """How a hit to the head ended."""

    CLEARED = CLEARED, gettext_lazy("Cleared to return by a health care provider")
    WONT_RETURN = WONT_RETURN, gettext_lazy("Won’t come back to our clinics")
    NOT_HEAD = NOT_HEAD, gettext_lazy("Head not injured after all, says a health care provider")


# Names and what was seen stay out of the history, as the words of the report do.
@pghistory.track(exclude=["told_by", "provider", "seen", "reason"])
class IncidentFollowUp(models.Model):
    """One for an incident, from the first time that the office writes something down. The words are encrypted."""

    incident = models.OneToOneField(Incident, on_delete=models.CASCADE, related_name="follow_up")
    happened_on = models.DateField(help_text="The incident's day at its center, so that the database can compare.")
    told_at = models.DateTimeField(null=True, blank=True)
    told_by = EncryptedTextField(blank=True, default="")
    outcome = models.CharField(max_length=12, choices=Outcome.choices, blank=True, default="")
    provider = EncryptedTextField(blank=True, default="")
    cleared_on = models.DateField(null=True, blank=True)
    seen = EncryptedTextField(blank=True, default="")
    reason = EncryptedTextField(blank=True, default="")
    saved_at = models.DateTimeField()
    saved_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    # The child was deleted on file, and with them what was written here in words.
    words_gone = models.BooleanField(default=False, editable=False)

    class Meta:
        ordering = ["incident"]
        constraints = [
            models.CheckConstraint(
                condition=Q(words_gone=True)
                | Q(told_at__isnull=True, told_by="")
                | (Q(told_at__isnull=False) & ~Q(told_by="")),
                name="told_by_whom_and_when",
            ),
            models.CheckConstraint(
                condition=~Q(outcome=CLEARED)
                | (Q(cleared_on__isnull=False) & (Q(words_gone=True) | ~Q(provider="") & ~Q(seen=""))),
                name="cleared_by_a_provider_on_a_day",
            ),
            models.CheckConstraint(
                condition=Q(cleared_on__isnull=True) | Q(outcome=CLEARED, cleared_on__gte=F("happened_on")),
                name="cleared_no_earlier_than_it_happened",
            ),
            models.CheckConstraint(
                condition=~Q(outcome__in=[WONT_RETURN, NOT_HEAD]) | Q(words_gone=True) | ~Q(reason=""),
                name="not_cleared_for_a_reason",
            ),
            models.CheckConstraint(
                condition=~Q(outcome=NOT_HEAD) | Q(words_gone=True) | ~Q(provider=""),
                name="no_head_injury_by_a_providers_word",
            ),
        ]

    def __str__(self) -> str:
        return f"follow-up of {self.incident_id}"
