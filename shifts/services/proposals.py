"""Proposals of cover: asking for one, searching in a worker, stopping it, and taking it whole or in part."""

import logging
import uuid
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction
from django.db.models import F, Q
from django.utils.translation import gettext, ngettext

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core import clock
from core.enqueue import enqueue
from core.refusal import Refusal
from people.models import User, duties
from shifts.models import AskingRules, Assignment, Proposal, ProposalLine, ProposalState, Reply
from shifts.queries.facts import Facts, gather
from shifts.queries.proposals import clinics_of
from shifts.queries.what_if import with_changes
from shifts.rules.matching import Plan, Progress, keep_everybody, match
from shifts.rules.matching.near import near_misses
from shifts.services.cover import ask_volunteer, open_questions
from shifts.services.cover_checks import lock_clinic
from shifts.services.moving import release
from shifts.words.eligibility import words
from shifts.words.plan import change_words, note_words, plan_words

__all__ = ["propose", "search", "search_waiting", "stop", "take_lines"]

log = logging.getLogger(__name__)

SECONDS = 60.0
LONGEST_DAYS = 200
LOST_AFTER = timedelta(seconds=45)
MOST_TRIES = 2
MOST_EXPLAINED = 25
State = ProposalState


@transaction.atomic
def propose(
    *,
    first: date,
    last: date,
    by: User,
    now: datetime,
    clinic: Clinic | None = None,
    what_if: list[dict[str, Any]] | None = None,
    keep_asked: bool = False,
) -> Proposal:
    """Ask for a proposal by writing its row; a worker searches. Raises Refusal for days that can't be searched."""
    if last < first:
        text = gettext("The last day is before the first. Enter a later date.")
        raise Refusal.because("days", text, "last_day")
    if (last - first).days > LONGEST_DAYS:
        text = ngettext("Choose up to %(n)d day at once.", "Choose up to %(n)d days at once.", LONGEST_DAYS)
        raise Refusal.because("too long", text % {"n": LONGEST_DAYS}, "last_day")
    row = Proposal.objects.create(
        first_day=first,
        last_day=last,
        clinic=clinic,
        what_if=what_if or [],
        asked_by=by,
        asked_at=now,
        keep_asked=keep_asked,
    )
    transaction.on_commit(lambda: enqueue("shifts.search_cover", row.pk), robust=True)
    return row


@transaction.atomic
def stop(*, proposal: Proposal) -> None:
    """Tell the search to end with the best plan it has; a search that has not begun ends at once."""
    waiting = Proposal.objects.filter(pk=proposal.pk, state=State.WAITING)
    waiting.update(state=State.FAILED, trouble=gettext("You stopped the search before it started."))
    Proposal.objects.filter(pk=proposal.pk, state=State.RUNNING).update(stop_asked=True)


def search_waiting(*, now: datetime) -> int:
    """Search for the proposals that nobody has begun or whose worker fell silent; returns how many were searched.

    A search whose worker fell silent is begun again once; the second time the page says what happened.
    """
    silent = Q(state=State.RUNNING, seen_at__lt=now - LOST_AFTER)
    Proposal.objects.filter(silent, tries__gte=MOST_TRIES).update(
        state=State.FAILED,
        claim=None,
        trouble=gettext("The search stopped partway through. Please search again."),
    )
    Proposal.objects.filter(silent).update(state=State.WAITING, claim=None)
    ids = list(Proposal.objects.filter(state=State.WAITING).order_by("pk").values_list("pk", flat=True)[:5])
    return sum(search(pk=pk) for pk in ids)


def search(*, pk: int, seconds: float = SECONDS) -> bool:
    """Search for one proposal: 1 claim it, 2 read the facts, 3 search, telling how far it is, 4 write what was found.

    Nothing is locked while it searches. False when somebody else has it. A second run of the same is harmless.
    """
    claim, began = uuid.uuid4(), clock.now()
    mine = Proposal.objects.filter(pk=pk, state=State.RUNNING, claim=claim)
    taken = Proposal.objects.filter(pk=pk, state=State.WAITING)
    if not taken.update(state=State.RUNNING, claim=claim, seen_at=began, tries=F("tries") + 1):
        return False
    row = Proposal.objects.select_related("clinic__center").get(pk=pk)
    try:
        clinics = clinics_of(row, began)
        facts = with_changes(gather(clinics, began, seconds=seconds), row.what_if)
        if row.keep_asked:
            facts = replace(facts, positions=keep_everybody(facts.positions))
        plan = match(facts.positions, facts.people, facts.options, start=_last_found(row), watch=_Watch(pk, claim))
        result = _result(facts, plan, lambda: mine.update(seen_at=clock.now()))
    except (ValueError, Refusal) as problem:
        mine.update(state=State.FAILED, claim=None, trouble=str(problem)[:300], finished_at=clock.now())
        return True
    except Exception:
        log.exception("The search for proposal %s failed.", pk)
        trouble = gettext("Something went wrong on our end. Please search again.")
        mine.update(state=State.FAILED, claim=None, trouble=trouble, finished_at=clock.now())
        return True
    with transaction.atomic():
        # Whoever was slow enough to lose its claim just moves on.
        if not mine.update(state=State.READY, claim=None, result=result, finished_at=clock.now()):
            return False
        ProposalLine.objects.filter(proposal=row).delete()
        ProposalLine.objects.bulk_create(_lines(row, facts, plan))
    return True


def _last_found(row: Proposal) -> dict[int, int]:
    """Who the last proposal of these days had where: a search that begins there has little left to do."""
    last = Proposal.objects.filter(first_day=row.first_day, last_day=row.last_day, state=State.READY).first()
    if last is None:
        return {}
    lines = last.lines.filter(shift__isnull=False, volunteer__isnull=False)
    return dict(lines.values_list("shift_id", "volunteer_id"))


class _Watch:
    """Writes how far the search is, about once a second, and reads whether it shall stop."""

    def __init__(self, pk: int, claim: uuid.UUID) -> None:
        self.pk, self.claim, self.told = pk, claim, -1.0

    def __call__(self, now: Progress) -> bool:
        if now.seconds - self.told < 1:
            return True
        self.told = now.seconds
        told = {"aim": now.aim, "value": now.value, "bound": now.bound, "seconds": round(now.seconds, 1)}
        mine = Proposal.objects.filter(pk=self.pk, claim=self.claim, stop_asked=False)
        return bool(mine.update(progress=told, seen_at=clock.now()))


def _result(facts: Facts, plan: Plan, at_it: Callable[[], object]) -> dict[str, object]:
    """What the page shows; ``at_it`` is called now and then, to say that the worker lives."""
    names = {person.id: person.name for person in facts.people}
    by_id = {position.id: position for position in facts.positions}
    opened = []
    for pk in plan.unfilled[:MOST_EXPLAINED]:
        at_it()
        misses = near_misses(facts.positions, facts.people, facts.options, plan, pk)
        today = clock.today(facts.clinics[by_id[pk].clinic].center.tz)
        opened.append(
            {
                "duty": duties().name(by_id[pk].duty),
                "where": by_id[pk].title,
                "clinic": by_id[pk].clinic,
                "near": [
                    {
                        "person": miss.person,
                        "name": names[miss.person],
                        "why": words(miss.block.reason, today),
                        "do": change_words(miss.change, names[miss.person]),
                    }
                    for miss in misses
                ],
            }
        )
    return {
        "words": plan_words(plan, facts.positions),
        "trouble": _trouble(facts, plan),
        "notes": [note_words(note) for note in plan.notes],
        "status": plan.status,
        "seconds": round(plan.seconds, 1),
        "pairs": plan.pairs,
        "objectives": [[one.name, one.value, one.bound] for one in plan.objectives],
        "open": opened,
        "more_open": max(0, len(plan.unfilled) - MOST_EXPLAINED),
    }


def _trouble(facts: Facts, plan: Plan) -> list[str]:
    """Who accepted and isn't cleared, and which clinics stay below their ratio, each by name."""
    names = duties()
    told = [
        gettext(
            "%(name)s said yes as %(duty)s at %(clinic)s and isn’t cleared that day. Renew the clearance or take them "
            "off, then search again."
        )
        % {"name": facts.volunteers[p.accepted], "duty": names.name(p.duty), "clinic": p.title}
        for p in facts.positions
        if p.cannot and p.accepted in facts.volunteers
    ]
    adults: Counter[int] = Counter()
    for p in facts.positions:
        if p.in_ratio and not p.cannot and p.id in plan.placements:
            adults[p.clinic] += 1
    for pk, needed in facts.options.adults_needed.items():
        if adults[pk] < needed:
            text = ngettext(
                "%(clinic)s has %(have)d of the %(needed)d lead or coach it needs.",
                "%(clinic)s has %(have)d of the %(needed)d leads and coaches it needs.",
                needed,
            )
            told.append(text % {"clinic": clinic_words(facts.clinics[pk]), "have": adults[pk], "needed": needed})
    return told


def _lines(row: Proposal, facts: Facts, plan: Plan) -> list[ProposalLine]:
    kinds = ProposalLine.Kind
    lines = []
    for position in facts.positions:
        today = position.accepted if position.accepted is not None else position.asked
        placed = plan.placements.get(position.id)
        then = placed.person if placed else None
        if today is None and then is None:
            continue
        if today == then:
            kind = kinds.UNTOUCHED
        elif today is None:
            kind = kinds.ADDED
        else:
            kind = kinds.FREED if then is None else kinds.MOVED
        lines.append(
            ProposalLine(
                proposal=row,
                shift=facts.shifts.get(position.id),
                clinic=facts.clinics[position.clinic],
                duty=position.duty,
                kind=kind,
                volunteer=facts.volunteers.get(then) if then is not None else None,
                was=facts.volunteers.get(today) if today is not None and kind != kinds.UNTOUCHED else None,
                km=placed.km if placed else None,
            )
        )
    return lines


def take_lines(*, proposal: Proposal, ids: set[int], now: datetime) -> tuple[int, int]:
    """Do what some lines of a proposal say, each for itself; returns how many were done and how many could not be.

    Each line is checked anew, since the world may have gone on, and says beside it why it could not be done. A line
    that was taken before is not taken again.
    """
    lines = ProposalLine.objects.filter(proposal=proposal, pk__in=ids, taken_at__isnull=True, shift__isnull=False)
    lines = lines.exclude(kind=ProposalLine.Kind.UNTOUCHED).select_related("shift__clinic", "volunteer", "was")
    done = refused = 0
    # Who is let go first frees the people and shifts that the others need.
    for line in sorted(lines, key=lambda line: (line.was_id is None, line.pk)):
        try:
            with transaction.atomic():
                _take(line, now)
        except Refusal as refusal:
            ProposalLine.objects.filter(pk=line.pk).update(outcome=str(refusal)[:300])
            refused += 1
        else:
            done += 1
    return done, refused


def _take(line: ProposalLine, now: datetime) -> None:
    row = ProposalLine.objects.select_for_update(no_key=True, of=("self",)).get(pk=line.pk)
    if row.taken_at is not None or line.shift is None:
        return
    if line.was is not None:
        clinic = lock_clinic(line.shift)
        held = Assignment.objects.live().select_related("volunteer", "shift").filter(shift=line.shift).first()
        if held is not None and held.volunteer_id == line.was_id:
            if held.reply == Reply.ACCEPTED:
                text = gettext("%(name)s has since said yes and keeps the shift.") % {"name": line.was}
                raise Refusal.because("accepted", text)
            release(held, clinic, gettext("we found a plan that saves you the drive"), now)
    outcome = gettext("taken off")
    if line.volunteer is not None:
        most = AskingRules.current().most_open
        if open_questions(line.volunteer, now) >= most:
            text = ngettext(
                "%(name)s already has %(n)d unanswered request. Ask again after they answer it.",
                "%(name)s already has %(n)d unanswered requests. Ask again after they answer one.",
                most,
            )
            raise Refusal.because("asked enough", text % {"name": line.volunteer, "n": most})
        ask_volunteer(shift=line.shift, volunteer=line.volunteer, now=now)
        outcome = gettext("asked")
    row.outcome, row.taken_at = outcome, now
    row.save(update_fields=["outcome", "taken_at"])
