"""Children without a current waiver, guardians whom no email reaches, and unanswered requests. Names no child."""

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date

from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from clinics.models import Clinic
from clinics.needs import Desk, Need
from core import clock
from core.formats import long_day
from families.models import FamilyRequest, Guardian, Spot
from families.queries.waiver_text_needs import waiver_text_needs
from families.queries.waivers import open_waivers
from families.rules.allergies import NEVER_ANSWERED
from outbox.models import Note, NoteState

# More than a few are the mail server's doing, and the outbox is where to look.
MOST_NAMED = 5


def all_family_needs(desk: Desk) -> Iterator[Need]:
    """Answers ``clinics.needs.needs``."""
    yield from waiver_needs(desk.clinics)
    yield from allergy_needs(desk.clinics)
    yield from unreachable_needs(desk.today)
    yield from request_needs(desk.today)
    yield from waiver_text_needs(desk.today)


def waiver_needs(clinics: Sequence[Clinic]) -> Iterator[Need]:
    """Clinics with children who have a spot and no current waiver on its day. Three queries."""
    by_pk = {clinic.pk: clinic for clinic in clinics}
    spots = list(Spot.objects.held().filter(clinic__in=by_pk).values_list("clinic", "child"))
    if not spots:
        return
    book = open_waivers((child for _, child in spots), clock.home_zone())
    missing = Counter(clinic for clinic, child in spots if not book.on(child, by_pk[clinic].day).ok)
    for pk, count in missing.items():
        headline = ngettext(
            "%(n)d child at %(center)s has no current waiver for the clinic",
            "%(n)d children at %(center)s have no current waiver for the clinic",
            count,
        )
        yield _to_answer(by_pk[pk], count, headline, _("Open the sign-in sheet"), "clinic-door")


def allergy_needs(clinics: Sequence[Clinic]) -> Iterator[Need]:
    """Clinics with children who have a spot and of whom nobody ever answered whether they have allergies. One query."""
    by_pk = {clinic.pk: clinic for clinic in clinics}
    open_ones = Spot.objects.held().filter(clinic__in=by_pk, child__allergies_answer=NEVER_ANSWERED)
    for pk, count in Counter(open_ones.values_list("clinic", flat=True)).items():
        headline = ngettext(
            "Allergies of %(n)d child at %(center)s are not answered",
            "Allergies of %(n)d children at %(center)s are not answered",
            count,
        )
        yield _to_answer(by_pk[pk], count, headline, _("See the children"), "clinic-children")


def _to_answer(clinic: Clinic, count: int, headline: str, label: str, route: str) -> Need:
    """Something that guardians of ``count`` children are reminded of. ``headline`` has gaps for count and center."""
    return Need(
        day=clinic.day,
        rank=2,
        headline=headline % {"n": count, "center": clinic.center.name},
        detail=_("The clinic is on %(day)s. We email reminders to their guardians. A call may help.")
        % {"day": long_day(clinic.day)},
        action_label=label,
        action_href=_route(route, clinic.pk) or reverse("clinic", args=[clinic.pk]),
    )


def _refused() -> list[Guardian]:
    stuck = Note.objects.filter(state=NoteState.STUCK).about_some(Guardian).only("about")
    numbers = {number for note in stuck if (number := note.number_of(Guardian)) is not None}
    if not numbers:
        return []
    people = Guardian.objects.filter(pk__in=numbers, forgotten_at=None)
    ended = Note.objects.about_any(Guardian, numbers).filter(state__in=[NoteState.SENT, NoteState.STUCK])
    by_number = {person.pk: person for person in people}
    last: dict[int, str] = {}
    for note in ended.order_by("-due_at", "-pk").only("about", "to_email", "state"):
        person = by_number.get(note.number_of(Guardian) or 0)
        # The address they have now: one that was changed since is not in question.
        if person is not None and person.email.lower() == note.to_email.lower():
            last.setdefault(person.pk, note.state)
    return [person for person in people if last.get(person.pk) == NoteState.STUCK]


def unreachable_needs(today: date) -> Iterator[Need]:
    """Guardians whose last mail was refused, under the address that we have now. Three queries, one when none was."""
    found = _refused()
    if len(found) > MOST_NAMED:
        headline = ngettext(
            "%(n)d family can’t be reached by email", "%(n)d families can’t be reached by email", len(found)
        )
        yield _unreachable(today, headline % {"n": len(found)}, _("Call them."))
        return
    for guardian in found:
        detail = (
            _("The email bounced. Call %(phone)s.") % {"phone": guardian.phone}
            if guardian.phone
            else _("The email bounced, and there’s no phone number on file.")
        )
        yield _unreachable(today, _("%(name)s can’t be reached by email") % {"name": guardian}, detail)


def _unreachable(today: date, headline: str, detail: str) -> Need:
    return Need(
        day=today,
        rank=4,
        headline=headline,
        detail=detail,
        action_label=_("Open the outbox"),
        action_href=reverse("outbox") + "?state=stuck",
    )


def request_needs(today: date) -> Iterator[Need]:
    """Guardians who wait for an answer to their request."""
    count = FamilyRequest.objects.filter(state=FamilyRequest.State.WAITING).count()
    if count:
        yield Need(
            day=today,
            rank=5,
            headline=ngettext(
                "%(n)d guardian wants a copy of their data, or wants it deleted",
                "%(n)d guardians want a copy of their data, or want it deleted",
                count,
            )
            % {"n": count},
            detail=_("They’re waiting for your answer."),
            action_label=_("Review requests"),
            action_href=_route("family-requests") or reverse("ahead"),
            right="keep_requests",
        )


def _route(name: str, *args: int) -> str:
    """The address of a page of another part of the house; "" where that part is not there."""
    try:
        return reverse(name, args=args)
    except NoReverseMatch:
        return ""
