"""What goes out, what drops itself, and what each mail carries."""

from datetime import timedelta

import pytest
from django.urls import reverse

from clinics.models import Clinic
from core import clock
from outbox.models import Note, NoteState
from outbox.services.sending import send_due
from scheduling.services.cancelling import cancel_clinic
from shifts.letters.shifts import SHIFT_ASK
from shifts.models import Reply
from shifts.services.cover import ask_volunteer, record_reply, release_volunteer
from shifts.services.reminders import plan_reminders


@pytest.fixture
def asked(make_shift, make_volunteer, now):
    shift = make_shift()
    return ask_volunteer(shift=shift, volunteer=make_volunteer("Imara Venn", email="imara@example.org"), now=now)


def fate() -> tuple[str, str]:
    note = Note.objects.latest("pk")
    return note.state, note.last_answer


def test_an_ask_says_where_when_who_and_carries_a_link_and_a_calendar_part(asked, mailoutbox):
    send_due()

    (mail,) = mailoutbox
    clinic = asked.shift.clinic
    for fact in (clinic.center.name, clinic.center.arrival, "09:30 to 11:30", "please arrive by 09:00", "16 children"):
        assert fact in mail.body
    assert "/r/" in mail.body and mail.to == ["Imara Venn <imara@example.org>"]
    kinds = [kind for _, kind in mail.alternatives]
    assert kinds == ["text/html", "text/calendar; method=REQUEST"]
    assert mail.extra_headers["Auto-Submitted"] == "auto-generated"


def test_the_link_in_the_mail_opens_the_question(asked, mailoutbox, stranger):
    send_due()
    path = next(word for word in mailoutbox[0].body.split() if "/r/" in word).split("testserver", 1)[1]

    assert "Can you coach" in stranger.get(path).content.decode()


@pytest.mark.parametrize("answer", [Reply.ACCEPTED, Reply.DECLINED])
def test_a_question_that_was_answered_meanwhile_drops_itself(asked, mailoutbox, now, answer):
    record_reply(assignment=asked, reply=answer, by="by telephone", now=now)

    send_due()

    assert not mailoutbox and Note.objects.get(kind=SHIFT_ASK).state == NoteState.DROPPED


def test_a_question_about_a_clinic_that_moved_drops_itself(asked, mailoutbox):
    Clinic.objects.update(revision=1)

    send_due()

    assert not mailoutbox and fate() == (NoteState.DROPPED, "The clinic was moved after this email was written.")


def test_a_note_about_a_clinic_that_is_over_drops_itself(asked, mailoutbox):
    send_due(now_fn=lambda: asked.shift.clinic.ends_at + timedelta(seconds=1))

    assert not mailoutbox and fate() == (NoteState.DROPPED, "The clinic is over.")


def test_a_cancelled_clinic_sends_a_calendar_cancellation_and_no_question(asked, mailoutbox, now):
    send_due()
    cancel_clinic(clinic=asked.shift.clinic, because="The heating failed", now=now)
    send_due()

    to_her = [mail for mail in mailoutbox if "imara" in mail.to[0]]
    assert [mail.subject.split(":")[0] for mail in to_her][-1] == "Cancelled"
    assert ("text/calendar; method=CANCEL") in [kind for _, kind in to_her[-1].alternatives]
    assert "The heating failed" in to_her[-1].body and "/r/" not in to_her[-1].body


def test_a_released_person_is_told_kindly_and_the_calendar_follows(asked, mailoutbox, now):
    release_volunteer(assignment=asked, because="somebody nearer can come", now=now)
    send_due()

    (mail,) = mailoutbox
    assert "You’re off the schedule" in mail.subject and "somebody nearer can come" in mail.body


def test_a_name_with_a_line_break_becomes_no_header(make_shift, make_volunteer, now, mailoutbox):
    odd = make_volunteer("Imara\r\nBcc: everybody@example.org", email="imara@example.org")
    ask_volunteer(shift=make_shift(), volunteer=odd, now=now)

    send_due()

    message = mailoutbox[0].message()
    assert message["Bcc"] is None and "everybody" in str(message["To"])


def test_a_name_with_markup_is_shown_as_typed(make_shift, make_volunteer, now, mailoutbox):
    odd = make_volunteer("<script>alert(1)</script>", email="odd@example.org")
    ask_volunteer(shift=make_shift(), volunteer=odd, now=now)

    send_due()

    html = mailoutbox[0].alternatives[0][0]
    assert "<script>" not in html and "&lt;script&gt;" in html


def test_a_reminder_can_be_stopped_with_one_press_and_a_get_stops_nothing(make_assignment, mailoutbox, stranger, now):
    row = make_assignment()
    plan_reminders(now=row.shift.clinic.starts_at - timedelta(days=7, hours=1))
    due = row.shift.clinic.starts_at - timedelta(days=6, hours=23)
    send_due(now_fn=lambda: due)
    headers = mailoutbox[0].extra_headers
    path = headers["List-Unsubscribe"].strip("<>").split("testserver", 1)[1]
    assert headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"

    assert stranger.get(path).status_code == 200
    row.volunteer.refresh_from_db()
    assert row.volunteer.reminders
    # As RFC 8058 section 3.1 has a mail program send it: no cookies, no redirect expected.
    pressed = type(stranger)(enforce_csrf_checks=True).post(path, {"List-Unsubscribe": "One-Click"})

    row.volunteer.refresh_from_db()
    assert pressed.status_code == 200 and not row.volunteer.reminders
    assert not Note.objects.filter(state=NoteState.WAITING).exists()


def test_a_long_unsubscribe_address_stays_readable_to_machines(make_assignment, mailoutbox):
    row = make_assignment()
    plan_reminders(now=row.shift.clinic.starts_at - timedelta(days=7, hours=1))
    send_due(now_fn=lambda: row.shift.clinic.starts_at - timedelta(days=6, hours=23))

    raw = mailoutbox[0].message().as_bytes()

    line = next(line for line in raw.replace(b"\n ", b" ").splitlines() if line.startswith(b"List-Unsubscribe:"))
    assert b"=?utf-8?" not in line and b"<http" in line


def test_forgotten_passwords_go_through_the_outbox_and_no_link_is_stored(admin, stranger, mailoutbox):
    for _ in range(3):
        stranger.post(reverse("password_reset"), {"email": admin.email})
    assert not mailoutbox

    send_due()

    note = Note.objects.get()
    assert len(mailoutbox) == 1 and "/password/new/" in mailoutbox[0].body
    assert "/password/new/" not in " ".join(str(value) for value in note.__dict__.values())


def test_the_page_for_a_forgotten_password_says_the_same_to_a_stranger(stranger, admin):
    known = stranger.post(reverse("password_reset"), {"email": admin.email}, follow=True)
    unknown = stranger.post(reverse("password_reset"), {"email": "nobody@example.org"}, follow=True)

    assert known.content == unknown.content
    assert Note.objects.count() == 1


def test_the_outbox_page_shows_each_fate_and_sends_again(asked, coordinator, signed_in):
    note = Note.objects.get()
    Note.objects.update(state=NoteState.STUCK, last_answer="550 5.1.1 No such mailbox here", tries=1)
    client = signed_in(coordinator)

    text = client.get(reverse("outbox")).content.decode()
    assert "No such mailbox here" in text and "1 needs your attention" in text
    client.post(reverse("note-try-again", args=[note.pk]))

    note.refresh_from_db()
    assert note.state == NoteState.WAITING and note.due_at <= clock.now()


def test_a_sent_note_is_not_sent_again_by_hand(asked, coordinator, signed_in):
    Note.objects.update(state=NoteState.SENT, sent_at=clock.now())

    signed_in(coordinator).post(reverse("note-try-again", args=[Note.objects.get().pk]))

    assert Note.objects.get().state == NoteState.SENT


@pytest.mark.parametrize("query", ["?state=nonsense", "?kind=x&page=999999", "?q=%00", "?q=" + "x" * 5000])
def test_odd_filters_of_the_outbox_show_a_page(query, coordinator, signed_in):
    assert signed_in(coordinator).get(reverse("outbox") + query).status_code == 200


def test_the_outbox_costs_the_same_however_many_notes(
    make_shift, make_volunteer, coordinator, signed_in, now, django_assert_max_num_queries, django_assert_num_queries
):
    client = signed_in(coordinator)

    def more(count):
        for _ in range(count):
            ask_volunteer(shift=make_shift(), volunteer=make_volunteer(), now=now)

    more(2)
    with django_assert_max_num_queries(12) as few:
        client.get(reverse("outbox"))
    more(12)
    with django_assert_num_queries(len(few)):
        client.get(reverse("outbox"))


def test_strangers_and_floor_leads_see_no_outbox(stranger, floor_lead, signed_in):
    assert stranger.get(reverse("outbox")).status_code == 302
    assert signed_in(floor_lead).get(reverse("outbox")).status_code == 403
