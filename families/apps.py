from django.apps import AppConfig


class FamiliesConfig(AppConfig):
    name = "families"
    verbose_name = "Families"

    def ready(self) -> None:
        """Answers what the apps below ask; see ``core.hooks``."""
        from clinics import needs
        from families import hooks as family_hooks
        from families.letters import families, family_requests
        from families.queries.needs import all_family_needs
        from families.services.household_rows import household_tables
        from families.services.keys import child_keys, guardian_keys
        from outbox.letters import register
        from people import hooks as of_people

        register(*families.LETTERS, *family_requests.LETTERS)
        of_people.table_kinds.add(household_tables)
        needs.needs.add(all_family_needs)
        family_hooks.child_keys.add(child_keys)
        family_hooks.guardian_keys.add(guardian_keys)
