"""A policy to start from: which duty needs which clearance, with the publisher of each interval."""

from django.db import transaction

from people.models import ClearanceKind, NoticeRung, PolicyRow

__all__ = ["ensure_starter_policy"]

# code: name, months in date, notice days, overlap, where the interval comes from.
KINDS: dict[str, tuple[str, int | None, int, bool, str]] = {
    "screening": (
        "screening check", 24, 60, False,
        "USOPC-movement background checks: full check every 2 years, supplemental in the off year "
        "(usaracquetball.com, April 2021). Check your local law.",
    ),
    "conduct": (
        "conduct training", 12, 60, False,
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
LADDER = (60, 30, 14, 7, 0)

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
            duty=duty,
            kind=kinds[code],
            months=KINDS[code][1],
            notice_days=KINDS[code][2],
            overlap=KINDS[code][3],
        )
        for duty, codes in DUTIES.items()
        for code in codes
    )
    NoticeRung.objects.bulk_create([NoticeRung(days_before=days) for days in LADDER], ignore_conflicts=True)
    return True
