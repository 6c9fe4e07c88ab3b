"""Every letter to guardians: in their language, true when it goes, and silent where others look."""

import uuid
from datetime import timedelta
from email.utils import getaddresses

import pytest
from icalendar import Calendar

from clinics.models import Clinic, Status
from families.letters.families import (
    FAMILY_ADDRESS_CONFIRM,
    FAMILY_CANCELLED,
    FAMILY_LINK,
    FAMILY_MOVED,
    SPOT_LOST,
    SPOT_OFFER,
    SPOTS,
    WAIVER_ASK,
)
from families.letters.family_requests import FAMILY_REQUEST
from families.models import Child, FamilyRequest, Guardian, Spot, Waiver
from families.services.family_page import (
    ask_guardian_address,
    ask_request,
    send_family_link,
    take_offer,
)
from families.services.registering import register
from families.services.spots import end_spot, pass_on_unanswered
from families.services.waiver_reminders import plan_waiver_reminders
from outbox.letters import Stale, build
from outbox.models import Note, NoteState
from outbox.services.sending import send_due
from scheduling.services.bookings import ClinicFacts
from scheduling.services.cancelling import cancel_clinic
from scheduling.services.changing import change_clinic
from shifts.letters.shifts import SHIFT_ASK
from shifts.services.cover import ask_volunteer
from tests.households import SECRET, confirmed, eight

pytestmark = pytest.mark.django_db

FAMILY_KINDS = (
    SPOTS,
    SPOT_OFFER,
    SPOT_LOST,
    FAMILY_LINK,
    FAMILY_MOVED,
    FAMILY_CANCELLED,
    WAIVER_ASK,
    FAMILY_REQUEST,
)
IN_SPANISH = {
    SPOTS: "Wrenna tiene un lugar",
    SPOT_OFFER: "Se liberó un lugar para Wrenna",
    SPOT_LOST: "Wrenna ya no tiene inscripción",
    FAMILY_LINK: "Este enlace es solo para usted",
    FAMILY_MOVED: "Estamos confirmando este horario",
    FAMILY_CANCELLED: "No habrá nadie",
    WAIVER_ASK: "Falta firmar la autorización de Wrenna",
    FAMILY_REQUEST: "Recibimos su solicitud",
    FAMILY_ADDRESS_CONFIRM: "usar este correo",
}
IN_ENGLISH = {
    SPOTS: "Wrenna has a spot",
    SPOT_OFFER: "A spot opened up for Wrenna",
    SPOT_LOST: "Wrenna is no longer registered",
    FAMILY_LINK: "This link is only for you",
    FAMILY_MOVED: "We’re confirming this time",
    FAMILY_CANCELLED: "No one will be there",
    WAIVER_ASK: "Wrenna still needs a signed waiver",
    FAMILY_REQUEST: "We have your request",
    FAMILY_ADDRESS_CONFIRM: "use this email address",
}


@pytest.fixture
def enter(make_clinic, household, now):
    """Wrenna's household at a clinic; her allergy is kept and must go nowhere."""

    def inner(clinic=None, language="en", **more):
        clinic = clinic or make_clinic()
        facts = household(
            ("Wrenna Thornapple", eight(clinic)),
            **({"guardian_name": "Perdita Ash", "email": "perdita@example.org", "language": language} | more),
        )
        spot = register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).spots[0]
        assert spot.guardian is not None
        confirmed(spot.guardian, now)
        Child.objects.filter(pk=spot.child_id).update(allergies="hazelnuts", allergies_answer="some", has_care=True)
        return spot

    return inner


def move(clinic, now, days=1):
    start = clinic.local_start + timedelta(days=days)
    facts = ClinicFacts(
        center=clinic.center,
        space=clinic.bookings.first().space,
        day=start.date(),
        starts=start.time(),
        ends=clinic.local_end.time(),
        bands=[(band.youngest, band.oldest, band.children) for band in clinic.bands.all()],
        theme=clinic.theme,
        ratio_table=clinic.ratio_table,
    )
    return change_clinic(clinic=clinic, facts=facts, now=now)


@pytest.fixture
def every_kind(enter, make_clinic, household, now):
    """A mail of each kind to Perdita, by kind, made at the moment at which it is true."""

    def inner(language):
        mails: dict[str, tuple] = {}

        def take(kind, at=now):
            for note in Note.objects.about(guardian).filter(kind=kind, state="waiting"):
                mails[kind] = (note, build(note, at))

        spot = enter(make_clinic(days=10), language)
        guardian = spot.guardian
        take(SPOTS)
        send_family_link(guardian=guardian, now=now)
        ask_request(guardian=guardian, what="copy", now=now)
        ask_guardian_address(guardian=guardian, email="perdita@example.org", now=now)
        take(FAMILY_LINK)
        take(FAMILY_REQUEST)
        take(FAMILY_ADDRESS_CONFIRM)
        Waiver.objects.filter(child=spot.child).delete()
        plan_waiver_reminders(now=now)
        asks = Note.objects.filter(kind=WAIVER_ASK).order_by("due_at")
        mails[WAIVER_ASK] = (asks[0], build(asks[0], asks[0].due_at))
        clinic = move(spot.clinic, now)
        take(FAMILY_MOVED)
        cancel_clinic(clinic=clinic, because="court order in the gym", now=now)
        take(FAMILY_CANCELLED)
        full = make_clinic(days=12, children=1)
        first = register(clinic=full, facts=household(), once=uuid.uuid4(), now=now).spots[0]
        again = enter(full, language, email="second@example.org")
        Spot.objects.filter(pk=again.pk).update(guardian=guardian)
        end_spot(spot=first, because="ill", now=now)
        take(SPOT_OFFER)
        again.refresh_from_db()
        pass_on_unanswered(now=again.answer_by + timedelta(minutes=1))
        take(SPOT_LOST, again.answer_by + timedelta(minutes=1))
        return mails

    return inner


@pytest.mark.parametrize(("language", "words"), [("en", IN_ENGLISH), ("es", IN_SPANISH)])
def test_every_kind_is_written_in_the_guardians_language(every_kind, language, words):
    mails = every_kind(language)

    assert set(mails) >= set(FAMILY_KINDS)
    for kind, sentence in words.items():
        _, mail = mails[kind]
        html = mail.alternatives[0][0]
        assert sentence in mail.body and sentence in html.replace("&#x27;", "'"), (kind, mail.body)
        assert f'lang="{language}"' in html
        # Nothing half translated, no gap left open.
        assert "%(" not in mail.body + mail.subject and "{{" not in mail.body + html and "\n\n\n" not in mail.body


@pytest.mark.parametrize("language", ["en", "es"])
def test_no_subject_header_address_or_summary_names_a_child_or_what_is_locked(every_kind, language):
    for kind, (note, mail) in every_kind(language).items():
        message = mail.message()
        open_to_all = [note.summary, note.key, *(str(value) for name, value in message.items() if name != "To")]
        open_to_all += [address for _, address in getaddresses([str(message["To"])])]
        open_to_all += [word for word in str(mail.body).split() if word.startswith("http")]
        open_to_all += [str(part[0]) for part in mail.alternatives if "calendar" in part[1]]
        for secret in SECRET:
            assert not any(secret in text for text in open_to_all), (kind, secret)
        whole = mail.body + mail.alternatives[0][0]
        for locked in ("hazelnuts", "court order", "Thornapple"):
            assert locked not in whole, (kind, locked)


def test_dates_read_right_in_spanish(enter, make_clinic, now):
    spot = enter(language="es")
    mail = build(Note.objects.get(kind=SPOTS), now)
    day = spot.clinic.day
    weekday = ["lunes", "martes", "miércoles", "jueves", "viernes", "sábado", "domingo"][day.weekday()]

    assert f"{weekday}, {day.day} de " in mail.subject and f"{weekday}, {day.day} de " in mail.body


def test_a_volunteers_mail_stays_english_after_a_spanish_one(enter, make_shift, make_volunteer, now):
    enter(language="es")
    ask_volunteer(shift=make_shift(), volunteer=make_volunteer(), now=now)
    build(Note.objects.get(kind=SPOTS), now)
    mail = build(Note.objects.get(kind=SHIFT_ASK), now)

    assert "Say yes or no here" in mail.body and 'lang="en"' in str(mail.alternatives[0][0])


def part(mail):
    (text,) = [body for body, kind in mail.alternatives if "calendar" in kind]
    calendar = Calendar.from_ical(text)
    return str(calendar["METHOD"]), calendar.walk("VEVENT")[0]


def test_the_calendar_entry_is_the_households_own_and_follows_the_clinic(enter, now):
    spot = enter()
    method, first = part(build(Note.objects.get(kind=SPOTS), now))
    clinic = move(spot.clinic, now)
    moved_method, moved = part(build(Note.objects.get(kind=FAMILY_MOVED), now))
    cancel_clinic(clinic=clinic, because="snow", now=now)
    last_method, last = part(build(Note.objects.get(kind=FAMILY_CANCELLED), now))

    assert (method, moved_method, last_method) == ("REQUEST", "REQUEST", "CANCEL")
    assert len({str(event["UID"]) for event in (first, moved, last)}) == 1
    assert first["SEQUENCE"] < moved["SEQUENCE"] < last["SEQUENCE"]
    assert [str(event["STATUS"]) for event in (first, moved, last)] == ["CONFIRMED", "TENTATIVE", "CANCELLED"]
    assert moved.decoded("DTSTART") == clinic.starts_at


def test_two_households_at_one_clinic_have_entries_of_their_own(enter, make_clinic, now):
    clinic = make_clinic()
    enter(clinic)
    enter(clinic, email="other@example.org")
    uids = {str(part(build(note, now))[1]["UID"]) for note in Note.objects.filter(kind=SPOTS)}

    assert len(uids) == 2


def test_who_only_waits_gets_no_calendar_entry(enter, make_clinic, household, now):
    clinic = make_clinic(children=1)
    register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now)
    enter(clinic)
    mail = build(Note.objects.get(kind=SPOTS, to_email="perdita@example.org"), now)

    assert "is number 1 on the waiting list" in mail.body and len(mail.alternatives) == 1


def test_a_yes_is_answered_with_the_entry_for_the_calendar(enter, make_clinic, household, now):
    clinic = make_clinic(children=1)
    first = register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now).spots[0]
    spot = enter(clinic)
    end_spot(spot=first, because="ill", now=now)
    spot.refresh_from_db()
    take_offer(spot=spot, now=now)
    offer = Note.objects.get(kind=SPOT_OFFER)
    method, _ = part(build(Note.objects.get(key__contains="yes to spot"), now))

    assert method == "REQUEST" and offer.state == NoteState.DROPPED


def test_each_letter_drops_itself_when_it_is_no_longer_true(enter, now):
    spot = enter()
    note = Note.objects.get(kind=SPOTS)
    move(spot.clinic, now)
    with pytest.raises(Stale, match="moved"):
        build(note, now)
    moved = Note.objects.get(kind=FAMILY_MOVED)
    spot.refresh_from_db()
    end_spot(spot=spot, because="ill", now=now)
    with pytest.raises(Stale, match="no longer registered"):
        build(moved, now)
    Guardian.objects.update(forgotten_at=now)
    moved.refresh_from_db()
    with pytest.raises(Stale, match="record was deleted"):
        build(Note.objects.get(pk=moved.pk), now)


def test_an_offer_drops_itself_once_its_time_is_over(enter, make_clinic, household, now):
    clinic = make_clinic(children=1)
    first = register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now).spots[0]
    spot = enter(clinic)
    end_spot(spot=first, because="ill", now=now)
    spot.refresh_from_db()
    note = Note.objects.get(kind=SPOT_OFFER)
    assert "Wrenna" in build(note, now).body
    with pytest.raises(Stale, match="passed"):
        build(note, spot.answer_by)


def test_a_request_that_has_gone_on_is_told_by_its_new_state(enter, now):
    spot = enter()
    row = ask_request(guardian=spot.guardian, what="erasure", now=now)
    note = Note.objects.get(kind=FAMILY_REQUEST)
    FamilyRequest.objects.filter(pk=row.pk).update(state="declined", reason="A court asks us to keep it.")
    with pytest.raises(Stale, match="status changed"):
        build(note, now)
    Note.objects.filter(pk=note.pk).update(facts={"request_state": "declined"})

    assert "A court asks us to keep it." in build(Note.objects.get(pk=note.pk), now).body


def test_more_spots_go_to_who_waits(enter, make_clinic, household, now):
    clinic = make_clinic(children=1)
    register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now)
    spot = enter(clinic)
    booking = clinic.bookings.first()
    facts = ClinicFacts(
        center=clinic.center,
        space=booking.space,
        day=clinic.day,
        starts=clinic.local_start.time(),
        ends=clinic.local_end.time(),
        bands=[(7, 10, 4)],
        theme=clinic.theme,
        ratio_table=clinic.ratio_table,
    )
    change_clinic(clinic=clinic, facts=facts, now=now)

    spot.refresh_from_db()
    assert spot.answer_by is not None and Note.objects.filter(kind=SPOT_OFFER).count() == 1
    assert Clinic.objects.get().status == Status.CONFIRMED


def test_only_reminders_to_sign_can_be_unsubscribed(every_kind):
    for kind, (_, mail) in every_kind("en").items():
        assert ("List-Unsubscribe" in mail.extra_headers) == (kind == WAIVER_ASK), kind


def test_they_go_out_through_the_outbox(enter, mailoutbox, now):
    enter(language="es")
    send_due()

    assert [mail.subject[:10] for mail in mailoutbox] == ["Su inscrip"]
    assert Note.objects.get().state == NoteState.SENT
