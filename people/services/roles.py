"""Writes the three roles and what each may, from the one table in rules/roles.py."""

from django.apps import apps
from django.db import transaction

from people.rules.roles import ROLES


@transaction.atomic
def ensure_roles() -> None:
    """Make each role's rights exactly those of the table; running it twice changes nothing."""
    # Looked up late: this runs from the app's own start-up, before models can be imported.
    permission_model = apps.get_model("auth", "Permission")
    content_type = apps.get_model("contenttypes", "ContentType").objects.get_for_model(apps.get_model("people", "User"))
    permissions = {
        code: permission_model.objects.get_or_create(
            content_type=content_type, codename=code, defaults={"name": code.replace("_", " ").capitalize()}
        )[0]
        for code in ROLES["admin"]
    }
    for role, codes in ROLES.items():
        group, _ = apps.get_model("auth", "Group").objects.get_or_create(name=role)
        group.permissions.set([permissions[code] for code in codes])
