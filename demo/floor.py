"""The demo's floor: a clinic of today for the lead's phone, and days of the past weeks as phones wrote them down."""

from datetime import UTC, date, datetime, time, timedelta
from itertools import count
from typing import Any
from uuid import uuid4

from django.db import transaction

from clinics.models import Clinic, Space
from core.formats import clock_time
from core.refusal import Refusal
from demo.hours import LASTS, hours_of_today
from demo.spots import give_spots
from families.models import Child, Guardian, Spot, SpotState
from floor.services.mailing import mail_floor_link
from floor.services.phones import open_phone
from floor.services.syncing import receive
from kits.models import Kit
from outbox.models import Note, NoteState
from people.models import User, Volunteer
from people.rules.ages import age_on
from runsheets.forms.run_sheet_choices import first_choice
from runsheets.models import Activity
from runsheets.services.run_sheets import ask_run_sheet, find_run_sheet
from scheduling.models import Answer, Booking
from scheduling.services.bookings import ClinicFacts, answer_booking, book_clinic
from shifts.models import Assignment, Reply, Shift
from shifts.queries.candidates import candidates
from shifts.queries.link_pages import lead_of
from shifts.services.cover import ask_volunteer, record_reply

__all__ = ["hours_of_today", "load_floor", "open_today"]

LEAD = "Oswin Tarrant"
# Ages, spots, and how many children ask: one more than there is room for, so that somebody waits.
BANDS_TODAY = ((7, 8, 8, 9), (9, 12, 12, 9))
WEEK_AGO = -7
# days from today: (made, tried) of free throws and of the ladder's first step, whether the lead closed the day
SCORES = {-18: ((31, 92), (24, 70)), WEEK_AGO: ((58, 104), (33, 72)), -4: ((22, 61), (18, 49))}
LEFT_OPEN = -4


def load_floor(*, spaces: list[list[Space]], kits: dict[str, Kit], by: User, today: date, now: datetime) -> None:
    _last_week(spaces[0][0], kits["Bag 2"], today)
    for clinic in Clinic.objects.filter(ends_at__lt=now).select_related("center").order_by("starts_at"):
        _kept_day(clinic, (clinic.day - today).days)
    _floor_of(_today(spaces[0][0], kits["Crate 3"], now), by, now)


@transaction.atomic
def open_today(now: datetime) -> bool:
    """Book the demo's clinic of today when the demo is opened on a later day than its first.

    Returns False when there is one already, or when none can be booked.
    """
    space = Space.objects.select_related("center").order_by("pk").first()
    by = User.objects.filter(groups__name="coordinator").order_by("pk").first()
    if space is None or by is None:
        return False
    begins_at, ends_at = hours_of_today(now, space.center.tz)
    held = Booking.objects.live().filter(space=space)
    if held.filter(clinic__starts_at__lt=ends_at, clinic__ends_at__gt=begins_at - LASTS).exists():
        return False
    for kit in (*Kit.objects.order_by("-pk"), None):
        try:
            with transaction.atomic():
                clinic = _today(space, kit, now)
        except Refusal as refusal:
            # The kit is somewhere else on that day, or not fit to go: the next one, or none.
            if kit is None or "space taken" in refusal.codes:
                return False
            continue
        _floor_of(clinic, by, now)
        return True
    return False


def _floor_of(clinic: Clinic, by: User, now: datetime) -> None:
    choice = first_choice(clinic, list(Activity.objects.offered()))
    row = ask_run_sheet(clinic=clinic, choice=choice, by=by, now=min(now, clinic.starts_at) - timedelta(hours=3))
    find_run_sheet(pk=row.pk, seconds=1)
    # The worker's first letter: the lead's link, to be opened in the mail page of the demo.
    mail_floor_link(clinic=clinic, now=now)


def _today(space: Space, kit: Kit | None, now: datetime) -> Clinic:
    tz = space.center.tz
    begins, ends = (moment.astimezone(tz) for moment in hours_of_today(now, tz))
    bands = [(youngest, oldest, spots) for youngest, oldest, spots, _ in BANDS_TODAY]
    facts = ClinicFacts(
        center=space.center, space=space, day=begins.date(), starts=begins.time(), ends=ends.time(), bands=bands,
        theme="Paper bridges", kit=kit,
    )  # fmt: skip
    before = now - timedelta(days=9)
    clinic = _booked(facts, before)
    children = list(Child.objects.known().order_by("pk"))
    come = []
    for youngest, oldest, _, asking in BANDS_TODAY:
        fit = [one for one in children if youngest <= age_on(one.birth_date, clinic.day) <= oldest]
        come += fit[:asking]
    give_spots(clinic=clinic, children=come, now=before + timedelta(days=4))
    Note.objects.about(clinic).about_some(Guardian).update(
        state=NoteState.SENT, sent_at=before + timedelta(days=4), tries=1
    )
    return clinic


def _last_week(space: Space, kit: Kit, today: date) -> Clinic:
    facts = ClinicFacts(
        center=space.center, space=space, day=today + timedelta(days=WEEK_AGO), starts=time(9, 30), ends=time(11, 30),
        bands=[(7, 10, 20)], theme="Paper bridges", kit=kit,
    )  # fmt: skip
    at = datetime.combine(today, time(19, 40), space.center.tz).astimezone(UTC) + timedelta(days=WEEK_AGO - 14)
    clinic = _booked(facts, at)
    children = [one for one in Child.objects.known().order_by("pk") if 7 <= age_on(one.birth_date, clinic.day) <= 10]
    Spot.objects.bulk_create(
        Spot(
            clinic=clinic, child=child, guardian=child.guardianships.all()[0].guardian, state=SpotState.HELD,
            age=age_on(child.birth_date, clinic.day), asked_at=at + timedelta(days=5),
        )
        for child in children[:14]
    )  # fmt: skip
    return clinic


def _booked(facts: ClinicFacts, at: datetime) -> Clinic:
    """Booked, agreed, and every shift accepted; the lead is the one whose account the demo has."""
    clinic = book_clinic(facts=facts, now=at)
    booking = Booking.objects.get(clinic=clinic)
    Note.objects.about(booking).update(state=NoteState.SENT, sent_at=at, tries=1)
    answer_booking(booking=booking, answer=Answer.AGREED, now=at + timedelta(days=1))
    for shift in Shift.objects.filter(clinic=clinic).select_related("clinic__center"):
        able = [one.volunteer for one in candidates(shift, facts.day) if one.can]
        able.sort(key=lambda one: shift.duty_id != "lead" or one.name != LEAD)
        # Nobody but the lead is asked twice; he is also a first aider, and can't be both.
        person = next((one for one in able if shift.duty_id == "lead" or one.name != LEAD), None)
        if person is not None:
            row = ask_volunteer(shift=shift, volunteer=person, now=at + timedelta(days=1))
            record_reply(
                assignment=row, reply=Reply.ACCEPTED, by=f"{person}, by link", now=at + timedelta(days=1, hours=20)
            )
    clinic.refresh_from_db()
    return clinic


def _kept_day(clinic: Clinic, days: int) -> None:
    """What the lead's phone sent on that day; the newest was never closed, one child is still in, two phones differ."""
    lead = lead_of(clinic)
    if lead is None or days not in SCORES:
        return
    phone, tablet = (
        open_phone(
            clinic=clinic, volunteer=Volunteer.objects.get(pk=lead.volunteer_id), came_from=came_from,
            now=clinic.starts_at - timedelta(hours=1),
        )[0]
        for came_from in ("192.0.2.30", "192.0.2.31")
    )  # fmt: skip
    said, after = _Entries(clinic), clinic.ends_at + timedelta(hours=1)
    minutes = int((clinic.ends_at - clinic.starts_at).total_seconds() // 60)
    adults = list(Assignment.objects.accepted().filter(shift__clinic=clinic).order_by("pk"))
    spots = Spot.objects.held().filter(clinic=clinic).select_related("child").order_by("pk")
    came = list(spots.prefetch_related("child__guardianships__guardian"))[:-2]
    for number, row in enumerate(adults):
        said.add(-28 + number, "in", who=f"v{row.volunteer_id}")
    for number, spot in enumerate(came):
        said.add(-12 + number, "in", who=f"c{spot.child_id}")
    throws, steps = SCORES[days]
    for minute, what, (made, tried), more in (
        (45, "free throws", throws, {}), (70, "step-back ladder", steps, {"level": 1, "form": "held"}),
    ):  # fmt: skip
        said.add(minute, "score", who="everybody", what=what, made=made, tried=tried, **more)
    if days == WEEK_AGO:
        said.add(
            52, "incident", who=f"c{came[3].child_id}", what="Two of them ran for one ball and bumped foreheads.",
            first_aid="Sat down, cold pack for ten minutes", sort="head", head=True, witness=str(adults[1].volunteer),
            told=f"by {lead.volunteer} at {clock_time(clinic.local_start + timedelta(minutes=58))}",
        )  # fmt: skip
    for number, spot in enumerate(came[1:] if days == LEFT_OPEN else came):
        pickup = spot.child.guardianships.all()[0].guardian.name
        said.add(minutes - 5 + number, "out", who=f"c{spot.child_id}", pickup=pickup)
    if days != LEFT_OPEN:
        for row in adults:
            said.add(minutes + 25, "out", who=f"v{row.volunteer_id}", pickup="")
            said.add(minutes + 26, "hours", who=f"v{row.volunteer_id}", minutes=minutes + 55)
        said.add(minutes + 27, "note", words="The left door sticks: come in by the pool. Chalk ran out at the arc.")
        said.add(minutes + 28, "close")
    receive(phone=phone, phone_now=after, actions=said.rows, now=after)
    if days == LEFT_OPEN:
        other = _Entries(clinic)
        other.add(minutes + 1, "out", who=f"c{came[2].child_id}", pickup="Grandmother, name not asked")
        receive(phone=tablet, phone_now=after, actions=other.rows, now=after)


class _Entries:
    """Entries as a phone numbers them, at minutes from the clinic's start."""

    def __init__(self, clinic: Clinic) -> None:
        self.start, self.rows, self.numbers = clinic.starts_at, list[dict[str, Any]](), count(1)

    def add(self, minute: int, kind: str, **facts: object) -> None:
        at = self.start + timedelta(minutes=minute)
        self.rows.append(
            {"id": str(uuid4()), "seq": next(self.numbers), "at": at.isoformat(), "kind": kind, "facts": facts}
        )
