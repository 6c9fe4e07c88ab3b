"""Asking, replying and releasing."""

from datetime import time, timedelta

import pytest

from core import clock
from core.refusal import Refusal
from outbox.models import Note
from people.models import Volunteer
from shifts.letters.shifts import SHIFT_ASK, SHIFT_RELEASED
from shifts.models import Assignment, KeptApart, Reply, ReplyRecord
from shifts.queries.candidates import candidates
from shifts.services.cover import ask_volunteer, offer_next, record_reply, release_volunteer


def test_asking_writes_the_question_and_its_note_together(make_shift, make_volunteer, now):
    shift, imara = make_shift(), make_volunteer("Imara Venn")

    assignment = ask_volunteer(shift=shift, volunteer=imara, now=now)

    note = Note.objects.get()
    assert (note.kind, note.number_of(Assignment), note.to_email) == (SHIFT_ASK, assignment.pk, imara.email)
    assert assignment.reply == Reply.NEEDS_ACTION


def test_a_volunteer_asked_twice_is_refused_in_words(make_shift, make_volunteer, now):
    shift, imara = make_shift(), make_volunteer("Imara Venn")
    ask_volunteer(shift=shift, volunteer=imara, now=now)

    with pytest.raises(Refusal, match="Imara Venn already has this shift") as refusal:
        ask_volunteer(shift=shift, volunteer=imara, now=now)

    assert refusal.value.codes == {"asked already"}
    assert Note.objects.count() == 1


def test_somebody_whose_training_expires_before_the_clinic_is_refused_with_the_days(
    make_shift, make_clinic, make_volunteer, now
):
    clinic = make_clinic(days=10)
    issued_on = (clinic.day - timedelta(days=4)).replace(year=clinic.day.year - 1)
    late = make_volunteer("Tobiah Quill", issued_on=issued_on)
    shift = make_shift(clinic)

    with pytest.raises(Refusal, match="conduct training expires 4 days before this clinic"):
        ask_volunteer(shift=shift, volunteer=late, now=now)

    assert not Assignment.objects.exists()


def test_somebody_elsewhere_at_that_hour_is_refused_with_the_other_clinic(
    make_shift, make_clinic, make_volunteer, make_assignment, now
):
    imara = make_volunteer("Imara Venn")
    first = make_assignment(make_shift(make_clinic()), imara)

    with pytest.raises(Refusal, match=first.shift.clinic.center.name) as refusal:
        ask_volunteer(shift=make_shift(make_clinic()), volunteer=imara, now=now)

    assert refusal.value.codes == {"elsewhere"}


def test_every_reason_against_is_told_and_not_only_the_first(make_shift, make_volunteer, now):
    nobody_yet = make_volunteer(duties=("door",), cleared=())

    with pytest.raises(Refusal) as refusal:
        ask_volunteer(shift=make_shift(duty="coach"), volunteer=nobody_yet, now=now)

    assert refusal.value.codes == {"duty not held", "standing"}


def test_a_repeated_reply_changes_nothing(make_assignment, now):
    row = make_assignment(reply=Reply.NEEDS_ACTION)
    record_reply(assignment=row, reply=Reply.ACCEPTED, by="by link", now=now)

    record_reply(assignment=row, reply=Reply.ACCEPTED, by="by link", now=now + timedelta(hours=1))

    row.refresh_from_db()
    assert row.replied_at == now
    assert ReplyRecord.objects.count() == 1


def test_a_changed_reply_is_a_new_row_in_the_history(make_assignment, now):
    row = make_assignment(reply=Reply.NEEDS_ACTION)
    record_reply(assignment=row, reply=Reply.ACCEPTED, by="by link", now=now)
    record_reply(assignment=row, reply=Reply.DECLINED, by="by link", now=now)

    assert [r.reply for r in ReplyRecord.objects.all()] == [Reply.ACCEPTED, Reply.DECLINED]


def test_declining_frees_the_shift_for_the_next_person(make_assignment, make_volunteer, now):
    row = make_assignment(reply=Reply.NEEDS_ACTION)
    record_reply(assignment=row, reply=Reply.DECLINED, by="by link", now=now)

    again = ask_volunteer(shift=row.shift, volunteer=make_volunteer(), now=now)

    assert again.live


def test_changing_no_to_yes_is_refused_once_somebody_else_has_the_shift(make_assignment, make_volunteer, now):
    row = make_assignment(reply=Reply.NEEDS_ACTION)
    record_reply(assignment=row, reply=Reply.DECLINED, by="by link", now=now)
    ask_volunteer(shift=row.shift, volunteer=make_volunteer(), now=now)

    with pytest.raises(Refusal) as refusal:
        record_reply(assignment=row, reply=Reply.ACCEPTED, by="by link", now=now)

    assert refusal.value.codes == {"taken"}


def test_accepting_is_refused_while_standing_fails_on_the_day(make_assignment, make_shift, make_volunteer, now):
    shift = make_shift()
    row = make_assignment(shift, make_volunteer(cleared=("screening",)), reply=Reply.NEEDS_ACTION)

    with pytest.raises(Refusal, match="no conduct training on file"):
        record_reply(assignment=row, reply=Reply.ACCEPTED, by="by link", now=now)

    row.refresh_from_db()
    assert row.reply == Reply.NEEDS_ACTION


def test_nothing_can_be_answered_once_the_clinic_has_begun(make_assignment):
    row = make_assignment(reply=Reply.NEEDS_ACTION)

    with pytest.raises(Refusal) as refusal:
        record_reply(assignment=row, reply=Reply.ACCEPTED, by="by link", now=row.shift.clinic.starts_at)

    assert refusal.value.codes == {"started"}


def test_releasing_tells_the_person_and_opens_the_shift(make_assignment, now):
    row = make_assignment()

    release_volunteer(assignment=row, because="swapped with a colleague", now=now)

    assert Note.objects.get().kind == SHIFT_RELEASED
    assert not Assignment.objects.live().exists()


def test_candidates_come_best_first_and_each_other_with_the_reason(
    make_shift, make_clinic, make_volunteer, make_assignment
):
    shift = make_shift(make_clinic(days=10))
    near = make_volunteer("Near Neighbour", latitude=40.0, longitude=-75.0)
    worked = make_volunteer("Worked Lately", latitude=40.0, longitude=-75.0)
    make_assignment(make_shift(make_clinic(days=3)), worked)
    make_volunteer("Without Training", cleared=("screening",))
    busy = make_volunteer("Busy Elsewhere")
    make_assignment(make_shift(make_clinic(days=10)), busy)
    make_volunteer("Does The Door", duties=("door",))

    found = candidates(shift, clock.today())

    assert [c.volunteer.name for c in found if c.can] == [near.name, worked.name]
    reasons = {c.volunteer.name: c.why_not for c in found if not c.can}
    assert reasons["Without Training"] == ("no conduct training on file for that day",)
    assert "at Center" in reasons["Busy Elsewhere"][0]
    assert "Does The Door" not in reasons


def test_the_drive_and_who_is_kept_apart_are_told_on_the_list_and_leave_the_office_free_to_ask(
    make_shift, make_clinic, make_space, make_center, make_volunteer, make_assignment, now
):
    clinic = make_clinic(make_space(make_center(latitude=41.5, longitude=-77.5)), days=10, offer_next=True)
    shift = make_shift(clinic)
    far = make_clinic(
        make_space(make_center("Quarry Lane", latitude=41.7, longitude=-77.5)),
        days=10,
        starts=time(12, 30),
        ends=time(14),
    )
    late = make_volunteer("Late Comer")
    make_assignment(make_shift(far), late)
    make_assignment(make_shift(clinic, "lead"), make_volunteer("Una Fell", duties=("lead",)))
    apart = make_volunteer("Kept Apart")
    KeptApart.objects.create(one=Volunteer.objects.get(name="Una Fell"), other=apart)

    reasons = {c.volunteer.name: c.why_not for c in candidates(shift, clock.today())}

    (words,) = reasons["Late Comer"]
    assert words.startswith("can’t get here in time from Quarry Lane on ") and words.endswith(" (39 minutes by road)")
    assert reasons["Kept Apart"] == ("set to be kept apart from Una Fell",)
    assert offer_next(shift=shift, clinic=clinic, now=now) is None
    assert ask_volunteer(shift=shift, volunteer=late, now=now).live


def test_candidates_cost_the_same_however_many_there_are(
    make_shift, make_volunteer, django_assert_num_queries, django_assert_max_num_queries
):
    shift = make_shift()
    for _ in range(3):
        make_volunteer()
    with django_assert_max_num_queries(12) as few:
        candidates(shift, clock.today())
    for _ in range(20):
        make_volunteer()

    with django_assert_num_queries(len(few)):
        candidates(shift, clock.today())
