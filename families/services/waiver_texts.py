"""Writing and publishing what guardians sign. A published text never changes; the database refuses it."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext

from core.refusal import Reason, Refusal
from families.models import WaiverText

__all__ = ["TextFacts", "publish_version", "write_draft"]


@dataclass(frozen=True)
class TextFacts:
    """One version in both languages; Spanish may stay empty, and then Spanish speakers sign the English one."""

    months: int
    season_ends: date | None
    signs_anew: bool
    title_en: str
    body_en: str
    title_es: str = ""
    body_es: str = ""


@transaction.atomic
def write_draft(*, facts: TextFacts, version: int | None = None) -> int:
    """Write a new draft, or the draft ``version`` anew; returns its number. Raises Refusal for a published one."""
    if version is None:
        version = (WaiverText.objects.aggregate(top=Max("version"))["top"] or 0) + 1
    rows = {row.language: row for row in WaiverText.objects.select_for_update(no_key=True).filter(version=version)}
    _refuse_published(list(rows.values()))
    placeholders = {row.hash for row in WaiverText.objects.filter(placeholder=True).exclude(version=version)}
    placeholders |= {row.hash for row in rows.values() if row.placeholder}
    for language, title, body in (("en", facts.title_en, facts.body_en), ("es", facts.title_es, facts.body_es)):
        row = rows.get(language) or WaiverText(version=version, language=language)
        if not title.strip() and not body.strip():
            if row.pk:
                row.delete()
            continue
        row.title, row.body = title.strip(), body.strip()
        row.months, row.season_ends, row.signs_anew = facts.months, facts.season_ends, facts.signs_anew
        # Saving the shipped example again does not make it a lawyer's.
        row.placeholder = row.hash in placeholders
        row.save()
    return version


@transaction.atomic
def publish_version(*, version: int, today: date, now: datetime) -> list[WaiverText]:
    """Put a draft in force: from now on it is what guardians sign. Publishing it again changes nothing."""
    rows = list(WaiverText.objects.select_for_update(no_key=True).filter(version=version).order_by("language"))
    if rows and all(row.published_at for row in rows):
        return rows
    reasons = []
    if not any(row.language == "en" and row.body for row in rows):
        words = gettext("Enter the English version first. It’s used when another language is missing.")
        reasons.append(Reason("no English", words))
    newer = WaiverText.objects.published().filter(version__gt=version).exists()
    if newer:
        reasons.append(Reason("older", gettext("A newer version is already published. Write a new draft.")))
    if any(row.season_ends and row.season_ends < today for row in rows):
        words = gettext("This version’s end date has passed, so no one could sign it. Change the date first.")
        reasons.append(Reason("season over", words))
    if reasons:
        raise Refusal(*reasons)
    for row in rows:
        row.published_at = now
        row.save(update_fields=["published_at"])
    return rows


def _refuse_published(rows: list[WaiverText]) -> None:
    if any(row.published_at for row in rows):
        raise Refusal.because(
            "published", gettext("This version is published and may have been signed. Write a new draft instead.")
        )
