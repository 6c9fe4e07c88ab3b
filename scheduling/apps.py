from django.apps import AppConfig


class SchedulingConfig(AppConfig):
    name = "scheduling"
    verbose_name = "Scheduling"

    def ready(self) -> None:
        """Answers what the apps below ask; see ``core.hooks``."""
        from clinics import hooks as of_clinics
        from outbox.hooks import page_of_subject
        from outbox.letters import register
        from scheduling.letters import agreements, bookings
        from scheduling.queries.clinics import page_of_note
        from scheduling.services.bookings import confirm_agreed
        from scheduling.services.holds import space_of
        from scheduling.services.what_if import change_for_what_if
        from shifts import hooks as shift_hooks

        register(*bookings.LETTERS, *agreements.LETTERS)
        page_of_subject.add(page_of_note)
        of_clinics.sheet_may_be_whole.add(confirm_agreed)
        of_clinics.space_of.add(space_of)
        shift_hooks.change_for_what_if.add(change_for_what_if)
