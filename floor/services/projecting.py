"""From the log of the floor to the books: sign-ins, scores, incidents, walk-ins, hours, and what the lead must settle.

The log is the truth. These rows are worked out anew from all of it under the lock of the clinic's day, so that whatever
order the phones' entries arrive in, the books end up the same.
"""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime

from django.db import transaction

from clinics.models import Clinic
from families.models import Child, Guardian, Guardianship, PickupPerson, Spot, SpotState
from families.rules.allergies import NEVER_ANSWERED, NONE_KNOWN
from families.rules.spots import age_at
from families.services.households import answer_photo
from floor.models import AdultHours, FloorAction, FloorDay, FloorPhone, Incident, PaperWaiver, Score, SignIn
from floor.queries.log import children_of_walk_ins
from floor.queries.twins import twin_pairs
from floor.rules.floor_log import Action, FloorState, Stay, fold
from floor.rules.incidents import HEAD, sort_of
from floor.rules.released import released_despite
from floor.services.door_waivers import sign_on_phone, write_door_waivers
from people.models import Volunteer

__all__ = ["project"]


@transaction.atomic
def project(clinic: Clinic, actions: Sequence[Action], now: datetime) -> FloorState:
    """Write what the actions amount to into the books. The caller holds the lock of the clinic's day."""
    state = fold(actions)
    made = _walk_ins(clinic, actions, state, now)
    _sign_ins(clinic, state, made)
    _scores(clinic, state, made)
    _incidents(clinic, state, made)
    _hours(clinic, state)
    write_door_waivers(clinic, actions, state, _children(state, made), now)
    FloorDay.objects.filter(clinic=clinic).update(
        closed_at=state.closed_at,
        conflicts=[asdict(conflict) for conflict in state.conflicts],
        slots={str(slot): at.isoformat() for slot, at in sorted(state.slots.items())},
        released=released_despite(actions),
        # Those said to be one are still two here until their records are merged, which comes after this.
        twins=sorted(sorted(pair.numbers) for pair in twin_pairs(clinic, state) if pair.said != "apart"),
    )
    day = FloorDay.objects.get(clinic=clinic)
    notes = "\n".join(str(row.facts["words"]) for row in state.notes)
    if day.notes != notes:
        day.notes = notes
        day.save(update_fields=["notes"])
    return state


def _number(who: str, made: dict[str, int]) -> tuple[int | None, int | None]:
    """Child and volunteer of a "who"; a walk-in is the child it became."""
    if who in made:
        return made[who], None
    if who[:1] in ("c", "v") and who[1:].isdecimal():
        return (int(who[1:]), None) if who[0] == "c" else (None, int(who[1:]))
    return None, None


def _children(state: FloorState, made: dict[str, int]) -> dict[str, Child]:
    """By the name in the log, each child for whom a guardian signed at the door."""
    numbers = {who: pk for who in state.waivers if (pk := _number(who, made)[0]) is not None}
    known = Child.objects.defer("allergies", "care_notes").in_bulk(numbers.values()) if numbers else {}
    return {who: known[pk] for who, pk in numbers.items() if pk in known}


def _sign_ins(clinic: Clinic, state: FloorState, made: dict[str, int]) -> None:
    wanted: dict[str, tuple[Stay, int | None, int | None]] = {}
    for who, stays in state.stays.items():
        child, volunteer = _number(who, made)
        if child is None and volunteer is None:
            continue
        for stay in stays:
            wanted[stay.in_by] = (stay, child, volunteer)
    others = []
    for row in SignIn.objects.filter(clinic=clinic):
        entry = wanted.get(str(row.in_action))
        if entry is not None and _same(row, entry):
            del wanted[str(row.in_action)]
        else:
            others.append(row.pk)
    # Taken away and written anew, since two stays may have to change at once to stay apart.
    if others:
        SignIn.objects.filter(pk__in=others).delete()
    SignIn.objects.bulk_create(
        SignIn(
            clinic=clinic,
            child_id=child,
            volunteer_id=volunteer,
            in_at=stay.in_at,
            out_at=stay.out_at,
            pickup=stay.pickup[:120],
            in_action=stay.in_by,
            out_action=stay.out_by or None,
        )
        for stay, child, volunteer in wanted.values()
    )


def _same(row: SignIn, entry: tuple[Stay, int | None, int | None]) -> bool:
    stay, child, volunteer = entry
    ours = (row.child_id, row.volunteer_id, row.in_at, row.out_at, row.pickup, str(row.out_action or ""))
    return ours == (child, volunteer, stay.in_at, stay.out_at, stay.pickup[:120], stay.out_by)


def _scores(clinic: Clinic, state: FloorState, made: dict[str, int]) -> None:
    ids = {row.id for row in state.scores}
    here = {str(pk) for pk in Score.objects.filter(clinic=clinic).values_list("action", flat=True)}
    if gone := here - ids:
        Score.objects.filter(clinic=clinic, action__in=gone).delete()
    rows = []
    for row in state.scores:
        if row.id in here:
            continue
        who = str(row.facts["who"])
        child, _ = _number(who, made)
        level = row.facts.get("level")
        rows.append(
            Score(
                clinic=clinic,
                action=row.id,
                at=row.at,
                child_id=child,
                group="" if child else who[:20],
                what=str(row.facts["what"])[:40],
                level=level if isinstance(level, int) and 0 <= level < 100 else None,
                made=row.facts["made"],
                tried=row.facts["tried"],
            )
        )
    Score.objects.bulk_create(rows)


def _incidents(clinic: Clinic, state: FloorState, made: dict[str, int]) -> None:
    """An incident once written stays in the books; one that was taken back is marked so and can still be read."""
    ids = {row.id: row for row in state.incidents}
    Incident.objects.filter(clinic=clinic, undone=False).exclude(action__in=ids).update(undone=True)
    Incident.objects.filter(clinic=clinic, undone=True, action__in=ids).update(undone=False)
    here = {str(pk) for pk in Incident.objects.filter(clinic=clinic).values_list("action", flat=True)}
    writers = FloorAction.objects.filter(pk__in=ids).values_list("pk", "phone__opened_by")
    names = {str(pk): name for pk, name in writers}
    for number, row in ids.items():
        if number in here:
            continue
        child, volunteer = _number(str(row.facts.get("who", "")), made)
        sort = sort_of(row.facts)
        Incident.objects.create(
            clinic=clinic,
            action=row.id,
            at=row.at,
            child_id=child,
            volunteer_id=volunteer,
            what=row.facts["what"],
            first_aid=row.facts["first_aid"],
            told=row.facts["told"],
            witness=row.facts["witness"],
            sort=sort,
            head=sort == HEAD,
            written_by=names.get(number, ""),
        )


def _hours(clinic: Clinic, state: FloorState) -> None:
    wanted = {int(who[1:]): minutes for who, minutes in state.minutes.items() if who[:1] == "v" and who[1:].isdecimal()}
    known = set(Volunteer.objects.filter(pk__in=wanted).values_list("pk", flat=True))
    AdultHours.objects.filter(clinic=clinic).exclude(volunteer__in=wanted).delete()
    for volunteer, minutes in wanted.items():
        if volunteer in known:
            AdultHours.objects.update_or_create(
                clinic=clinic, volunteer_id=volunteer, defaults={"minutes": min(minutes, 24 * 60)}
            )


def _walk_ins(clinic: Clinic, actions: Sequence[Action], state: FloorState, now: datetime) -> dict[str, int]:
    """Children who came without a spot: made once each, with a spot, a guardian and the signature on the phone."""
    before = children_of_walk_ins(clinic)
    # One that was taken back is nobody's coming any more, but the child is in the books and may have scored or fallen.
    made = {str(row.facts["who"]): before[row.id] for row in actions if row.id in before}
    for who, row in state.walk_ins.items():
        known = before.get(row.id)
        if known is None:
            action = FloorAction.objects.select_related("phone").get(pk=row.id)
            child = _make_child(clinic, row, action.phone, now)
            FloorAction.objects.filter(pk=row.id).update(child=child)
            known = child.pk
        made[who] = known
    return made


def _make_child(clinic: Clinic, row: Action, phone: FloorPhone, now: datetime) -> Child:
    facts, at = row.facts, row.at
    born = date.fromisoformat(str(facts["born"]))
    child = Child.objects.create(
        name=str(facts["name"]).strip()[:120] or "Walk-in without a name",
        birth_date=born,
        allergies=str(facts.get("allergies", ""))[:2000],
        allergies_answer=NONE_KNOWN if facts.get("no_allergies") is True else NEVER_ANSWERED,
        care_notes=str(facts.get("care_notes", ""))[:2000],
        registered_at=now,
    )
    guardian = Guardian.objects.create(
        name=str(facts["guardian"]).strip()[:120] or "Not given",
        phone=str(facts["phone"]).strip()[:40] or "not given",
        registered_at=now,
    )
    Guardianship.objects.create(
        guardian=guardian, child=child, emergency_name=guardian.name, emergency_phone=guardian.phone
    )
    for name in {str(facts.get("pickup", "")).strip()[:120]} - {""}:
        PickupPerson.objects.create(child=child, name=name, named_by=guardian, recorded_at=now)
    answer_photo(child=child, guardian=guardian, allowed=facts.get("photo") is True, now=now)
    sign_on_phone(clinic=clinic, child=child, guardian=guardian, row=row, phone=phone, signed_at=now)
    if facts.get("paper") is True:
        PaperWaiver.objects.get_or_create(action=row.id, defaults={"clinic": clinic, "child": child, "at": at})
    Spot.objects.create(
        clinic=clinic,
        child=child,
        guardian=guardian,
        state=SpotState.HELD,
        age=max(0, age_at(born, clinic.day)),
        asked_at=min(at, now),
    )
    return child
