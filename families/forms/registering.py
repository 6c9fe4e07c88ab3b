"""The public form by which a household asks for spots: one page, up to six children, without JavaScript.

Children and pickup people are lists of small forms whose lengths the page itself carries; adding and removing one is a
sending that keeps everything typed and checks nothing.
"""

import uuid
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any, TypeVar

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext as _

from families.forms.household import HouseholdForm, RegisteringChildForm, RegisteringPickupPersonForm
from families.models import WaiverText
from families.services.households import ChildFacts, HouseholdFacts, PickupPersonFacts

__all__ = ["MOST_CHILDREN", "MOST_OTHERS", "RegistrationForms"]

MOST_CHILDREN = 6
# Beside the guardian, so that at most four people may pick up.
MOST_OTHERS = 3
Form = TypeVar("Form", bound=forms.Form)


class RegistrationForms:
    """The whole page: the household, its children, who else picks up, and the ``once`` that makes it one sending."""

    def __init__(self, data: QueryDict | None, *, today: date, check: bool = True) -> None:
        """``check=False`` shows what was typed and says nothing about it."""
        self.once = _uuid(data.get("once", "")) if data is not None else uuid.uuid4()
        self.too_many = False
        self._data, self._check = data, check
        self.household = self._make(HouseholdForm, "", initial={"picks_up": True})
        self.children = [
            self._make(RegisteringChildForm, f"children-{place}", today=today)
            for place in range(self._count("children", 1, MOST_CHILDREN))
        ]
        self.others = [
            self._make(RegisteringPickupPersonForm, f"others-{place}")
            for place in range(self._count("others", 0, MOST_OTHERS))
        ]

    def _make(self, kind: type[Form], prefix: str, **more: Any) -> Form:
        data = self._data
        if data is None or self._check:
            return kind(data, prefix=prefix or None, use_required_attribute=False, **more)
        names = {name: f"{prefix}-{name}" if prefix else name for name in kind.base_fields}
        typed = {name: data.get(key, "") for name, key in names.items()}
        return kind(prefix=prefix or None, use_required_attribute=False, **(more | {"initial": typed}))

    def _count(self, what: str, least: int, most: int) -> int:
        data: Mapping[str, Any] = self._data or {}
        number = str(data.get(what, least))
        count = int(number) if number.isdecimal() and len(number) < 6 else least
        self.too_many = self.too_many or count > most or f"{what}-{most}-name" in data
        return max(least, min(count, most))

    @property
    def forms(self) -> list[forms.Form]:
        return [self.household, *self.children, *self.others]

    def is_valid(self) -> bool:
        good = not [form for form in self.forms if not form.is_valid()]
        if self.too_many:
            words = _("One form takes up to %(children)s children and %(others)s pickup people besides you.")
            self.household.add_error(None, words % {"children": MOST_CHILDREN, "others": MOST_OTHERS})
        if not self.others and not self.household.cleaned_data.get("picks_up"):
            self.household.add_error("picks_up", _("Enter at least one person who may pick up your children."))
        return good and not self.household.errors

    @property
    def may_add_child(self) -> bool:
        return len(self.children) < MOST_CHILDREN

    @property
    def may_add_other(self) -> bool:
        return len(self.others) < MOST_OTHERS

    @property
    def next_child(self) -> str:
        """Where the page goes when one more is asked for."""
        return f"children-{len(self.children)}"

    @property
    def next_other(self) -> str:
        return f"others-{len(self.others)}"

    @property
    def problems(self) -> list[tuple[str, str]]:
        """Every sentence with the id of the field that it speaks of, in the order of the page."""
        if not self.household.is_bound:
            return []
        out = [("", str(sentence)) for sentence in self.household.non_field_errors()]
        first, rest = ("guardian_name", "email", "phone"), ("emergency_name", "emergency_phone", "picks_up")
        out += _problems(self.household, first)
        for child in self.children:
            out += _problems(child, child.fields)
        out += _problems(self.household, rest)
        for other in self.others:
            out += _problems(other, other.fields)
        return out + _problems(self.household, ("photos", "signed"))

    def facts(self, *, language: str, text: WaiverText, came_from: str) -> HouseholdFacts:
        """What was typed, for the service. Only when ``is_valid``."""
        data = self.household.cleaned_data
        pickup_people = [PickupPersonFacts(data["guardian_name"], data["phone"])] if data["picks_up"] else []
        pickup_people += [
            PickupPersonFacts(other.cleaned_data["name"], other.cleaned_data["phone"]) for other in self.others
        ]
        return HouseholdFacts(
            guardian_name=data["guardian_name"],
            email=data["email"],
            phone=data["phone"],
            emergency_name=data["emergency_name"],
            emergency_phone=data["emergency_phone"],
            language=language,
            children=[ChildFacts(**child.cleaned_data) for child in self.children],
            pickup_people=pickup_people,
            photos=data["photos"] == "yes",
            signed=data["signed"],
            text=text,
            came_from=came_from,
        )

    def show(self, field: str | None, sentence: str) -> None:
        """Put a refusal's sentence beside the field that it names, such as ``children-0-birth_date``."""
        for child in self.children:
            if field is not None and field.startswith(f"{child.prefix}-"):
                child.add_error(field.removeprefix(f"{child.prefix}-"), sentence)
                return
        self.household.add_error(field if field in self.household.fields else None, sentence)


def _problems(form: forms.Form, names: Iterable[str]) -> list[tuple[str, str]]:
    return [(form[name].auto_id, str(sentence)) for name in names for sentence in form[name].errors]


def _uuid(text: str) -> uuid.UUID:
    try:
        return uuid.UUID(text)
    except ValueError:
        return uuid.uuid4()
