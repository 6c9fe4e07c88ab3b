"""Papers that a center and we have signed or shown each other, each with its first day, last day and file."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from clinics.models.centers import Center

__all__ = ["Agreement", "AgreementKind"]


class AgreementKind(models.TextChoices):
    USE = "use", _("use-of-space agreement")
    INSURANCE = "insurance", _("certificate of insurance")


class AgreementQuerySet(models.QuerySet["Agreement"]):
    def counting(self) -> "AgreementQuerySet":
        """Papers that no one removed as added by mistake."""
        return self.filter(taken_back_at__isnull=True)


class AgreementManager(models.Manager["Agreement"]):
    def get_queryset(self) -> AgreementQuerySet:
        # A list of agreements must not fetch megabytes of paper.
        return AgreementQuerySet(self.model, using=self._db).defer("file")

    def counting(self) -> AgreementQuerySet:
        return self.get_queryset().counting()


class Agreement(models.Model):
    """A paper, never changed once recorded: a newer one takes over from its own first day, a mistake is taken back."""

    center = models.ForeignKey(Center, on_delete=models.CASCADE, related_name="agreements")
    kind = models.CharField(max_length=12, choices=AgreementKind.choices)
    from_day = models.DateField(_("first day"))
    until_day = models.DateField(_("last day"))
    reference = models.CharField(
        _("reference"), max_length=80, blank=True, help_text=_("The number or name on the document.")
    )
    # In the database: any web process can hand it out, and one dump of the database is the whole backup.
    file = models.BinaryField(null=True)
    file_name = models.CharField(max_length=100, blank=True)
    file_type = models.CharField(max_length=20, blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+", editable=False
    )
    recorded_at = models.DateTimeField(editable=False)
    taken_back_at = models.DateTimeField(null=True, editable=False)
    taken_back_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+", editable=False
    )

    objects = AgreementManager()

    class Meta:
        ordering = ["center", "kind", "-from_day", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(until_day__gte=F("from_day")),
                name="agreement_days_in_order",
                violation_error_message=_("The last day is before the first day. Check both dates."),
            ),
            models.CheckConstraint(
                condition=Q(file__isnull=True, file_name="", file_type="")
                | (
                    Q(file__isnull=False, file_type__in=["application/pdf", "image/jpeg", "image/png"])
                    & ~Q(file_name="")
                ),
                name="an_agreements_file_has_name_and_type",
            ),
        ]
        indexes = [models.Index(fields=["center", "kind", "until_day"], name="agreements_of_a_center")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.center}"
