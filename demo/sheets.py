"""The demo's run sheets: one coming clinic is planned, one asks for more than its minutes hold, the rest are open."""

from dataclasses import replace
from datetime import datetime, timedelta

from clinics.models import Clinic
from people.models import User
from runsheets.forms.run_sheet_choices import first_choice
from runsheets.models import Activity
from runsheets.queries.run_sheet_facts import facts_now
from runsheets.services.run_sheets import ask_run_sheet, find_run_sheet

__all__ = ["load_sheets"]

# What somebody eager would have on top of the usual: another station, a game and two more STEM parts.
_EAGER = ("par-zero", "knockout", "arc-geometry", "paper-bridges")
_SHORT = 90


def load_sheets(*, by: User, now: datetime) -> None:
    """Plan the next clinic with a STEM part and enough adults, and ask too much of a short one."""
    offered = list(Activity.objects.offered())
    soon = Clinic.objects.live().filter(starts_at__gt=now).exclude(theme="").order_by("starts_at", "pk")
    planned = eager = False
    for clinic in soon.select_related("center").prefetch_related("bands")[:8]:
        facts = facts_now(clinic, clinic.children)
        if len(facts["adults"]) < 4:
            continue
        choice = first_choice(clinic, offered)
        if not eager and facts["minutes"] <= _SHORT:
            chosen = {*choice.activities, *_EAGER}
            activities = [one.code for one in offered if one.code in chosen]
            row = ask_run_sheet(
                clinic=clinic, choice=replace(choice, activities=activities), by=by, now=now - timedelta(hours=4)
            )
            eager = True
        elif not planned and clinic.children >= 20 and clinic.starts_at > now + timedelta(days=1):
            row = ask_run_sheet(clinic=clinic, choice=choice, by=by, now=now - timedelta(hours=3))
            planned = True
        else:
            continue
        find_run_sheet(pk=row.pk, seconds=2)
