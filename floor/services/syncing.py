"""What a phone sends, kept once and as it was said, whatever its clock and however often it comes."""

import json
import logging
import re
import uuid
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from django.db import DatabaseError, transaction

from clinics.models import Clinic
from core.refusal import Refusal
from families.models import Spot
from floor.models import FloorAction, FloorDay, FloorPhone, MergedNumber
from floor.queries.log import floor_state, read_actions
from floor.rules.entries import Entry, Trouble, read_entry
from floor.rules.floor_log import FloorState
from floor.services.projecting import project
from floor.services.twins import join_twins
from floor.words import entry_trouble
from shifts.models import Assignment

__all__ = ["MOST_ACTIONS", "Received", "RefusedEntry", "receive"]

logger = logging.getLogger(__name__)
MOST_ACTIONS = 500
# An action can't have happened before its page was opened, but a phone may be opened a day ahead.
OLDEST = timedelta(days=2)


class RefusedEntry(NamedTuple):
    """``place``: where in the sending, from 0. ``id``: as it was sent, "" where it can't be read. ``code``: stable."""

    id: str
    why: str
    code: str
    place: int


@dataclass
class Received:
    """``kept``: ids as they were sent. ``state``: the floor after everything that was kept."""

    kept: list[str] = field(default_factory=list)
    refused: list[RefusedEntry] = field(default_factory=list)
    state: FloorState = field(default_factory=FloorState)


def receive(
    *, phone: FloorPhone, phone_now: datetime, actions: Sequence[Any], now: datetime, came_from: str = ""
) -> Received:
    """Keep the actions and write the books; then merge records that the phones say are one child's.

    What was sent is kept even when merging fails: the phone must hear so, or it would send the same for ever. Such a
    pair stays on Ahead and on the day's page, and the next sending tries again. Raises Refusal as ``_keep`` does.
    """
    out = _keep(phone=phone, phone_now=phone_now, actions=actions, now=now, came_from=came_from)
    try:
        if join_twins(clinic=phone.clinic, state=out.state, now=now):
            out.state = floor_state(phone.clinic)
    except DatabaseError:
        logger.exception("Records of clinic %s that are one child's could not be merged.", phone.clinic_id)
    return out


@transaction.atomic
def _keep(*, phone: FloorPhone, phone_now: datetime, actions: Sequence[Any], now: datetime, came_from: str) -> Received:
    """Keep the actions and work out the floor anew: 1 lock the clinic's day, 2 check each, 3 keep, 4 write the books.

    An action is a JSON text or, from older pages, an object. Each time that the phone's clock gave is moved by ``now``
    less ``phone_now``. An action that is here already is kept again without effect. An action that can't be meant, or
    has the number of another one, is refused with a sentence, and the others stay.
    Raises Refusal when there are more than MOST_ACTIONS.
    """
    if len(actions) > MOST_ACTIONS:
        raise Refusal.because("too many", f"Send at most {MOST_ACTIONS} entries at once.")
    clinic = phone.clinic
    lock_day(clinic)
    read = [read_entry(one) for one in actions]
    known = _known(clinic)
    # A walk-in of this very sending may be signed out in it.
    known |= {one.facts["who"] for _, one in read if isinstance(one, Entry) and one.kind == "walk-in"}
    troubles: dict[int, Trouble] = {}
    rows: dict[int, FloorAction] = {}
    for place, (_, one) in enumerate(read):
        if isinstance(one, Trouble):
            troubles[place] = one
        elif not _expected(one, known):
            troubles[place] = Trouble("not expected", one.kind)
        else:
            rows[place] = _action(one, phone, now - phone_now, now)
    FloorPhone.objects.filter(pk=phone.pk).update(heard_at=now, came_from=came_from or phone.came_from)
    kept = _write(phone, list(rows.values()))
    for (place, row), same in zip(rows.items(), kept, strict=True):
        if not same:
            troubles[place] = Trouble("another entry with this number", row.kind)
    return Received(
        kept=[read[place][0] for place in rows if place not in troubles],
        refused=[
            RefusedEntry(read[place][0], entry_trouble(one), one.code, place) for place, one in sorted(troubles.items())
        ],
        state=project(clinic, read_actions(clinic), now) if rows else floor_state(clinic),
    )


def lock_day(clinic: Clinic) -> FloorDay:
    """Lock the clinic's day until the transaction ends, and return it; it is made when it is not there."""
    FloorDay.objects.get_or_create(clinic=clinic)
    return FloorDay.objects.select_for_update(no_key=True, of=("self",)).get(clinic=clinic)


def _known(clinic: Clinic) -> set[str]:
    """Who can come in: children with a spot of any kind, adults on a shift, and walk-ins so far."""
    children = Spot.objects.filter(clinic=clinic).values_list("child_id", flat=True)
    adults = Assignment.objects.filter(shift__clinic=clinic).values_list("volunteer_id", flat=True)
    walk_ins = FloorAction.objects.filter(clinic=clinic, kind="walk-in").only("facts")
    known = {f"c{pk}" for pk in children} | {f"v{pk}" for pk in adults}
    # A phone that loaded its day before two records became one still says the old number.
    known |= set(MergedNumber.objects.filter(is_now__in=known).values_list("was", flat=True))
    return known | {str(json.loads(row.facts).get("who")) for row in walk_ins}


def _write(phone: FloorPhone, rows: Sequence[FloorAction]) -> list[bool]:
    """Write the rows that are new; for each, whether what is kept under its number is this very entry."""
    # An entry may have come before, also through an earlier link of this phone, whose answer got lost.
    here = {row.pk: row for row in FloorAction.objects.filter(pk__in=[row.pk for row in rows])}
    fresh: dict[uuid.UUID, FloorAction] = {}
    for row in rows:
        if row.pk not in here:
            fresh.setdefault(row.pk, row)
    # A phone counts each entry once; one with the count of another is left out.
    FloorAction.objects.bulk_create(fresh.values(), ignore_conflicts=True)
    written = FloorAction.objects.filter(pk__in=list(fresh), phone=phone).values_list("pk", flat=True)
    here |= {number: fresh[number] for number in written}
    return [row.pk in here and _same(here[row.pk], row) for row in rows]


def _same(here: FloorAction, sent: FloorAction) -> bool:
    return (here.clinic_id, here.kind, here.facts, here.phone_at) == (
        sent.clinic_id, sent.kind, sent.facts, sent.phone_at,
    )  # fmt: skip


def _needs_nobody(kind: str, who: str) -> bool:
    """A score may be a whole group's, by its short name; an incident may concern nobody of the list."""
    group = 0 < len(who) <= 20 and not re.fullmatch(r"[cv]\d+|w-.*", who)
    return (kind == "score" and group) or (kind == "incident" and not who)


def _expected(one: Entry, known: Collection[str]) -> bool:
    """Whether the entry is about people who can be on the floor.

    What is said of two lines may be heard before the other phone's walk-in is.
    """
    if one.kind in ("same", "apart"):
        whom = [one.facts[name] for name in ("who", "other")]
        return all(who in known or re.fullmatch(r"w-[\w-]{1,60}", who, re.ASCII) for who in whom)
    whom = [one.facts[name] for name in ("who", "other") if name in one.facts]
    return all(who in known or _needs_nobody(one.kind, who) for who in whom)


def _action(one: Entry, phone: FloorPhone, off: timedelta, now: datetime) -> FloorAction:
    try:
        ours = one.at + off
    except OverflowError:
        ours = now
    return FloorAction(
        id=one.id,
        clinic=phone.clinic,
        phone=phone,
        seq=one.seq,
        kind=one.kind,
        facts=json.dumps(one.facts, ensure_ascii=False, sort_keys=True),
        phone_at=one.at,
        at=min(max(ours, phone.opened_at - OLDEST), now),
        received_at=now,
    )
