"""A child: the least that serves, and what may help them on the day under lock."""

import re
from typing import Any

import pghistory
from django.contrib.postgres.indexes import GinIndex
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core.secret_text import EncryptedTextField
from families.rules.allergies import NEVER_ANSWERED, answered


class Experience(models.TextChoices):
    """How much a child has played, in words a guardian would use."""

    NEW = "new", _("New to basketball")
    SOME = "some", _("Has played a little")
    TEAM = "team", _("Plays on a team")


class ChildQuerySet(models.QuerySet["Child"]):
    def known(self) -> "ChildQuerySet":
        return self.filter(forgotten_at__isnull=True)

    def called(self, words: str) -> "ChildQuerySet":
        # ~* is what the index of letter triples answers; icontains would compare UPPER(name), which no index holds.
        return self.filter(name__iregex=re.escape(words))


HAS_SOME = Q(allergies_answer="some")


# What is encrypted stays out of the history: a deleted allergy must not live on beside its row.
@pghistory.track(exclude=["allergies", "allergies_answer", "care_notes"])
class Child(models.Model):
    name = models.CharField(max_length=120)
    birth_date = models.DateField(_("date of birth"))
    experience = models.CharField(max_length=8, choices=Experience.choices, default=Experience.NEW)
    school_year = models.CharField(_("grade"), max_length=20, blank=True)
    allergies = EncryptedTextField(blank=True, default="")
    care_notes = EncryptedTextField(_("care notes (anything that helps us care for them)"), blank=True, default="")
    # What a guardian said when asked: see families/rules/allergies.py. No answer is not the same as none.
    allergies_answer = models.CharField(
        _("allergies"),
        max_length=4,
        blank=True,
        default="",
        choices=[("", _("not answered")), ("none", _("none known")), ("some", _("has allergies"))],
    )
    # Whether there is anything to read, so that lists need not open what is locked.
    has_care = models.BooleanField(default=False, editable=False)
    registered_at = models.DateTimeField()
    # Allergies, notes, pickup people and contacts are gone; the name stays beside the signed waiver for its time.
    redacted_at = models.DateTimeField(null=True, blank=True, editable=False)
    # A court or an insurer asked for it to be kept: nothing of it goes while this says why.
    held_because = models.CharField(_("keep on hold because"), max_length=200, blank=True)
    # Set when the name and everything else that points to the child are gone; the row stays for counting.
    forgotten_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = ChildQuerySet.as_manager()

    class Meta:
        verbose_name = _("child")
        verbose_name_plural = _("children")
        ordering = ["name", "pk"]
        indexes = [
            GinIndex(fields=["name"], opclasses=["gin_trgm_ops"], name="child_name_words"),
            models.Index(fields=["name", "id"], name="child_name_order"),
        ]
        constraints = [
            models.CheckConstraint(condition=~Q(name="") | Q(forgotten_at__isnull=False), name="a_child_has_a_name"),
            models.CheckConstraint(
                condition=Q(has_care=True) | Q(allergies="", care_notes=""), name="care_is_marked_where_it_is"
            ),
            models.CheckConstraint(
                condition=Q(Q(allergies_answer="some"), ~Q(allergies=""))
                | Q(~Q(allergies_answer="some"), Q(allergies="")),
                name="allergies_are_some_where_they_are_written",
            ),
        ]

    def __str__(self) -> str:
        return self.name or gettext("(name deleted)")

    def save(self, *args: object, **more: Any) -> None:
        if {"allergies", "care_notes"} & {*(more.get("update_fields") or ())}:
            more["update_fields"] = {*more["update_fields"], "allergies_answer", "has_care"}
        self.has_care = bool(self.allergies or self.care_notes)
        self.allergies_answer = answered(self.allergies_answer, self.allergies)
        super().save(*args, **more)

    @property
    def allergies_asked(self) -> bool:
        """Whether a guardian has ever answered the question about allergies."""
        return self.allergies_answer != NEVER_ANSWERED

    @property
    def given_name(self) -> str:
        return self.name.split()[0] if self.name.strip() else str(self)
