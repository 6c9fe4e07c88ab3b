"""A policy to start from: which duty needs which clearance, with the publisher of each interval."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext

from core import clock
from core.refusal import Reason, Refusal
from people.models import ClearanceKind, NoticeStep, PolicyRow
from people.rules.policy import DatedRow
from people.rules.standing import PolicyRow as RuleRow

__all__ = ["PolicyChange", "change_policy", "check_change", "ensure_starter_policy", "set_ladder"]

# code: name, months valid, notice days, overlap, where the interval comes from.
KINDS: dict[str, tuple[str, int | None, int, bool, str]] = {
    "screening": (
        "background check", 24, 60, False,
        "USOPC-movement background checks: full check every 2 years, supplemental in the off year "
        "(usaracquetball.com, April 2021). Check your local law.",
    ),
    "conduct": (
        "abuse prevention training", 12, 60, False,
        "SafeSport Trained: core, then a refresher each year (usaskateboarding.com; ussoccer.com). "
        "Check your local law.",
    ),
    "first_aid": (
        "first-aid certificate", 24, 60, False,
        "CPR, AED and first aid: 2 years, American Red Cross and American Heart Association "
        "(seen in secondary pages only). Check your local law.",
    ),
    "concussion": (
        "concussion training", 24, 60, True,
        "CDC HEADS UP sets no expiry; states and leagues set 1 to 3 years (from memory). Check your local law.",
    ),
}  # fmt: skip

# Days before the last day on which the holder is written to. Common practice, no source.
SCHEDULE = (60, 30, 14, 7, 0)

DUTIES: dict[str, tuple[str, ...]] = {
    "lead": ("screening", "conduct", "concussion"),
    "coach": ("screening", "conduct", "concussion"),
    "stem_lead": ("screening", "conduct"),
    "first_aider": ("screening", "conduct", "first_aid"),
    "door": ("screening", "conduct"),
    "helper": ("conduct",),
}


@transaction.atomic
def ensure_starter_policy() -> bool:
    """Write the starter policy where there is none; returns whether it was written. Never touches an existing one."""
    if PolicyRow.objects.exists():
        return False
    kinds = {
        code: ClearanceKind.objects.get_or_create(code=code, defaults={"name": name, "source": source})[0]
        for code, (name, _, _, _, source) in KINDS.items()
    }
    PolicyRow.objects.bulk_create(
        PolicyRow(
            duty_id=duty,
            kind=kinds[code],
            months=KINDS[code][1],
            notice_days=KINDS[code][2],
            overlap=KINDS[code][3],
        )
        for duty, codes in DUTIES.items()
        for code in codes
    )
    NoticeStep.objects.bulk_create([NoticeStep(days_before=days) for days in SCHEDULE], ignore_conflicts=True)
    return True


@dataclass(frozen=True)
class PolicyChange:
    """Whether a duty needs a kind from ``from_day`` on, at one place or (empty) everywhere, and for how many months."""

    duty: str
    kind: ClearanceKind
    from_day: date
    required: bool = True
    months: int | None = None
    notice_days: int = 60
    overlap: bool = False
    place: str = ""

    def dated(self) -> DatedRow:
        row = RuleRow(self.duty, self.kind.code, self.months, self.notice_days, self.overlap)
        return DatedRow(row, self.place, self.from_day, self.required)


def check_change(change: PolicyChange, today: date) -> None:
    """Raise Refusal with every reason why this can't be a change of policy."""
    reasons = []
    if change.from_day < today:
        past = gettext("A policy change can’t start in the past. Choose today or later.")
        reasons.append(Reason("in the past", past, "from_day"))
    elif (change.from_day - today).days > 731:
        far = gettext("That’s more than two years from now. Check the year.")
        reasons.append(Reason("too far off", far, "from_day"))
    if change.months is not None and not 1 <= change.months <= 600:
        months = gettext("Enter 1 to 600 months, or leave it empty if it doesn’t expire.")
        reasons.append(Reason("odd months", months, "months"))
    if change.notice_days > 3650:
        reasons.append(Reason("odd notice", gettext("Enter up to 3,650 days of notice."), "notice_days"))
    if reasons:
        raise Refusal(*reasons)


@transaction.atomic
def change_policy(*, change: PolicyChange, now: datetime) -> PolicyRow:
    """Add the policy row that takes over from its day.

    Raises Refusal "changed already" when the duty, kind and place have a change on that day.
    """
    check_change(change, now.astimezone(clock.home_zone()).date())
    try:
        with transaction.atomic():
            return PolicyRow.objects.create(
                duty_id=change.duty,
                kind=change.kind,
                place=change.place,
                from_day=change.from_day,
                required=change.required,
                months=change.months,
                notice_days=change.notice_days,
                overlap=change.overlap,
            )
    except IntegrityError as problem:
        raise Refusal.because(
            "changed already",
            gettext("There’s already a change for this duty, clearance, and center on that date. Choose another date."),
            "from_day",
        ) from problem


@transaction.atomic
def set_ladder(*, days: list[int]) -> list[int]:
    """Write the days before a last day at which holders are written to, and return them, most first.

    Raises Refusal "odd ladder" for more than ten, and for one beyond a year.
    """
    wanted = sorted(set(days), reverse=True)
    if len(wanted) > 10 or any(not 0 <= one <= 365 for one in wanted):
        raise Refusal.because("odd ladder", gettext("Enter up to ten numbers of days, each from 0 to 365."), "days")
    NoticeStep.objects.exclude(days_before__in=wanted).delete()
    NoticeStep.objects.bulk_create([NoticeStep(days_before=one) for one in wanted], ignore_conflicts=True)
    return wanted
