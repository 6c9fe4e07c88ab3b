"""Evidence that a volunteer may work with children: the result, the dates and a reference, never the report."""

from datetime import date
from typing import Any

import pghistory
from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from core import clock
from people.models.duties import Duty, duties
from people.models.volunteers import Volunteer
from people.rules import standing as rule


class ClearanceKind(models.Model):
    code = models.SlugField(max_length=40, unique=True)
    name = models.CharField(
        _("name"), max_length=80, help_text=_("How it appears in a sentence, such as: abuse prevention training.")
    )
    source = models.CharField(
        _("source"),
        max_length=300,
        blank=True,
        help_text=_("Who recommends how long it lasts, and when they said so."),
    )
    renew = models.CharField(
        _("how to renew it"),
        max_length=500,
        blank=True,
        help_text=_(
            "One or two sentences for the volunteer: where to go, how long it takes, who pays. Included in the email."
        ),
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.name


class PolicyRow(models.Model):
    """From a day on, one duty needs one kind of clearance, everywhere or at one place.

    A row is never changed: a later row for the same duty, kind and place takes over from its own day, so the policy of
    past days stays as it was. The intervals are the organisation's: check your local law.
    """

    duty = models.ForeignKey(Duty, to_field="code", db_column="duty", on_delete=models.PROTECT, related_name="+")
    kind = models.ForeignKey(ClearanceKind, on_delete=models.PROTECT, related_name="policy_rows")
    place = models.CharField(
        max_length=60,
        blank=True,
        help_text=_("Leave empty for all centers, or enter the name of a center that has its own requirement."),
    )
    from_day = models.DateField(default=date(2000, 1, 1))
    required = models.BooleanField(
        default=True, help_text=_("Uncheck if the clearance is no longer required from this date.")
    )
    months = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text=_("How many months it’s valid. Leave empty if it doesn’t expire.")
    )
    notice_days = models.PositiveSmallIntegerField(default=60)
    overlap = models.BooleanField(default=False, help_text=_("An early renewal extends the old expiration date."))

    class Meta:
        ordering = ["duty_id", "kind", "place", "from_day"]
        constraints = [
            models.UniqueConstraint(
                fields=["duty", "kind", "place", "from_day"],
                name="one_policy_row_per_duty_kind_place_and_day",
                violation_error_message=_(
                    "There’s already a change for this duty, clearance, and center on that date. Choose another date."
                ),
            ),
            models.CheckConstraint(
                condition=Q(months__isnull=True) | Q(months__gte=1), name="policy_months_at_least_one"
            ),
        ]

    def __str__(self) -> str:
        return f"{duties().name(self.duty_id)}: {self.kind}"


class NoticeStep(models.Model):
    """How many days before a clearance's last day its holder gets a note; data, so that the admin decides."""

    days_before = models.PositiveSmallIntegerField(unique=True)

    class Meta:
        ordering = ["-days_before"]

    def __str__(self) -> str:
        if self.days_before == 0:
            return gettext("on the last day")
        return ngettext("%(n)d day before", "%(n)d days before", self.days_before) % {"n": self.days_before}


class ClearanceState(models.TextChoices):
    AWAITING = "awaiting", _("waiting for result")
    CLEAR = "clear", _("cleared")
    REFUSED = "refused", _("not cleared")
    WITHDRAWN = "withdrawn", _("withdrawn")


@pghistory.track()
class Clearance(models.Model):
    volunteer = models.ForeignKey(Volunteer, on_delete=models.CASCADE, related_name="clearances")
    kind = models.ForeignKey(ClearanceKind, on_delete=models.PROTECT, related_name="clearances")
    state = models.CharField(max_length=12, choices=ClearanceState.choices, default=ClearanceState.CLEAR)
    issued_on = models.DateField(_("date issued"), null=True, blank=True)
    expires_on = models.DateField(
        _("last valid day"),
        null=True,
        blank=True,
        help_text=_("As printed on it. Leave empty to use the policy."),
    )
    reference = models.CharField(
        _("reference number"),
        max_length=80,
        blank=True,
        help_text=_("A number for looking it up later. Don’t enter the report."),
    )
    issuer = models.CharField(_("issuer"), max_length=120, blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+", editable=False
    )
    recorded_at = models.DateTimeField(default=clock.now, editable=False)
    # A refused result is looked at by a second person before anybody is told.
    confirmed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+", editable=False
    )
    confirmed_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        ordering = ["volunteer", "kind", "issued_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(confirmed_by__isnull=True)
                | Q(recorded_by__isnull=True)
                | ~Q(confirmed_by=F("recorded_by")),
                name="a_second_person_confirms",
            ),
            models.CheckConstraint(
                condition=Q(expires_on__isnull=True) | Q(issued_on__isnull=True) | Q(expires_on__gte=F("issued_on")),
                name="clearance_expiry_not_before_issue",
                violation_error_message=_("The last valid day is before the issue date. Check both dates."),
            ),
            models.CheckConstraint(
                condition=Q(state="awaiting") | Q(issued_on__isnull=False),
                name="clearance_result_has_a_date",
                violation_error_message=_(
                    "Enter the issue date. You can leave it empty only while you’re waiting for a result."
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.volunteer}: {self.kind}"

    @property
    def needs_second_look(self) -> bool:
        return self.state == ClearanceState.REFUSED and self.confirmed_at is None

    def fact(self) -> rule.Clearance:
        """This record as the standing rule reads it. Needs ``kind`` loaded."""
        return rule.Clearance(
            kind=self.kind.code, state=self.state, issued_on=self.issued_on, expires_on=self.expires_on
        )


# Rows that the database's triggers write: each insert, change and removal of a clearance.
ClearanceEvent: Any = Clearance.pgh_event_model  # type: ignore[attr-defined]
