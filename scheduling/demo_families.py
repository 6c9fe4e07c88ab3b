"""What the demo needs so that families can register: the shipped waiver texts, in force and marked as examples."""

from datetime import datetime

from people.services.placeholder_texts import publish_placeholder_if_none

__all__ = ["families_can_register"]


def families_can_register(now: datetime) -> None:
    publish_placeholder_if_none(now=now)
