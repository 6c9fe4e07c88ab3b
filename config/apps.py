from django.apps import AppConfig


class ConfigConfig(AppConfig):
    name = "config"
    verbose_name = "Wiring"

    def ready(self) -> None:
        from people.forms.accounts import ForgotPasswordForm
        from scheduling.services.accounts import write_password_note

        # People may not know the outbox; wiring joins the two.
        ForgotPasswordForm.deliver = staticmethod(write_password_note)
