"""Which waiver text counts, and the texts by version."""

from dataclasses import dataclass, field

from django.db.models import Count

from families.models import WaiverText

__all__ = ["Version", "current_is_placeholder", "current_text", "versions"]


@dataclass(frozen=True)
class Version:
    number: int
    texts: list[WaiverText] = field(default_factory=list)
    current: bool = False

    @property
    def first(self) -> WaiverText:
        return self.texts[0]

    @property
    def published(self) -> bool:
        return self.first.published_at is not None

    @property
    def placeholder(self) -> bool:
        return any(text.placeholder for text in self.texts)

    @property
    def signatures(self) -> int:
        return sum(getattr(text, "signed", 0) for text in self.texts)


def current_text(language: str) -> WaiverText | None:
    """The newest published waiver in the language, or else in English; None while nothing is published."""
    published = list(WaiverText.objects.published().order_by("-version"))
    newest = [row for row in published if row.version == published[0].version]
    by_language = {row.language: row for row in newest}
    return by_language.get(language) or by_language.get("en") or (newest[0] if newest else None)


def versions() -> list[Version]:
    """Newest first, English before Spanish, with how many signatures each has. One query."""
    found: dict[int, list[WaiverText]] = {}
    for row in WaiverText.objects.annotate(signed=Count("signatures")).order_by("-version", "language"):
        found.setdefault(row.version, []).append(row)
    newest = next((number for number, rows in found.items() if rows[0].published_at), None)
    return [Version(number, rows, number == newest) for number, rows in found.items()]


def current_is_placeholder() -> bool:
    """Whether guardians sign the shipped example today. One query."""
    newest = WaiverText.objects.published().order_by("-version").values_list("version", flat=True)[:1]
    return WaiverText.objects.published().filter(version__in=newest, placeholder=True).exists()
