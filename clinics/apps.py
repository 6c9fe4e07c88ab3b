from django.apps import AppConfig


class ClinicsConfig(AppConfig):
    name = "clinics"
    verbose_name = "Clinics"
