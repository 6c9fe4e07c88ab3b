from runsheets.models.activities import Activity, ActivityQuerySet
from runsheets.models.activity_tables import ActivityTable
from runsheets.models.run_sheets import RunSheetPlan, RunSheetQuerySet

__all__ = [
    "Activity",
    "ActivityQuerySet",
    "ActivityTable",
    "RunSheetPlan",
    "RunSheetQuerySet",
]
