from django.apps import AppConfig


class ConfigConfig(AppConfig):
    name = "config"
    verbose_name = "Wiring"

    def ready(self) -> None:
        from clinics.services import centers
        from people.forms.accounts import ForgotPasswordForm
        from people.services import clearances, volunteers
        from scheduling.services.accounts import write_password_note
        from scheduling.services.bookings import confirm_agreed
        from scheduling.services.fitness import free_former, hold_clinics, release_unfit

        # People may know neither the outbox nor the shifts; wiring joins them.
        ForgotPasswordForm.deliver = staticmethod(write_password_note)
        clearances.Port.standing_fell = staticmethod(release_unfit)
        centers.Port.sheet_may_be_whole = staticmethod(confirm_agreed)
        volunteers.Port.hold = staticmethod(hold_clinics)
        volunteers.Port.no_longer = staticmethod(free_former)
