from django.apps import AppConfig


class ConfigConfig(AppConfig):
    name = "config"
    verbose_name = "Wiring"

    def ready(self) -> None:
        from people.forms.accounts import ForgotPasswordForm
        from people.services.clearances import Port
        from scheduling.services.accounts import write_password_note
        from scheduling.services.fitness import release_unfit

        # People may know neither the outbox nor the shifts; wiring joins them.
        ForgotPasswordForm.deliver = staticmethod(write_password_note)
        Port.standing_fell = staticmethod(release_unfit)
