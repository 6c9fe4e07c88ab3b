"""Recording where a kit is."""

from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Center
from core.refusal import Refusal
from kits.models import Kit

__all__ = ["move_kit"]


@transaction.atomic
def move_kit(*, kit: Kit, to_center: Center | None, with_whom: str, now: datetime) -> Kit:
    """Record that a kit is at a center, or with a person. Raises Refusal "nowhere" or "two places"."""
    if to_center is None and not with_whom:
        raise Refusal.because("nowhere", gettext("Choose a center, or enter who has it."), "now_at")
    if to_center is not None and with_whom:
        raise Refusal.because("two places", gettext("Enter a center or a person, not both."), "with_whom")
    kit = Kit.objects.select_for_update(no_key=True).get(pk=kit.pk)
    kit.now_at, kit.with_whom, kit.moved_at = to_center, with_whom, now
    kit.save(update_fields=["now_at", "with_whom", "moved_at"])
    return kit
