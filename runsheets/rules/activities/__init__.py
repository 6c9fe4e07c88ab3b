"""What children do at a clinic: what an activity is, and those that come with the house."""

from runsheets.rules.activities.facts import Activity, Kind, Level
from runsheets.rules.activities.library import ACTIVITIES, activity
from runsheets.rules.activities.things import Thing, parse_thing, parse_things

__all__ = ["ACTIVITIES", "Activity", "Kind", "Level", "Thing", "activity", "parse_thing", "parse_things"]
