"""How long children's records are kept."""

import pghistory
from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core.formats import counted


@pghistory.track()
class Retention(models.Model):
    """The one row of rules that the admin keeps. Law differs by state: the numbers are theirs to set.

    A signed waiver of a child may be asked for until some years after they are grown up (published sample: age of
    majority, the limitation of that state, and one year more), so the name and the signature can stay longer than
    everything else.
    """

    child_months = models.PositiveSmallIntegerField(
        _("months after a child’s last clinic"), default=24,
        help_text=_("After that we delete allergies, care notes, pickup people, contacts, and photo answers."),
    )  # fmt: skip
    majority_age = models.PositiveSmallIntegerField(_("age of adulthood in your state"), default=18)
    limitation_years = models.PositiveSmallIntegerField(
        _("years a claim can be filed after that"), default=2,
        help_text=_("We add one year. Ask a licensed lawyer what your state says."),
    )  # fmt: skip
    keep_waivers = models.BooleanField(
        _("keep signed waivers until then"), default=True,
        help_text=_("If unchecked, we delete the name and signature with everything else."),
    )  # fmt: skip
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, on_delete=models.SET_NULL, related_name="+")
    changed_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="one_row_of_keeping_rules"),
            models.CheckConstraint(
                condition=Q(child_months__gte=1, child_months__lte=240), name="keep_1_to_240_months"
            ),
            models.CheckConstraint(condition=Q(majority_age__gte=16, majority_age__lte=21), name="grown_up_16_to_21"),
            models.CheckConstraint(condition=Q(limitation_years__lte=20), name="limitation_at_most_20_years"),
        ]

    def __str__(self) -> str:
        return gettext("%(months)s after the last clinic") % {"months": counted(self.child_months, "month")}

    @classmethod
    def now(cls) -> "Retention":
        """The row, or the defaults where no one has set any."""
        return cls.objects.filter(pk=1).first() or cls(pk=1)
