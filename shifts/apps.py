from django.apps import AppConfig


class ShiftsConfig(AppConfig):
    name = "shifts"
    verbose_name = "Shifts"

    def ready(self) -> None:
        """Answers what the apps below ask; see ``core.hooks``."""
        from clinics import needs
        from clinics.letters.about_clinic import lead_named
        from outbox.letters import register
        from people import hooks as of_people
        from people.letters.accounts import own_page_address
        from shifts.letters import backup_swaps, clearances, own_page, shifts
        from shifts.queries.link_pages import lead_name
        from shifts.queries.needs import all_people_needs
        from shifts.services.eligibility import free_former, hold_clinics, release_ineligible
        from shifts.services.merge import hold_clinics_of, settle_two, volunteer_keys

        register(*shifts.LETTERS, *backup_swaps.LETTERS, *clearances.LETTERS, *own_page.LETTERS)
        own_page_address.add(own_page.own_page_link)
        lead_named.add(lead_name)
        of_people.hold_for_change.add(hold_clinics)
        of_people.no_longer.add(free_former)
        of_people.standing_fell.add(release_ineligible)
        of_people.hold_for_merge.add(hold_clinics_of)
        of_people.settle_two.add(settle_two)
        of_people.volunteer_keys.add(volunteer_keys)
        needs.needs.add(all_people_needs)
