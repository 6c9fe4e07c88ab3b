from django.apps import AppConfig


class ClinicsConfig(AppConfig):
    name = "clinics"
