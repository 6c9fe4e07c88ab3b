"""The demo's world: Lantern Court in Larkmoor County. Everybody and every place here is invented."""

from datetime import UTC, date, datetime, time, timedelta

from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import Group
from django.db import transaction
from django.db.models import F

from clinics.models import Center, Clinic, Space
from core import clock
from core.references import reference
from demo.centers import centers_in_depth
from demo.families import load_families
from demo.floor import load_floor
from demo.kits import looked_after, make_kits
from demo.sheets import load_sheets
from kits.models import Kit
from outbox.models import Note, NoteState
from people.models import Application, Clearance, ClearanceKind, User, Volunteer
from people.services.policy import ensure_starter_policy
from people.services.roles import ensure_roles
from scheduling.models import Answer, Booking
from scheduling.services.bookings import ClinicFacts, answer_booking, book_clinic
from shifts.models import Assignment, Reply, Shift
from shifts.queries.candidates import candidates
from shifts.services.cover import ask_volunteer, record_reply

__all__ = ["PASSWORD", "is_demo", "load_demo"]

PASSWORD = "lantern-court-demo"
ZONE = "America/New_York"

ACCOUNTS = (
    ("admin", "admin@example.org", "Wilhelmina Ashdown"),
    ("coordinator", "coordinator@example.org", "Perpetua Lang"),
    ("floor lead", "floor@example.org", "Oswin Tarrant"),
)

# name, address, arrival, latitude, longitude, contact, mail, telephone, spaces (name, hoops, lowest, highest, capacity)
CENTERS = (
    ("Alderwick Street Recreation Center", "40 Alderwick Street, Larkmoor", "Front door; park behind the pool.",
     41.512, -77.531, "Maude Ferriby", "alderwick@example.org", "555-0111",
     (("Main floor", 6, 8, 10, 120), ("Small floor", 2, 7, 9, 45))),
    ("Quarry Lane Library", "3 Quarry Lane, Larkmoor", "Ring the bell at the staff door on the lane.",
     41.548, -77.492, "Ambrose Tully", "quarrylane@example.org", "555-0112",
     (("Reading yard", 2, 8, 9, 40),)),
    ("Three Weirs Middle School", "118 Weir Road, Three Weirs",
     "Gym entrance by the bike racks. Sign the visitor log.",
     41.463, -77.604, "Dorothea Pym", "threeweirs@example.org", "555-0113",
     (("Gym A", 6, 9, 10, 150), ("Gym B", 4, 8, 10, 80))),
    ("Saint Orla's Hall", "9 Fenner Row, Larkmoor", "Side door on Fenner Row.",
     41.497, -77.558, "Cuthbert Vane", "saintorla@example.org", "555-0114",
     (("Main hall", 4, 8, 10, 70),)),
    ("Harrow Bend Community House", "27 River Street, Harrow Bend", "Get the key from the custodian (second bell).",
     41.431, -77.447, "Hesper Coyle", "harrowbend@example.org", "555-0115",
     (("Long room", 4, 8, 9, 60),)),
)  # fmt: skip

# name, duties, home area, latitude, longitude
PEOPLE = (
    ("Oswin Tarrant", "lead first_aider", "Fenner Row", 41.499, -77.552),
    ("Imara Venn", "coach", "Mill Green", 41.520, -77.600),
    ("Tobiah Quill", "coach stem_lead", "Three Weirs", 41.460, -77.610),
    ("Sunniva Rook", "door", "Harrow Bend", 41.435, -77.450),
    ("Leopold Marsh", "lead coach", "Quarry Lane", 41.546, -77.495),
    ("Philippa Dane", "lead", "Three Weirs", 41.470, -77.599),
    ("Anselm Okoro", "coach first_aider", "Alderwick", 41.515, -77.529),
    ("Beatrix Holloway", "first_aider door", "Larkmoor", 41.505, -77.540),
    ("Caspian Reed", "coach", "Larkmoor", 41.507, -77.545),
    ("Delphine Achebe", "coach stem_lead", "Quarry Lane", 41.550, -77.489),
    ("Emeric Stone", "coach", "Harrow Bend", 41.429, -77.452),
    ("Fenella Brook", "door", "Larkmoor", 41.501, -77.536),
    ("Gideon Lyle", "coach", "Mill Green", 41.523, -77.603),
    ("Henrike Sol", "stem_lead", "Alderwick", 41.511, -77.526),
    ("Isidore Pell", "coach", "Three Weirs", 41.466, -77.607),
    ("Jessamy Tran", "coach lead", "Larkmoor", 41.502, -77.548),
    ("Kester Moon", "door first_aider", "Three Weirs", 41.468, -77.596),
    ("Lucasta Byrne", "coach", "Alderwick", 41.514, -77.538),
    ("Merrick Osei", "coach", "Quarry Lane", 41.544, -77.498),
    ("Nerys Vale", "coach door", "Fenner Row", 41.496, -77.561),
    ("Orson Hale", "stem_lead coach", "Harrow Bend", 41.433, -77.443),
    ("Petra Lindqvist", "first_aider", "Larkmoor", 41.509, -77.533),
    ("Quillon Shaw", "coach", "Mill Green", 41.518, -77.597),
    ("Rosalind Njoroge", "coach", "Larkmoor", 41.500, -77.543),
)

# days from today, center, space, start, end, bands, STEM part, kit, who: A accepted, a asked, d declined, . open
ClinicRow = tuple[int, int, int, str, str, tuple[tuple[int, int, int], ...], str, str, str]
CLINICS: tuple[ClinicRow, ...] = (
    (-18, 0, 0, "09:30", "11:30", ((7, 10, 24),), "Paper bridges", "Bag 1", "AAAAAAA"),
    (-4, 3, 0, "09:30", "11:30", ((7, 10, 20),), "Shot-arc geometry", "Bag 1", "AAAAAA"),
    (1, 1, 0, "16:00", "17:30", ((9, 12, 16),), "Pulse-rate data", "Bag 2", "AAAAA"),
    (3, 3, 0, "09:30", "11:30", ((7, 10, 24),), "Shot-arc geometry", "Bag 1", "AAAAAA"),
    (3, 0, 0, "14:00", "16:00", ((9, 13, 30),), "Simple circuits", "Crate 3", "AAAAAA"),
    (6, 2, 1, "16:30", "18:00", ((11, 14, 22),), "", "Bag 2", "Aaad."),
    (10, 4, 0, "10:00", "12:00", ((7, 9, 16),), "Paper bridges", "Bag 1", "Aa..."),
    (13, 0, 1, "16:30", "18:00", ((6, 8, 16),), "", "Crate 3", "Aa.A"),
    (17, 3, 0, "09:30", "11:30", ((7, 10, 24),), "Pulse-rate data", "Bag 1", "AA..Aa"),
    (20, 1, 0, "16:00", "17:30", ((9, 12, 16),), "Shot-arc geometry", "Bag 2", "A...."),
    (24, 2, 0, "10:00", "12:30", ((8, 10, 24), (11, 13, 18)), "Simple circuits", "Crate 3", "Aa"),
    (31, 0, 0, "09:30", "11:30", ((7, 10, 30),), "Paper bridges", "Bag 1", ""),
)


@transaction.atomic
def load_demo(now: datetime | None = None) -> bool:
    """Fill an empty database with the demo's world; returns False and changes nothing when it holds people."""
    if User.objects.exists() or Volunteer.objects.exists():
        return False
    now = now or clock.now()
    today = clock.today()
    ensure_roles()
    ensure_starter_policy()
    by = _accounts()
    spaces = _centers()
    _volunteers(today)
    _not_current(today)
    kits = make_kits(today)
    for row in CLINICS:
        _clinic(row, spaces, kits, today)
    _expire_before_clinics()
    _kits_somewhere(kits, spaces)
    looked_after(kits, by, now, today)
    centers_in_depth(by=by, now=now, today=today)
    _somebody_would_like_to_help(now)
    load_families(by=by, today=today, now=now)
    load_sheets(by=by, now=now)
    load_floor(spaces=spaces, kits=kits, by=by, today=today, now=now)
    # What was answered went out in its time; what still waits for an answer is the worker's first work.
    coming = Assignment.objects.filter(reply=Reply.NEEDS_ACTION, shift__clinic__starts_at__gt=now)
    asked = Booking.objects.filter(answer=Answer.NONE, status="tentative", clinic__starts_at__gt=now)
    unanswered = [reference(Assignment, pk) for pk in coming.values_list("pk", flat=True)]
    unanswered += [reference(Booking, pk) for pk in asked.values_list("pk", flat=True)]
    Note.objects.filter(about__overlap=unanswered).update(state=NoteState.WAITING, due_at=now, sent_at=None, tries=0)
    Note.objects.filter(state=NoteState.WAITING, due_at__lt=now).update(
        state=NoteState.SENT, sent_at=F("due_at"), tries=1
    )
    return True


def is_demo() -> bool:
    """Whether this database holds Lantern Court and nobody's real work."""
    invented = {email for _, email, _ in ACCOUNTS}
    return not settings.PRODUCTION and set(User.objects.values_list("email", flat=True)) >= invented


def _accounts() -> User:
    made = {}
    # One password for all, so it is hashed once: that is slow on purpose.
    hashed = make_password(PASSWORD)
    for role, email, name in ACCOUNTS:
        made[role] = User.objects.create(email=email, password=hashed, name=name)
        made[role].groups.add(Group.objects.get(name=role))
    return made["coordinator"]


def _centers() -> list[list[Space]]:
    out = []
    for name, address, arrival, latitude, longitude, contact, email, phone, its_spaces in CENTERS:
        center = Center.objects.create(
            name=name, address=address, arrival=arrival, latitude=latitude, longitude=longitude, time_zone=ZONE,
            contact_name=contact, contact_email=email, contact_phone=phone,
            defibrillator="Wall beside the front desk", first_aid_kit="Kitchen, red cabinet",
            hospital="Larkmoor General, 1 Hill Road, 555-0190", assembly_point="Parking lot, by the oak tree",
            # One center has not shown its plan yet, so that there is something to fill in.
            plan_seen_on=None if name.startswith("Harrow") else date(2026, 9, 1),
        )  # fmt: skip
        spaces = [
            Space(
                center=center, name=space_name, hoops=hoops, lowest_rim_ft=low, highest_rim_ft=high, capacity=capacity,
                sockets=4,
            )
            for space_name, hoops, low, high, capacity in its_spaces
        ]  # fmt: skip
        out.append(Space.objects.bulk_create(spaces))
    return out


def _volunteers(today: date) -> None:
    kinds = {kind.code: kind for kind in ClearanceKind.objects.all()}
    # Whoever has an account is found by its address, so that the lead's opens the floor page.
    own = {name: email for _, email, name in ACCOUNTS}
    for number, (name, duties, area, latitude, longitude) in enumerate(PEOPLE):
        volunteer = Volunteer.objects.create(
            name=name, email=own.get(name, f"{name.split()[0].lower()}@example.org"), phone=f"555-01{20 + number}",
            duties=duties.split(), home_area=area, latitude=latitude, longitude=longitude,
        )  # fmt: skip
        wanted = ["screening", "conduct"]
        wanted += ["first_aid"] if "first_aider" in duties else []
        wanted += ["concussion"] if "coach" in duties or "lead" in duties.split() else []
        for place, code in enumerate(wanted):
            # Spread over the months so that the horizon has something to show for everybody.
            age = 40 + (number * 37 + place * 61) % (260 if code == "conduct" else 500)
            Clearance.objects.create(
                volunteer=volunteer, kind=kinds[code], issued_on=today - timedelta(days=age),
                reference=f"{code[:2].upper()}-{1000 + number * 7 + place}", issuer="Larkmoor County Registry",
            )  # fmt: skip


def _clinic(row: ClinicRow, spaces: list[list[Space]], kits: dict[str, Kit], today: date) -> None:
    days, center_no, space_no, starts, ends, bands, theme, kit, who = row
    space = spaces[center_no][space_no]
    # Each clinic was booked, answered and covered in the days before, as it would have been.
    evening = datetime.combine(today, time(19, 40), clock.home_zone()).astimezone(UTC)
    booked_at = evening + timedelta(days=min(days, 0) - (8 if days > 0 else 14))
    facts = ClinicFacts(
        center=space.center, space=space, day=today + timedelta(days=days), starts=time.fromisoformat(starts),
        ends=time.fromisoformat(ends), bands=list(bands), theme=theme, kit=kits[kit],
    )  # fmt: skip
    clinic = book_clinic(facts=facts, now=booked_at)
    booking = Booking.objects.get(clinic=clinic)
    Note.objects.about(booking).update(state=NoteState.SENT, sent_at=booked_at, tries=1)
    if center_no != 4:
        answer_booking(booking=booking, answer=Answer.AGREED, now=booked_at + timedelta(days=1))
    _cover(clinic, who, booked_at + timedelta(days=2), today)


def _cover(clinic: Clinic, who: str, at: datetime, today: date) -> None:
    for letter, shift in zip(who, Shift.objects.filter(clinic=clinic).select_related("clinic__center"), strict=False):
        if letter == ".":
            continue
        best = next((c.volunteer for c in candidates(shift, today) if c.can), None)
        if best is None:
            continue
        row = ask_volunteer(shift=shift, volunteer=best, now=at)
        if letter in "Ad":
            reply = Reply.ACCEPTED if letter == "A" else Reply.DECLINED
            record_reply(assignment=row, reply=reply, by=f"{best}, by link", now=at + timedelta(hours=20))


def _not_current(today: date) -> None:
    """One expired, one missing, one awaited and one expiring, none of whom is asked for anything yet."""
    people = {volunteer.name: volunteer for volunteer in Volunteer.objects.all()}
    _last_day(people["Sunniva Rook"], "conduct", today - timedelta(days=44))
    _last_day(people["Caspian Reed"], "conduct", today + timedelta(days=23))
    Clearance.objects.filter(volunteer=people["Quillon Shaw"], kind__code="screening").delete()
    Clearance.objects.filter(volunteer=people["Merrick Osei"], kind__code="screening").update(
        state="awaiting", issued_on=None
    )


def _expire_before_clinics() -> None:
    """Two people who have accepted, and whose clearance expires before the day they come."""
    soon = (
        Assignment.objects.accepted()
        .filter(shift__clinic__starts_at__gt=clock.now(), shift__duty__code="first_aider")
        .order_by("shift__clinic__starts_at")
    )
    first_aider = soon.filter(shift__clinic__starts_at__gt=clock.now() + timedelta(days=2)).first() or soon.first()
    if first_aider is not None:
        day = first_aider.shift.clinic.day
        _last_day(first_aider.volunteer, "first_aid", day - timedelta(days=1))
    later = (
        Assignment.objects.accepted().filter(shift__duty__code="coach").order_by("-shift__clinic__starts_at").first()
    )
    if later is not None and later.shift.clinic.day > clock.today() + timedelta(days=5):
        _last_day(later.volunteer, "conduct", later.shift.clinic.day - timedelta(days=4))


def _last_day(volunteer: Volunteer, code: str, day: date) -> None:
    issued_on = day.replace(year=day.year - 1) if (day.month, day.day) != (2, 29) else day - timedelta(days=365)
    Clearance.objects.filter(volunteer=volunteer, kind__code=code).update(issued_on=issued_on, expires_on=day)


def _somebody_would_like_to_help(now: datetime) -> None:
    Application.objects.create(
        name="Thaddeus Plumb", email="thaddeus@example.org", phone="555-0150", duties=["coach"],
        languages="English, Spanish", home_area="Quarry Lane", first_reference="Maude Ferriby, 555-0111",
        second_reference="Ambrose Tully, 555-0112", words="I coached two seasons at my old school.",
        state=Application.State.NEW, sent_at=now - timedelta(days=1),
    )  # fmt: skip


def _kits_somewhere(kits: dict[str, Kit], spaces: list[list[Space]]) -> None:
    at = {"Bag 1": 3, "Bag 2": 4, "Crate 3": 0}
    for name, number in at.items():
        kits[name].now_at = spaces[number][0].center
        kits[name].moved_at = clock.now() - timedelta(days=3)
        kits[name].save()
