"""Centers as a list, and one center."""

from datetime import datetime

from django.db.models import Count, Q, QuerySet

from clinics.models import Center, Clinic, Status

__all__ = ["centers", "coming_clinics"]


def centers(now: datetime) -> QuerySet[Center]:
    """Every center with ``space_count`` and ``coming`` (clinics not over and not cancelled). One query."""
    coming = Q(clinics__ends_at__gt=now) & ~Q(clinics__status=Status.CANCELLED)
    return Center.objects.annotate(
        space_count=Count("spaces", filter=Q(spaces__active=True), distinct=True),
        coming=Count("clinics", filter=coming, distinct=True),
    ).order_by("-active", "name")


def coming_clinics(center: Center, now: datetime) -> QuerySet[Clinic]:
    rows = Clinic.objects.filter(center=center).ahead(now).live()
    found: QuerySet[Clinic] = rows.select_related("center").prefetch_related("bands").order_by("starts_at")
    return found
