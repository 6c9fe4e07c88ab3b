"""What guardians sign: texts that never change once they are in force, and signatures that say which text it was."""

import hashlib

import pghistory
import pgtrigger
from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core.formats import full_date
from families.models.children import Child
from families.models.guardians import Guardian, Language


class WaiverTextQuerySet(models.QuerySet["WaiverText"]):
    def published(self) -> "WaiverTextQuerySet":
        return self.filter(published_at__isnull=False)


@pghistory.track()
class WaiverText(models.Model):
    """One language of one version. The newest published version is the one that is signed from then on."""

    version = models.PositiveSmallIntegerField()
    language = models.CharField(max_length=2, choices=Language.choices)
    title = models.CharField(max_length=120)
    body = models.TextField(max_length=20_000)
    months = models.PositiveSmallIntegerField(
        _("valid for (months)"), default=12, help_text=_("How long a signature on this version stays valid.")
    )
    season_ends = models.DateField(
        _("or until this date"), null=True, blank=True, help_text=_("Whichever comes first.")
    )
    signs_anew = models.BooleanField(
        _("everyone must sign again"),
        default=False,
        help_text=_("Signatures on older versions will no longer be valid."),
    )
    placeholder = models.BooleanField(
        default=False, help_text=_("Sample text. Replace it with one from a licensed lawyer.")
    )
    published_at = models.DateTimeField(null=True, blank=True)

    objects = WaiverTextQuerySet.as_manager()

    class Meta:
        ordering = ["-version", "language"]
        constraints = [
            models.UniqueConstraint(fields=["version", "language"], name="one_waiver_text_per_version_and_language"),
            models.CheckConstraint(condition=Q(months__gte=1, months__lte=36), name="waiver_months_1_to_36"),
        ]
        triggers = [
            pgtrigger.Protect(
                name="published_waiver_text_stays",
                operation=pgtrigger.Update | pgtrigger.Delete,
                condition=pgtrigger.Q(old__published_at__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return gettext("%(title)s, version %(version)s (%(language)s)") % {
            "title": self.title,
            "version": self.version,
            "language": self.get_language_display(),
        }

    @property
    def hash(self) -> str:
        """SHA-256 of title and body, kept with each signature: proof of what was on the page."""
        return hashlib.sha256(f"{self.title}\n{self.body}".encode()).hexdigest()


class WaiverQuerySet(models.QuerySet["Waiver"]):
    def in_force(self) -> "WaiverQuerySet":
        return self.filter(withdrawn_at__isnull=True)


@pghistory.track()
class Waiver(models.Model):
    """A guardian's signature for one child, by typing the name or on paper that someone of ours saw."""

    child = models.ForeignKey(Child, on_delete=models.CASCADE, related_name="waivers")
    guardian = models.ForeignKey(Guardian, null=True, blank=True, on_delete=models.SET_NULL, related_name="waivers")
    text = models.ForeignKey(WaiverText, on_delete=models.PROTECT, related_name="signatures")
    text_hash = models.CharField(max_length=64)
    typed_name = models.CharField(max_length=120)
    signed_at = models.DateTimeField()
    signed_on = models.DateField()
    until = models.DateField(_("valid through"))
    came_from = models.GenericIPAddressField(_("internet address it came from"), null=True, blank=True)
    paper_seen_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )
    # Signed on a lead's phone at the door: the entry of that phone, so that the same one is never written twice.
    door_entry = models.UUIDField(null=True, blank=True, unique=True)
    signed_where = models.CharField(max_length=160, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.CharField(max_length=120, blank=True)

    objects = WaiverQuerySet.as_manager()

    class Meta:
        ordering = ["child", "-signed_at"]
        constraints = [
            models.CheckConstraint(condition=Q(until__gte=F("signed_on")), name="waiver_ends_after_it_is_signed"),
            models.CheckConstraint(condition=~Q(typed_name=""), name="waiver_is_signed_by_a_name"),
            models.CheckConstraint(
                condition=Q(came_from__isnull=False) | Q(paper_seen_by__isnull=False),
                name="waiver_says_how_it_was_signed",
            ),
        ]
        indexes = [models.Index(fields=["until"], name="waiver_until")]

    def __str__(self) -> str:
        return gettext("%(child)s, valid through %(day)s") % {"child": self.child, "day": full_date(self.until)}


@pghistory.track()
class PhotoAnswer(models.Model):
    """Whether a guardian lets us take photos, apart from taking part. The latest of each guardian counts; a no wins."""

    child = models.ForeignKey(Child, on_delete=models.CASCADE, related_name="photo_answers")
    guardian = models.ForeignKey(
        Guardian, null=True, blank=True, on_delete=models.CASCADE, related_name="photo_answers"
    )
    allowed = models.BooleanField()
    answered_at = models.DateTimeField()

    class Meta:
        ordering = ["child", "-answered_at", "-pk"]

    def __str__(self) -> str:
        return gettext("photos OK") if self.allowed else gettext("no photos")
