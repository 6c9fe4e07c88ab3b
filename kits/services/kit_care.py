"""Looking after a kit: a check done, what was counted, what was damaged or lost, and putting it right."""

from collections.abc import Mapping
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext, ngettext

from clinics.models import Clinic
from core.refusal import Refusal
from kits.models import Kit, KitCheck, KitItem, KitLoss
from kits.models.kit_kinds import MOST_OF_ONE_ITEM
from kits.rules.kit_state import GONE
from kits.words.items import amount_words
from people.models import User

__all__ = ["count_kit", "put_right", "record_check", "record_loss"]


@transaction.atomic
def record_check(*, kit: Kit, what: str, today: date, by: User, now: datetime, words: str = "") -> KitCheck:
    """Record that a check was done today. Twice on one day is one check, with the later words added."""
    if what not in KitCheck.What:
        raise Refusal.because("no such check", gettext("Choose one of the checks: pump, charge, or count."), "what")
    Kit.objects.select_for_update(no_key=True).get(pk=kit.pk)
    row, new = KitCheck.objects.get_or_create(
        kit=kit, what=what, done_on=today, defaults={"done_at": now, "by": by, "words": words[:500]}
    )
    if not new and words and words not in row.words:
        row.words = "; ".join(part for part in (row.words, words) if part)[:500]
        row.done_at, row.by = now, by
        row.save(update_fields=["words", "done_at", "by"])
    return row


@transaction.atomic
def count_kit(*, kit: Kit, counted: Mapping[int, int], today: date, by: User, now: datetime) -> KitCheck:
    """Record a count: 1 lock the kit, 2 check the numbers, 3 record each difference, 4 record the check.

    ``counted`` maps an item to how many usable ones are there; an item that is not in it is taken to be whole. Items
    that are fewer than they should be are recorded as lost. Items that are more close what was recorded as lost, the
    latest first and also a part of one record; what is still over joins the list.
    """
    Kit.objects.select_for_update(no_key=True).get(pk=kit.pk)
    items = KitItem.objects.filter(kit=kit, pk__in=counted).exclude(condition__in=GONE).order_by("name")
    rows = list(items.prefetch_related("losses"))
    if len(rows) != len(counted):
        raise Refusal.because("not its item", gettext("An item on this list is no longer in the kit. Reload the page."))
    for item in rows:
        if not 0 <= counted[item.pk] <= MOST_OF_ONE_ITEM:
            raise Refusal.because(
                "count",
                gettext("Enter a number from 0 to %(most)d for %(item)s.")
                % {"most": MOST_OF_ONE_ITEM, "item": item.name},
            )
    said = []
    for item in rows:
        over = counted[item.pk] - (item.count - item.away)
        if over < 0:
            KitLoss.objects.create(
                item=item, count=-over, how=KitLoss.How.LOST, happened_on=today, words="Missing when counted.",
                recorded_by=by, recorded_at=now,
            )  # fmt: skip
            said.append(f"{amount_words(-over, item.name)} missing")
        elif over > 0:
            _found(item, over, by, now)
            said.append(f"{amount_words(over, item.name)} more than expected")
    return record_check(kit=kit, what=KitCheck.What.COUNT, today=today, by=by, now=now, words="; ".join(said))


def _found(item: KitItem, over: int, by: User, now: datetime) -> None:
    for loss in item.losses.all():
        if not over:
            return
        if loss.righted or loss.how != KitLoss.How.LOST:
            continue
        found = min(over, loss.count)
        if found < loss.count:
            # Some of them are still lost: those keep their note, and what was found has one of its own.
            loss.count -= found
            loss.save(update_fields=["count"])
            loss = _twin(loss, found)
        _close(loss, KitLoss.Righted.FOUND, by, now)
        over -= found
    if over:
        item.count += over
        item.save(update_fields=["count"])


def _twin(loss: KitLoss, count: int) -> KitLoss:
    same = ("item", "how", "happened_on", "clinic", "words", "recorded_by", "recorded_at")
    return KitLoss.objects.create(count=count, **{name: getattr(loss, name) for name in same})


@transaction.atomic
def record_loss(
    *,
    item: KitItem,
    count: int,
    how: str,
    happened_on: date,
    today: date,
    by: User,
    now: datetime,
    clinic: Clinic | None = None,
    words: str = "",
) -> KitLoss:
    """Record that ``count`` of an item are damaged or lost, so that they no longer count as usable."""
    Kit.objects.select_for_update(no_key=True).get(pk=item.kit_id)
    item = KitItem.objects.prefetch_related("losses").get(pk=item.pk)
    if how not in KitLoss.How:
        raise Refusal.because("no such loss", gettext("Choose damaged or lost."), "how")
    if happened_on > today:
        raise Refusal.because(
            "not yet", gettext("That date is in the future. Enter the day it happened."), "happened_on"
        )
    left = item.count - item.away
    if count < 1:
        raise Refusal.because("count", gettext("Enter how many, at least 1."), "count")
    if count > left:
        raise Refusal.because("more than there are", _only(item, left), "count")
    return KitLoss.objects.create(
        item=item, count=count, how=how, happened_on=happened_on, clinic=clinic, words=words,
        recorded_by=by, recorded_at=now,
    )  # fmt: skip


def _only(item: KitItem, left: int) -> str:
    facts = {"all": amount_words(item.count, item.name), "left": amount_words(left, item.name)}
    if not left:
        words = gettext("None of the %(all)s are left. Edit the kit’s contents if there are more.")
    else:
        words = ngettext(
            "Only %(left)s is left of %(all)s. Enter a smaller number, or edit the kit’s contents.",
            "Only %(left)s are left of %(all)s. Enter a smaller number, or edit the kit’s contents.",
            left,
        )
    return words % facts


@transaction.atomic
def put_right(*, loss: KitLoss, righted: str, by: User, now: datetime) -> KitLoss:
    """Close a loss: it was repaired, replaced or found. Closing it twice changes nothing."""
    row = KitLoss.objects.select_for_update(no_key=True).get(pk=loss.pk)
    if row.righted:
        return row
    if righted not in KitLoss.Righted:
        raise Refusal.because("no such way", gettext("Choose repaired, replaced, or found."), "righted")
    _close(row, righted, by, now)
    return row


def _close(loss: KitLoss, righted: str, by: User, now: datetime) -> None:
    loss.righted, loss.righted_by, loss.righted_at = righted, by, now
    loss.save(update_fields=["righted", "righted_by", "righted_at"])
