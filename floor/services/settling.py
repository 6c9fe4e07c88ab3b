"""After the clinic, in the office: what the lead left open when the floor page was wiped from the phones."""

import json
import secrets
import uuid
from collections.abc import Collection
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Clinic
from core.formats import clock_time
from core.refusal import Refusal
from floor.models import FloorAction, FloorDay, FloorPhone, SignIn
from floor.queries.conflicts import OpenConflict, open_conflicts
from floor.queries.floor_hours import wipe_at
from floor.queries.log import floor_state, read_actions
from floor.queries.twins import TwinPair, twin_pairs
from floor.services.projecting import project
from floor.services.syncing import lock_day
from people.models import User

__all__ = ["close_later", "settle_later", "settle_merged", "settle_twins", "sign_out_later"]

NOBODY = "0.0.0.0"


@transaction.atomic
def sign_out_later(
    *, clinic: Clinic, sign_in: int, pickup: str, out_at: datetime, by: User, now: datetime, came_from: str
) -> SignIn:
    """Record who took home a child whom nobody signed out: 1 lock the day, 2 check, 3 write an entry of the office.

    Raises Refusal: "not over", "no pickup person", "wrong time". Somebody who is out by now stays as they are.
    """
    lock_day(clinic)
    row = SignIn.objects.select_for_update(no_key=True, of=("self",)).get(
        pk=sign_in, clinic=clinic, child__isnull=False
    )
    if row.out_at is not None:
        return row
    if now < clinic.ends_at:
        raise Refusal.because(
            "not over", gettext("The clinic isn’t over yet. The lead signs children out on the floor page.")
        )
    if not pickup.strip():
        raise Refusal.because("no pickup person", gettext("Enter who picked up the child."), "pickup")
    if not row.in_at <= out_at <= now:
        came = clock_time(row.in_at, clinic.center.tz)
        words = gettext("The child came in at %(time)s. Enter a time after that and before now.") % {"time": came}
        raise Refusal.because("wrong time", words, "at")
    # By the child's number, or by the one that a walk-in had on the phone.
    first = FloorAction.objects.filter(pk=row.in_action).first()
    if first is None:
        # The log has gone, and only the books are left.
        row.out_at, row.pickup, row.out_action = out_at, pickup.strip()[:120], uuid.uuid4()
        row.save()
        return row
    who = str(json.loads(first.facts)["who"])
    _say(clinic, "out", {"who": who, "pickup": pickup.strip()[:120]}, out_at, by, now, came_from)
    return SignIn.objects.get(clinic=clinic, in_action=row.in_action)


@transaction.atomic
def settle_later(
    *, clinic: Clinic, right: str, in_at: datetime | None, by: User, now: datetime, came_from: str
) -> OpenConflict | None:
    """Settle a conflict of two phones: 1 lock the day, 2 find the conflict of ``right``, 3 take the other entries back.

    ``right`` is the number of the entry that is true. When somebody was signed out and never in, there is that entry
    alone: ``in_at`` says when they came in; without it they were not here, and the entry is taken back.
    Returns what was settled; None when it is settled already.

    Raises Refusal: "too early" while the lead's phone can still do it, "wrong time".
    """
    lock_day(clinic)
    conflict = next((one for one in open_conflicts(floor_state(clinic)) if right in one.actions), None)
    if conflict is None:
        return None
    if now < wipe_at(clinic):
        raise Refusal.because("too early", gettext("The lead can still fix this on the floor page."))
    others = [number for number in conflict.actions if number != right]
    if others or in_at is None:
        for number in others or [right]:
            _say(clinic, "undo", {"of": number}, now, by, now, came_from)
        return conflict
    out_at = conflict.versions[0].at
    if not in_at < out_at:
        went = clock_time(out_at, clinic.center.tz)
        raise Refusal.because(
            "wrong time", gettext("They were signed out at %(time)s. Enter an earlier time.") % {"time": went}, "at"
        )
    _say(clinic, "in", {"who": conflict.who}, in_at, by, now, came_from)
    return conflict


@transaction.atomic
def close_later(*, clinic: Clinic, by: User, now: datetime, came_from: str) -> None:
    """Close the day that the lead left open; closing it again changes nothing.

    Raises Refusal: "too early" while the lead's phone can still do it, "still in" while a child is not signed out,
    "conflicts" while two phones say different things that can still be settled.
    """
    day = lock_day(clinic)
    if day.closed_at is not None:
        return
    if now < wipe_at(clinic):
        raise Refusal.because("too early", gettext("The lead can still close the day on the floor page."))
    if SignIn.objects.filter(clinic=clinic, child__isnull=False, out_at__isnull=True).exists():
        raise Refusal.because("still in", gettext("First record who picked up each child who wasn’t signed out."))
    if FloorAction.objects.filter(clinic=clinic).exists():
        if day.conflicts:
            raise Refusal.because("conflicts", gettext("First fix the entries where two phones differ."))
        _say(clinic, "close", {}, now, by, now, came_from)
    else:
        FloorDay.objects.filter(pk=day.pk).update(closed_at=now)


@transaction.atomic
def settle_twins(
    *, clinic: Clinic, lines: Collection[str], word: str, by: User, now: datetime, came_from: str
) -> TwinPair | None:
    """Say of two lines of the door that they are one child ("same") or two ("apart"), during the clinic or after it.

    1 lock the day, 2 find the pair, 3 take back what says the opposite, 4 write an entry of the office. ``lines``: the
    numbers of both at the door. What is said to be one is merged by ``join_twins``, once this is written.
    Returns the pair; None when it is settled already.

    Raises Refusal "unknown word".
    """
    if word not in ("same", "apart"):
        raise Refusal.because("unknown word", gettext("Choose whether they’re one child or two."))
    lock_day(clinic)
    state = floor_state(clinic)
    pair = next((one for one in twin_pairs(clinic, state) if {one.one.who, one.other.who} == set(lines)), None)
    if pair is None or pair.said == "apart":
        return None
    theirs = [row for row in state.pairs if {row.facts["who"], row.facts["other"]} == set(lines)]
    for row in theirs:
        if row.kind != word:
            _say(clinic, "undo", {"of": row.id}, now, by, now, came_from)
    if all(row.kind != word for row in theirs):
        _say(clinic, word, {"who": pair.one.who, "other": pair.other.who}, now, by, now, came_from)
    return pair


@transaction.atomic
def settle_merged(*, clinic: Clinic, apart: str, by: User, now: datetime, came_from: str) -> OpenConflict | None:
    """Settle that a phone says "two children" of two whose records are merged: take its entries back.

    Returns what was settled; None when it is settled already.
    """
    lock_day(clinic)
    open_now = [one for one in open_conflicts(floor_state(clinic)) if one.code == "merged and apart"]
    conflict = next((one for one in open_now if apart in one.actions), None)
    for number in conflict.actions if conflict else ():
        _say(clinic, "undo", {"of": number}, now, by, now, came_from)
    return conflict


def _say(
    clinic: Clinic, kind: str, facts: dict[str, str], at: datetime, by: User, now: datetime, came_from: str
) -> None:
    """One entry of the office: a phone that nobody holds the secret of, and that no page opens on.

    A phone of its own for each: what one phone says is never earlier than what it said before, and the office writes
    what happened at whatever time in whatever order.
    """
    phone = FloorPhone.objects.create(
        clinic=clinic,
        opened_by=gettext("%(name)s, office") % {"name": by.name},
        secret=secrets.token_hex(32),
        came_from=came_from or NOBODY,
        opened_at=now,
        heard_at=now,
        ended_at=now,
    )
    FloorAction.objects.create(
        clinic=clinic, phone=phone, seq=1, kind=kind,
        facts=json.dumps(facts, ensure_ascii=False, sort_keys=True), phone_at=at, at=at, received_at=now,
    )  # fmt: skip
    project(clinic, read_actions(clinic), now)
