from django.apps import AppConfig


class ConfigConfig(AppConfig):
    name = "config"
    verbose_name = "Wiring"

    def ready(self) -> None:
        """Each app answers what the apps below it ask; see ``config.hooks``."""
        people_answers()
        families_answers()
        shifts_answers()
        kits_answers()
        runsheets_answers()
        floor_answers()
        scheduling_answers()


def people_answers() -> None:
    from outbox.letters import register
    from people import hooks
    from people.emails import accounts
    from scheduling.services.merging import own_keys

    register(*accounts.LETTERS)
    hooks.volunteer_keys.add(own_keys)


def families_answers() -> None:
    from clinics import needs
    from outbox.letters import register
    from people import hooks as of_people
    from people.services.household_rows import household_tables
    from scheduling import family_hooks
    from scheduling.emails import families, family_requests
    from scheduling.queries.ahead.families import all_family_needs
    from scheduling.services.families.keys import child_keys, guardian_keys

    register(*families.LETTERS, *family_requests.LETTERS)
    of_people.table_kinds.add(household_tables)
    needs.needs.add(all_family_needs)
    family_hooks.child_keys.add(child_keys)
    family_hooks.guardian_keys.add(guardian_keys)


def shifts_answers() -> None:
    from clinics import needs
    from outbox.letters import register
    from people import hooks as of_people
    from people.emails.accounts import own_page_address
    from scheduling.emails import asking, clearances, own_page, shifts
    from scheduling.emails.about_clinic import lead_named
    from scheduling.queries.ahead.people import all_people_needs
    from scheduling.queries.link_pages import lead_name
    from scheduling.services.fitness import free_former, hold_clinics, release_unfit
    from scheduling.services.one_volunteer import hold_clinics_of, settle_two, volunteer_keys

    register(*shifts.LETTERS, *asking.LETTERS, *clearances.LETTERS, *own_page.LETTERS)
    own_page_address.add(own_page.own_page_link)
    lead_named.add(lead_name)
    of_people.hold_for_change.add(hold_clinics)
    of_people.no_longer.add(free_former)
    of_people.standing_fell.add(release_unfit)
    of_people.hold_for_joining.add(hold_clinics_of)
    of_people.settle_two.add(settle_two)
    of_people.volunteer_keys.add(volunteer_keys)
    needs.needs.add(all_people_needs)


def kits_answers() -> None:
    from clinics import needs
    from scheduling.queries.ahead.kits import all_kit_needs

    needs.needs.add(all_kit_needs)


def runsheets_answers() -> None:
    from clinics import needs
    from clinics.queries.sheet_packing import needs_of_sheets
    from scheduling import kit_hooks
    from scheduling.queries.ahead.run_sheets import all_run_sheet_needs

    kit_hooks.needs_of_clinics.add(needs_of_sheets)
    needs.needs.add(all_run_sheet_needs)


def floor_answers() -> None:
    from clinics import needs
    from people import hooks as of_people
    from scheduling import family_hooks, shift_hooks
    from scheduling.queries.ahead.floor import all_floor_needs
    from scheduling.services.floor import one_record
    from scheduling.services.floor.phones import floor_page

    of_people.settle_two.add(one_record.settle_volunteers)
    of_people.volunteer_keys.add(one_record.volunteer_keys)
    family_hooks.lock_before_children.add(one_record.lock_children)
    family_hooks.hold_for_joining.add(one_record.hold_children)
    family_hooks.settle_two.add(one_record.settle_children)
    family_hooks.child_keys.add(one_record.child_keys)
    family_hooks.child_forgotten.add(one_record.forget_child_on_floor)
    family_hooks.on_the_floor.add(one_record.any_on_floor)
    family_hooks.purge_leftovers.add(one_record.purge_old_logs)
    shift_hooks.hold_for_joining.add(one_record.hold_volunteers)
    shift_hooks.floor_page.add(floor_page)
    needs.needs.add(all_floor_needs)


def scheduling_answers() -> None:
    from clinics import hooks as of_clinics
    from outbox.hooks import page_of_subject
    from outbox.letters import register
    from scheduling import shift_hooks
    from scheduling.emails import agreements, bookings
    from scheduling.queries.clinics import page_of_note
    from scheduling.services.bookings import confirm_agreed
    from scheduling.services.holds import space_of
    from scheduling.services.supposed_clinics import change_as_supposed

    register(*bookings.LETTERS, *agreements.LETTERS)
    page_of_subject.add(page_of_note)
    of_clinics.sheet_may_be_whole.add(confirm_agreed)
    of_clinics.space_of.add(space_of)
    shift_hooks.change_as_supposed.add(change_as_supposed)
