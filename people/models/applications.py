"""Someone who wants to volunteer, before they are a volunteer."""

from django.conf import settings
from django.contrib.postgres.fields import ArrayField
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from people.models.duties import duty_words
from people.models.volunteers import Volunteer


class Application(models.Model):
    class State(models.TextChoices):
        UNCONFIRMED = "unconfirmed", _("email not confirmed")
        NEW = "new", _("to review")
        MORE_ASKED = "more asked", _("question sent")
        ACCEPTED = "accepted", _("accepted")
        DECLINED = "declined", _("declined")

    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("email"))
    phone = models.CharField(_("phone"), max_length=40)
    duties = ArrayField(models.CharField(max_length=20), default=list)
    languages = models.CharField(_("languages"), max_length=120, blank=True)
    home_area = models.CharField(_("home area"), max_length=120)
    adult = models.BooleanField(default=True)
    guardian_name = models.CharField(max_length=120, blank=True)
    guardian_contact = models.CharField(max_length=120, blank=True)
    first_reference = models.CharField(_("first reference"), max_length=200)
    second_reference = models.CharField(_("second reference"), max_length=200)
    words = models.CharField(max_length=600, blank=True)

    state = models.CharField(max_length=12, choices=State.choices, default=State.UNCONFIRMED)
    question = models.CharField(max_length=300, blank=True)
    answer = models.CharField(max_length=600, blank=True)
    reason = models.CharField(max_length=300, blank=True)
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    decided_at = models.DateTimeField(null=True)
    volunteer = models.ForeignKey(Volunteer, null=True, on_delete=models.SET_NULL, related_name="applications")
    sent_at = models.DateTimeField()
    link_counter = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-sent_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(adult=True) | (~Q(guardian_name="") & ~Q(guardian_contact="")),
                name="under_18_names_a_guardian",
            ),
            models.CheckConstraint(
                condition=~Q(state="declined") | ~Q(reason=""), name="a_declined_application_has_a_reason"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def given_name(self) -> str:
        return self.name.split()[0]

    @property
    def duty_words(self) -> str:
        return duty_words(self.duties)

    @property
    def open(self) -> bool:
        return self.state in (self.State.NEW, self.State.MORE_ASKED)
