from clinics.models.centers import Center, Space
from clinics.models.clinics import AgeBand, Clinic, ClinicQuerySet, HandNeed, Status

__all__ = ["AgeBand", "Center", "Clinic", "ClinicQuerySet", "HandNeed", "Space", "Status"]
