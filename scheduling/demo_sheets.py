"""The demo's run sheet: one coming clinic is planned, the next ones are still to be."""

from datetime import datetime, timedelta

from clinics.models import Activity, Clinic
from people.models import User
from scheduling.forms.run_sheet_choices import first_choice
from scheduling.queries.run_sheet_facts import facts_now
from scheduling.services.run_sheets import ask_run_sheet, find_run_sheet

__all__ = ["load_sheets"]


def load_sheets(*, by: User, now: datetime) -> None:
    """Plan the next clinic that has a STEM part and adults enough for it."""
    soon = Clinic.objects.live().filter(starts_at__gt=now + timedelta(days=1)).exclude(theme="")
    for clinic in soon.select_related("center").prefetch_related("bands")[:6]:
        if clinic.children < 20 or len(facts_now(clinic, clinic.children)["adults"]) < 4:
            continue
        choice = first_choice(clinic, list(Activity.objects.offered()))
        row = ask_run_sheet(clinic=clinic, choice=choice, by=by, now=now - timedelta(hours=3))
        find_run_sheet(pk=row.pk, seconds=2)
        return
