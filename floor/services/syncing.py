"""What a phone sends, kept once and as it was said, whatever its clock and however often it comes."""

import json
import logging
import re
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.db import DatabaseError, transaction
from django.utils.dateparse import parse_datetime

from clinics.models import Clinic
from core.refusal import Refusal
from families.models import Spot
from floor.models import FloorAction, FloorDay, FloorPhone, MergedNumber
from floor.queries.log import floor_state, read_actions
from floor.rules.entries import Trouble, check_action
from floor.rules.floor_log import FloorState
from floor.services.projecting import project
from floor.services.twins import join_twins
from floor.words import entry_trouble
from shifts.models import Assignment

__all__ = ["MOST_ACTIONS", "Received", "receive"]

logger = logging.getLogger(__name__)
MOST_ACTIONS = 500
# An action can't have happened before its page was opened, but a phone may be opened a day ahead.
OLDEST = timedelta(days=2)


@dataclass
class Received:
    """``state``: the floor after everything that was kept."""

    kept: list[str] = field(default_factory=list)
    refused: list[tuple[str, str]] = field(default_factory=list)
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

    Each time that the phone's clock gave is moved by ``now`` less ``phone_now``. An action that is here already is kept
    again without effect. An action that can't be meant is refused with a sentence, and the others stay.
    Raises Refusal when there are more than MOST_ACTIONS.
    """
    if len(actions) > MOST_ACTIONS:
        raise Refusal.because("too many", f"Send at most {MOST_ACTIONS} entries at once.")
    clinic = phone.clinic
    lock_day(clinic)
    out = Received()
    known = _known(clinic)
    # A walk-in of this very sending may be signed out in it.
    known |= {_text(one, "who") for one in actions if isinstance(one, Mapping) and one.get("kind") == "walk-in"}
    rows: list[FloorAction] = []
    for one in actions:
        row, why = _read(one, phone, now - phone_now, now, known)
        if row is None:
            out.refused.append((str(one.get("id", ""))[:60] if isinstance(one, Mapping) else "", why))
        else:
            rows.append(row)
    FloorPhone.objects.filter(pk=phone.pk).update(heard_at=now, came_from=came_from or phone.came_from)
    FloorAction.objects.bulk_create(rows, ignore_conflicts=True)
    ids = [row.pk for row in rows]
    here = set(FloorAction.objects.filter(pk__in=ids, phone=phone).values_list("pk", flat=True))
    # An entry that came through an earlier link of this phone, whose answer got lost, is here under that link.
    missing = [number for number in ids if number not in here]
    before = {row.pk: row for row in FloorAction.objects.filter(pk__in=missing, clinic=clinic)} if missing else {}
    for row in rows:
        if row.pk in here or (row.pk in before and _same(before[row.pk], row)):
            out.kept.append(str(row.pk))
        else:
            out.refused.append((str(row.pk), f"Entry number {row.seq} of this phone is another one already."))
    out.state = project(clinic, read_actions(clinic), now) if rows else floor_state(clinic)
    return out


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


def _same(here: FloorAction, sent: FloorAction) -> bool:
    return (here.kind, here.facts, here.phone_at) == (sent.kind, sent.facts, sent.phone_at)


def _writable(value: Any) -> Any:
    """Half an emoji and a zero byte can't be written down: an entry must not be lost, nor stop others, for one."""
    if not isinstance(value, str):
        return value
    return value.encode("utf-16", "surrogatepass").decode("utf-16", "replace").replace("\0", "")


def _text(one: Mapping[str, Any], name: str) -> str:
    facts = one.get("facts")
    return str(facts.get(name, "")) if isinstance(facts, Mapping) else ""


def _needs_nobody(kind: str, who: str) -> bool:
    """A score may be a whole group's, by its short name; an incident may concern nobody of the list."""
    group = 0 < len(who) <= 20 and not re.fullmatch(r"[cv]\d+|w-.*", who)
    return (kind == "score" and group) or (kind == "incident" and not who)


def _read(
    one: Any, phone: FloorPhone, off: timedelta, now: datetime, known: set[str]
) -> tuple[FloorAction | None, str]:
    if not isinstance(one, Mapping):
        return None, entry_trouble(Trouble("not an entry"))
    try:
        number = uuid.UUID(str(one.get("id")))
        at = parse_datetime(str(one.get("at")))
    except ValueError:
        return None, entry_trouble(Trouble("unreadable"))
    seq, kind, facts = one.get("seq"), str(one.get("kind")), one.get("facts")
    if at is None or at.tzinfo is None or not isinstance(seq, int) or isinstance(seq, bool) or not 0 < seq < 10**9:
        return None, entry_trouble(Trouble("unreadable"))
    if not isinstance(facts, Mapping):
        return None, entry_trouble(Trouble("empty"))
    facts = {str(name): _writable(value) for name, value in facts.items()}
    trouble = check_action(kind, facts)
    if trouble is not None:
        return None, entry_trouble(trouble)
    if not isinstance(facts.get("who", ""), str):
        return None, entry_trouble(Trouble("not expected"))
    if "who" in facts and facts["who"] not in known and not _needs_nobody(kind, str(facts["who"])):
        return None, entry_trouble(Trouble("not expected"))
    try:
        ours = at + off
    except OverflowError:
        ours = now
    return (
        FloorAction(
            id=number,
            clinic=phone.clinic,
            phone=phone,
            seq=seq,
            kind=kind,
            facts=json.dumps(facts, ensure_ascii=False, sort_keys=True),
            phone_at=at,
            at=min(max(ours, phone.opened_at - OLDEST), now),
            received_at=now,
        ),
        "",
    )
