from django.apps import AppConfig


class FloorConfig(AppConfig):
    name = "floor"
    verbose_name = "Floor"

    def ready(self) -> None:
        """Answers what the apps below ask; see ``core.hooks``."""
        from clinics import needs
        from families import hooks as family_hooks
        from floor.letters import stand_ins
        from floor.queries.follow_ups import not_to_play
        from floor.queries.incident_needs import all_incident_needs
        from floor.queries.leading import leading
        from floor.queries.needs import all_floor_needs
        from floor.queries.twin_needs import all_twin_needs
        from floor.queries.twins import twin_children
        from floor.queries.waiver_needs import paper_needs
        from floor.services import merge_answers
        from floor.services.phones import floor_page
        from outbox.letters import register
        from people import hooks as of_people
        from shifts import hooks as shift_hooks

        register(*stand_ins.LETTERS)
        of_people.settle_two.add(merge_answers.settle_volunteers)
        of_people.volunteer_keys.add(merge_answers.volunteer_keys)
        family_hooks.lock_before_children.add(merge_answers.lock_children)
        family_hooks.hold_for_merge.add(merge_answers.hold_children)
        family_hooks.settle_two.add(merge_answers.settle_children)
        family_hooks.child_keys.add(merge_answers.child_keys)
        family_hooks.child_forgotten.add(merge_answers.forget_child_on_floor)
        family_hooks.leading.add(leading)
        family_hooks.on_the_floor.add(merge_answers.any_on_floor)
        family_hooks.perhaps_one.add(twin_children)
        family_hooks.purge_leftovers.add(merge_answers.purge_old_logs)
        shift_hooks.hold_for_merge.add(merge_answers.hold_volunteers)
        shift_hooks.floor_page.add(floor_page)
        family_hooks.not_to_play.add(not_to_play)
        needs.needs.add(all_floor_needs, all_incident_needs, all_twin_needs, paper_needs)
