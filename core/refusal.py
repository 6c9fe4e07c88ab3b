"""A service's "no": sentences for people, codes for tests, and the field each belongs to."""

from dataclasses import dataclass

from django.forms import BaseForm

__all__ = ["Reason", "Refusal"]


@dataclass(frozen=True)
class Reason:
    code: str
    text: str
    field: str | None = None


class Refusal(ValueError):
    """Raised by a service that writes nothing, with every reason against and not only the first."""

    def __init__(self, *reasons: Reason) -> None:
        super().__init__(" ".join(reason.text for reason in reasons))
        self.reasons = list(reasons)

    @classmethod
    def because(cls, code: str, text: str, field: str | None = None) -> "Refusal":
        return cls(Reason(code, text, field))

    @property
    def codes(self) -> set[str]:
        return {reason.code for reason in self.reasons}

    def show_on(self, form: BaseForm) -> None:
        """Put each sentence beside the field it speaks of, so that what was typed stays."""
        for reason in self.reasons:
            form.add_error(reason.field if reason.field in form.fields else None, reason.text)
