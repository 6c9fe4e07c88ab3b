"""Someone wants to volunteer: confirming the email address, asking a question, accepting, declining."""

from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from core.refusal import Refusal
from outbox.services.writing import write_note
from people.letters.accounts import APPLY_ACCEPTED, APPLY_CONFIRM, APPLY_DECLINED, APPLY_MORE
from people.models import Application, User, Volunteer

__all__ = ["accept", "answer_question", "apply", "ask_for_more", "confirm_address", "decline"]

State = Application.State
MOST_A_DAY = 5


@transaction.atomic
def apply(*, application: Application, now: datetime) -> Application:
    """Keep the application and ask the address whether it is theirs. At most five in 24 hours for one address."""
    application.sent_at, application.state = now, State.UNCONFIRMED
    # Hours and not a date: the database and we might take the day in two zones.
    lately = Application.objects.filter(email__iexact=application.email, sent_at__gt=now - timedelta(days=1)).count()
    if lately >= MOST_A_DAY:
        raise Refusal.because(
            "too many",
            gettext(
                "This email has been used several times today. Check your inbox for our message, or try again tomorrow."
            ),
            "email",
        )
    application.save()
    _note(application, APPLY_CONFIRM, gettext("Confirm email address: %(name)s"), now)
    return application


@transaction.atomic
def confirm_address(*, application: Application) -> Application:
    """Record that the address answered: the application is now a new one for the office. Twice is harmless."""
    row = Application.objects.select_for_update(no_key=True).get(pk=application.pk)
    if row.state == State.UNCONFIRMED:
        row.state = State.NEW
        row.save(update_fields=["state"])
    return row


@transaction.atomic
def answer_question(*, application: Application, words: str) -> Application:
    """Keep ``words``, the applicant's answer to the office's question. Raises Refusal "not asked" or "empty"."""
    row = Application.objects.select_for_update(no_key=True).get(pk=application.pk)
    if row.state != State.MORE_ASKED:
        raise Refusal.because("not asked", gettext("There’s no question to answer. Thank you."))
    if not words.strip():
        raise Refusal.because("empty", gettext("Enter an answer, then click “Send answer.”"), "words")
    row.answer, row.state = words.strip()[:600], State.NEW
    row.save(update_fields=["answer", "state"])
    return row


@transaction.atomic
def ask_for_more(*, application: Application, question: str, now: datetime) -> Application:
    """Ask the applicant a question by email. Raises Refusal "decided" or "empty"."""
    row = _open(application)
    if not question.strip():
        raise Refusal.because("empty", gettext("Enter your question."), "question")
    row.question, row.answer, row.state = question.strip(), "", State.MORE_ASKED
    row.link_counter += 1
    row.save()
    _note(row, APPLY_MORE, gettext("Question about application: %(name)s"), now)
    return row


@transaction.atomic
def decline(*, application: Application, reason: str, by: User, now: datetime) -> Application:
    row = _open(application)
    if not reason.strip():
        raise Refusal.because("empty", gettext("Enter a reason. It goes in the email."), "reason")
    row.reason = reason.strip()
    return _decide(row, State.DECLINED, by, now)


@transaction.atomic
def accept(*, application: Application, by: User, now: datetime, into: Volunteer | None = None) -> Volunteer:
    """Make a volunteer of the application, or add what is new in it to ``into``, who is here already.

    Nobody accepted can be asked for a shift yet: that takes clearances. Raises Refusal "decided" or "here already".
    """
    row = _open(application)
    if into is not None:
        volunteer = Volunteer.objects.select_for_update(no_key=True).get(pk=into.pk)
        volunteer.duties = (
            list(dict.fromkeys([*volunteer.duties, *row.duties])) if volunteer.adult else volunteer.duties
        )
        volunteer.phone = volunteer.phone or row.phone
        volunteer.home_area = volunteer.home_area or row.home_area
        volunteer.left_on = None
        volunteer.save()
    else:
        try:
            with transaction.atomic():
                volunteer = Volunteer.objects.create(
                    name=row.name,
                    email=row.email,
                    phone=row.phone,
                    duties=row.duties,
                    adult=row.adult,
                    home_area=row.home_area,
                )
        except IntegrityError as problem:
            raise Refusal.because("here already", _on_file(row.email)) from problem
    row.volunteer = volunteer
    _decide(row, State.ACCEPTED, by, now)
    return volunteer


def _open(application: Application) -> Application:
    row = Application.objects.select_for_update(no_key=True).get(pk=application.pk)
    if not row.open:
        raise Refusal.because("decided", _not_open(row))
    return row


def _not_open(row: Application) -> str:
    if row.state == State.ACCEPTED:
        return gettext("This application is already accepted.")
    if row.state == State.DECLINED:
        return gettext("This application is already declined.")
    return gettext("The email address on this application isn’t confirmed yet. Wait until it is.")


def _on_file(email: str) -> str:
    there = Volunteer.objects.filter(email__iexact=email).first()
    if there is None:
        return gettext("A volunteer with the email %(email)s is already on file.") % {"email": email}
    return gettext(
        "A volunteer with the email %(email)s is already on file. Use “Accept and add to %(name)s’s record.”"
    ) % {"email": email, "name": there.name}


def _decide(row: Application, state: Application.State, by: User, now: datetime) -> Application:
    row.state, row.decided_by, row.decided_at = state, by, now
    row.link_counter += 1
    row.save()
    if state == State.ACCEPTED:
        _note(row, APPLY_ACCEPTED, gettext("Application accepted: %(name)s"), now)
    else:
        _note(row, APPLY_DECLINED, gettext("Application declined: %(name)s"), now)
    return row


def _note(row: Application, kind: str, summary: str, now: datetime) -> None:
    write_note(
        key=f"{kind}:application {row.pk}:link {row.link_counter}",
        kind=kind,
        to_name=row.name,
        to_email=row.email,
        summary=summary % {"name": row.name},
        due_at=now,
        about=[row, row.volunteer],
    )
