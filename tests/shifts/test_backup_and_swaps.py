"""Standing by, late drop-outs, and handing a shift on: by link, checked like any other shift, told to who must know."""

from datetime import timedelta

import pytest
from django.urls import reverse

from clinics.models import Clinic
from core import clock, links
from outbox.models import Note
from outbox.services.sending import send_due
from people.models import Clearance, Volunteer
from shifts.letters.backup_swaps import LATE_DROP
from shifts.letters.shifts import SHIFT_RELEASED
from shifts.models import AskingRules, Assignment, Backup, BackupCall, Reply, Swap
from shifts.services.backup import answer_call, make_backup
from shifts.services.cover import record_reply


@pytest.fixture
def tonight(make_assignment, make_shift, make_clinic, make_volunteer, move_clock):
    """A clinic in twenty hours, its one coach Cora, and two who are backups."""
    row = make_assignment(make_shift(make_clinic(days=2)), make_volunteer("Cora Bell"))
    move_clock(row.shift.clinic.starts_at - timedelta(hours=20))
    return row, make_volunteer("Ned Ash"), make_volunteer("Una Fell")


@pytest.fixture
def soon(tonight):
    row, *_ = tonight
    return row.shift.clinic.starts_at - timedelta(hours=5)


def back_up(row, *people):
    for person in people:
        make_backup(shift=row.shift, volunteer=person, now=clock.now())


def link(purpose, route, row, expires=None):
    token = links.make(
        purpose, subject=row.pk, counter=row.link_counter, expires_at=expires or clock.now() + timedelta(days=2)
    )
    return reverse(route, args=[token])


def test_the_office_makes_somebody_a_backup_and_they_step_back_by_link(
    tonight, coordinator, signed_in, stranger, mailoutbox
):
    row, ned, _ = tonight
    client = signed_in(coordinator)
    who = client.get(reverse("shift-who", args=[row.shift_id])).content.decode()
    assert "Make Ned a backup" in who
    client.post(reverse("shift-backup", args=[row.shift_id]), {"volunteer": ned.pk})
    assert "Ned Ash" in client.get(reverse("clinic", args=[row.shift.clinic_id])).content.decode()
    send_due()
    path = next(word for word in mailoutbox[0].body.split() if "/b/" in word).split("testserver", 1)[1]

    assert "You’re a backup" in stranger.get(path).content.decode()
    assert Backup.objects.count() == 1
    stranger.post(path)

    assert not Backup.objects.exists() and stranger.get(path).status_code == 410


def test_nobody_who_cannot_stand_is_made_a_backup(tonight, coordinator, signed_in):
    row, ned, _ = tonight
    Clearance.objects.filter(volunteer=ned, kind__code="conduct").delete()

    page = signed_in(coordinator).post(reverse("shift-backup", args=[row.shift_id]), {"volunteer": ned.pk}, follow=True)

    assert "isn’t cleared" in page.content.decode() and not Backup.objects.exists()


def test_a_late_drop_out_alerts_the_office_and_calls_all_at_once(
    tonight, soon, coordinator, admin, floor_lead, stranger, mailoutbox
):
    row, ned, una = tonight
    back_up(row, ned, una)
    Note.objects.all().delete()

    record_reply(assignment=row, reply=Reply.DECLINED, by="Cora, by link", now=soon)

    assert {call.volunteer for call in BackupCall.objects.all()} == {ned, una}
    alerts = Note.objects.filter(kind=LATE_DROP)
    assert {note.to_email for note in alerts} == {coordinator.email, admin.email}
    send_due(now_fn=lambda: soon)
    told = next(mail for mail in mailoutbox if coordinator.email in mail.to[0])
    assert "Ned Ash, Una Fell" in told.body and "Cora Bell can’t make it" in told.subject
    assert sum("Can you step in" in mail.subject for mail in mailoutbox) == 2


def test_with_nobody_standing_by_the_next_best_is_asked_where_that_is_chosen(tonight, coordinator):
    row, ned, una = tonight
    Clinic.objects.filter(pk=row.shift.clinic_id).update(offer_next=True)

    record_reply(assignment=row, reply=Reply.DECLINED, by="x", now=clock.now())

    assert Assignment.objects.live().get().volunteer in (ned, una)
    assert Note.objects.filter(kind=LATE_DROP).count() == 1


def test_the_first_yes_has_it_and_the_second_is_thanked(tonight, stranger):
    row, ned, una = tonight
    back_up(row, ned, una)
    record_reply(assignment=row, reply=Reply.DECLINED, by="x", now=clock.now())
    first, second = (link("call", "backup-call", call) for call in BackupCall.objects.order_by("volunteer__name"))

    assert "Can you coach?" in stranger.get(first).content.decode()
    assert not Assignment.objects.live().exists()
    assert "The shift is yours" in stranger.post(first, {"answer": "yes"}).content.decode()
    assert "Someone else just took the shift" in stranger.post(second, {"answer": "yes"}).content.decode()
    assert "Someone else just took the shift" in stranger.get(second).content.decode()

    (now_on,) = Assignment.objects.live()
    assert now_on.volunteer == ned and now_on.reply == Reply.ACCEPTED


def test_a_call_is_checked_on_the_day_like_any_shift(tonight, stranger):
    row, ned, _ = tonight
    back_up(row, ned)
    record_reply(assignment=row, reply=Reply.DECLINED, by="x", now=clock.now())
    Clearance.objects.filter(volunteer=ned).update(expires_on=clock.today())

    answer = stranger.post(link("call", "backup-call", BackupCall.objects.get()), {"answer": "yes"})

    assert answer.status_code == 409 and "isn’t cleared" in answer.content.decode()
    assert not Assignment.objects.live().exists()


def test_a_no_to_a_call_and_the_same_answer_twice(tonight):
    row, ned, _ = tonight
    back_up(row, ned)
    record_reply(assignment=row, reply=Reply.DECLINED, by="x", now=clock.now())
    call = BackupCall.objects.get()

    assert answer_call(call=call, yes=False, now=clock.now()).answer == "no"
    assert answer_call(call=call, yes=True, now=clock.now()).answer == "no"


def test_an_early_no_calls_nobody_from_backup(make_assignment, make_shift, make_clinic, make_volunteer):
    row = make_assignment(make_shift(make_clinic(days=9)))
    back_up(row, make_volunteer())

    record_reply(assignment=row, reply=Reply.DECLINED, by="x", now=clock.now())

    assert not BackupCall.objects.exists()


def offer(stranger, row, email):
    return stranger.post(link("shift", "swap-offer", row), {"email": email}, follow=True)


def test_two_volunteers_swap_by_link_and_the_shift_is_handed_over_at_once(tonight, stranger, mailoutbox):
    row, ned, _ = tonight
    page = offer(stranger, row, ned.email.upper()).content.decode()
    assert "we’ll ask them" in page
    assert Assignment.objects.live().get().volunteer == row.volunteer
    send_due()
    path = next(word for word in mailoutbox[0].body.split() if "/w/" in word).split("testserver", 1)[1]
    assert "Can you coach for Cora Bell?" in stranger.get(path).content.decode()

    assert "The shift is yours" in stranger.post(path, {"answer": "yes"}).content.decode()

    (live,) = Assignment.objects.live()
    assert live.volunteer == ned and live.reply == Reply.ACCEPTED
    assert Note.objects.get(kind=SHIFT_RELEASED).number_of(Volunteer) == row.volunteer_id


def test_an_unknown_address_gets_the_same_words_and_nobody_is_asked(tonight, stranger):
    row, *_ = tonight

    page = offer(stranger, row, "nobody@example.org").content.decode()

    assert "we’ll ask them" in page and not Swap.objects.exists() and not Note.objects.exists()


def test_where_the_office_decides_a_swap_waits_on_ahead(tonight, stranger, coordinator, signed_in):
    AskingRules.objects.create(pk=1, swaps_by_themselves=False)
    row, ned, _ = tonight
    offer(stranger, row, ned.email)
    stranger.post(link("swap", "swap-answer", Swap.objects.get()), {"answer": "yes"})
    assert Assignment.objects.live().get().volunteer == row.volunteer
    client = signed_in(coordinator)
    assert "Cora Bell and Ned Ash want to swap" in client.get(reverse("ahead")).content.decode()
    assert "Both agree" in client.get(reverse("clinic", args=[row.shift.clinic_id])).content.decode()

    client.post(reverse("swap-settle", args=[Swap.objects.get().pk]), {"answer": "yes"})

    assert Assignment.objects.live().get().volunteer == ned
    again = client.post(reverse("swap-settle", args=[Swap.objects.get().pk]), {"answer": "yes"}, follow=True)
    assert "This swap is already done" in again.content.decode()


def test_a_refused_or_declined_swap_leaves_all_as_it_was_and_is_told(
    tonight, stranger, coordinator, signed_in, mailoutbox
):
    AskingRules.objects.create(pk=1, swaps_by_themselves=False)
    row, ned, una = tonight
    offer(stranger, row, ned.email)
    stranger.post(link("swap", "swap-answer", Swap.objects.get()), {"answer": "no"})
    offer(stranger, row, una.email)
    stranger.post(link("swap", "swap-answer", Swap.objects.get(to=una)), {"answer": "yes"})
    signed_in(coordinator).post(reverse("swap-settle", args=[Swap.objects.get(to=una).pk]), {"answer": "no"})

    assert Assignment.objects.live().get().volunteer == row.volunteer
    send_due()
    stays = [mail for mail in mailoutbox if "is still yours" in mail.subject]
    assert len(stays) == 2 and any("Ned Ash can’t take the shift" in mail.body for mail in stays)


def test_who_cannot_stand_cannot_take_over(tonight, stranger):
    row, ned, _ = tonight
    Clearance.objects.filter(volunteer=ned).update(expires_on=clock.today())
    offer(stranger, row, ned.email)

    answer = stranger.post(link("swap", "swap-answer", Swap.objects.get()), {"answer": "yes"})

    assert answer.status_code == 409 and "isn’t cleared" in answer.content.decode()
    assert Assignment.objects.live().get().volunteer == row.volunteer


def test_a_second_offer_takes_the_place_of_the_first_and_tells_nothing_of_it(
    tonight, stranger, make_assignment, make_shift, make_clinic
):
    row, ned, una = tonight
    offer(stranger, row, ned.email)
    first = link("swap", "swap-answer", Swap.objects.get())
    known, unknown = offer(stranger, row, una.email), offer(stranger, row, "nobody@example.org")
    assert known.status_code == unknown.status_code == 200 and "we’ll ask them" in unknown.content.decode()
    assert stranger.get(first).status_code == 410
    assert not Swap.objects.filter(state=Swap.State.ASKED).exists()

    waiting = make_assignment(make_shift(make_clinic(days=20)), una, reply=Reply.NEEDS_ACTION)
    assert "only swap a shift you’ve accepted" in offer(stranger, waiting, ned.email).content.decode()


def test_links_of_one_kind_open_no_other(tonight, stranger):
    row, ned, _ = tonight
    back_up(row, ned)
    backup = Backup.objects.get()
    for route in ("backup-call", "swap-answer", "shift-reply"):
        assert stranger.get(link("backup", route, backup)).status_code == 404
