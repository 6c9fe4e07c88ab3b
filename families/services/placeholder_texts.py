"""The shipped waiver texts, put in force where a house has none of its own."""

from datetime import datetime

from django.db import connection, transaction

from families.models import WaiverText
from families.waiver_texts import PLACEHOLDERS

__all__ = ["publish_placeholder_if_none"]


@transaction.atomic
def publish_placeholder_if_none(*, now: datetime) -> list[WaiverText]:
    """Publish the example in every language, marked as a placeholder, unless any text is here already."""
    with connection.cursor() as cursor:
        # Two at once: the second waits and then finds the first one's. Reading the texts stays possible meanwhile.
        cursor.execute(f'lock table "{WaiverText._meta.db_table}" in share row exclusive mode')
    if WaiverText.objects.exists():
        return []
    return [
        WaiverText.objects.create(
            version=1, language=one.language, title=one.title, body=one.body, placeholder=True, published_at=now
        )
        for one in PLACEHOLDERS
    ]
