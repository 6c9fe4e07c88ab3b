"""The outbox: every message to one person, kept whatever happens to the mail server."""

import uuid
from collections.abc import Iterable

from django.contrib.postgres.fields import ArrayField
from django.contrib.postgres.indexes import GinIndex
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import F, Func, Q, Value
from django.db.models.functions import Concat
from django.db.models.lookups import Contains
from django.utils.translation import gettext_lazy

from core import clock, links
from core.references import number_in, reference


class NoteState(models.TextChoices):
    WAITING = "waiting", gettext_lazy("waiting")
    SENDING = "sending", gettext_lazy("sending")
    SENT = "sent", gettext_lazy("sent")
    DROPPED = "dropped", gettext_lazy("not sent: out of date")
    STUCK = "stuck", gettext_lazy("needs attention")


class NoteQuerySet(models.QuerySet["Note"]):
    def about(self, row: models.Model) -> "NoteQuerySet":
        return self.filter(about__contains=[reference(row)])

    def about_any(self, model: type[models.Model], numbers: Iterable[int]) -> "NoteQuerySet":
        """Notes about at least one of these rows of a model."""
        return self.filter(about__overlap=[reference(model, number) for number in numbers])

    def about_some(self, model: type[models.Model]) -> "NoteQuerySet":
        """Notes about at least one row of a model, whichever row it is."""
        return self.filter(_names(model))

    def about_no(self, model: type[models.Model]) -> "NoteQuerySet":
        """Notes about no row of a model."""
        return self.exclude(_names(model))


def _names(model: type[models.Model]) -> Contains:
    text: models.TextField[str, str] = models.TextField()
    joined = Func(F("about"), Value(" "), function="array_to_string", output_field=text)
    return Contains(Concat(Value(" "), joined, output_field=text), f" {model._meta.label_lower}:")


class Note(models.Model):
    """One message to one person.

    ``key`` says what, whom, which revision of the clinic and which step, so planning twice writes one row.
    The text is made when it is sent, from what is true then; no signed link is ever stored.
    ``about`` names the rows that the note speaks of, without a foreign key: once such a row is gone, the note is no
    longer true.
    ``facts`` holds what else the letter needs, such as a last day, the step of a schedule, the SEQUENCE of its calendar
    part, or the revision of the clinic. Once the clinic has another revision, the note is no longer true.
    """

    key = models.CharField(max_length=200, unique=True)
    kind = models.CharField(max_length=24, help_text="The code of a letter; see outbox.letters.")
    to_name = models.CharField(max_length=120)
    to_email = models.EmailField()
    language = models.CharField(max_length=10, default="en")
    summary = models.CharField(max_length=200, help_text="One line for the outbox page.")
    state = models.CharField(max_length=10, choices=NoteState.choices, default=NoteState.WAITING)
    due_at = models.DateTimeField()
    written_at = models.DateTimeField(default=clock.now, editable=False)

    about = ArrayField(models.CharField(max_length=80), default=list, blank=True)
    facts = models.JSONField(default=dict, blank=True, encoder=DjangoJSONEncoder)

    claim = models.UUIDField(null=True)
    claimed_until = models.DateTimeField(null=True)
    tries = models.PositiveSmallIntegerField(default=0)
    last_answer = models.TextField(blank=True, help_text="The mail server's own words, or why it was dropped.")
    message_id = models.CharField(max_length=120, unique=True)
    sent_at = models.DateTimeField(null=True)

    objects = NoteQuerySet.as_manager()

    class Meta:
        ordering = ["-due_at", "-pk"]
        indexes = [
            models.Index(fields=["due_at"], condition=Q(state__in=["waiting", "sending"]), name="notes_to_send"),
            models.Index(fields=["-due_at", "-id"], name="notes_newest_first"),
            GinIndex(fields=["about"], name="notes_by_subject"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(sent_at__isnull=False) | ~Q(state="sent"), name="a_sent_note_has_its_time"
            ),
            models.CheckConstraint(
                condition=~Q(state="sending") | Q(claim__isnull=False, claimed_until__isnull=False),
                name="a_note_being_sent_is_claimed",
            ),
        ]

    def __str__(self) -> str:
        return self.summary

    def number_of(self, model: type[models.Model]) -> int | None:
        """The number of the row of this model that the note is about; None where it is about none."""
        return number_in(self.about, model)


def new_message_id() -> str:
    return f"<{uuid.uuid4().hex}@{links.host()}>"
