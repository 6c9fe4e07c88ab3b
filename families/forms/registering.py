"""The public form by which a household asks for places: one page, up to six children, without JavaScript.

Children and collectors are lists of small forms whose lengths the page itself carries; adding and removing one is a
sending that keeps everything typed and checks nothing.
"""

import re
import uuid
from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any, TypeVar

from django import forms
from django.core.validators import MaxLengthValidator
from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext_lazy

from families.models import WaiverText
from families.services.households import ChildFacts, CollectorFacts, HouseholdFacts

__all__ = ["MOST_CHILDREN", "MOST_OTHERS", "FamilyLinkForm", "RegistrationForms"]

MOST_CHILDREN = 6
# Beside the guardian, so that at most four people may collect.
MOST_OTHERS = 3
CARE_LENGTH = 2000
Form = TypeVar("Form", bound=forms.Form)
DIGITS = re.compile(r"[0-9+()\[\]./\- ]*(?:(?:ext\.?|x|#)[0-9 ]*)?", re.IGNORECASE)
PHONE = {"type": "tel", "inputmode": "tel"}


def _short(length: int) -> MaxLengthValidator:
    """A sentence rather than the browser's silent cut: what is cut off an allergy is not missed until it matters."""
    return MaxLengthValidator(
        length,
        ngettext_lazy(
            "Write at most %(limit_value)d letter; these are %(show_value)d.",
            "Write at most %(limit_value)d letters; these are %(show_value)d.",
            "limit_value",
        ),
    )


class Line(forms.CharField):
    """One line of text; ``missing`` is the sentence when it is empty."""

    def __init__(self, label: Any, missing: Any = "", *, length: int = 120, attrs: Any = None, **more: Any) -> None:
        more.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off", **(attrs or {})}))
        super().__init__(
            label=label,
            required=bool(missing),
            error_messages={"required": missing} if missing else None,
            validators=[_short(length)],
            **more,
        )


class PhoneLine(Line):
    def __init__(self, label: Any, missing: Any = "", *, attrs: Any = None, **more: Any) -> None:
        super().__init__(label, missing, length=40, attrs=PHONE | (attrs or {}), **more)

    def clean(self, value: Any) -> str:
        text = str(super().clean(value))
        if text and (DIGITS.fullmatch(text) is None or sum(letter.isdecimal() for letter in text) < 7):
            raise forms.ValidationError(_("Write the telephone in digits, at least seven, such as 555-0100."))
        return text


class HouseholdForm(forms.Form):
    guardian_name = Line(
        gettext_lazy("Your name"),
        gettext_lazy("Write your name."),
        attrs={"autocomplete": "name", "dir": "auto"},
    )
    email = forms.EmailField(
        label=gettext_lazy("Mail address"),
        required=False,
        max_length=254,
        error_messages={"invalid": gettext_lazy("Write a whole mail address, such as name@example.org.")},
        widget=forms.EmailInput(attrs={"autocomplete": "email", "inputmode": "email"}),
    )
    phone = PhoneLine(gettext_lazy("Telephone"), attrs={"autocomplete": "tel"})
    emergency_name = Line(
        gettext_lazy("Name"),
        gettext_lazy("Write whom we call when we can’t reach you."),
        attrs={"dir": "auto"},
    )
    emergency_phone = PhoneLine(
        gettext_lazy("Telephone"), gettext_lazy("Write the telephone of whoever we call in an emergency.")
    )
    collects = forms.BooleanField(label=gettext_lazy("I collect them myself"), required=False)
    photos = forms.ChoiceField(
        label=gettext_lazy("May we take photos in which your children can be recognised?"),
        choices=[("yes", gettext_lazy("Yes, you may")), ("no", gettext_lazy("No, please don’t"))],
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose yes or no about photos. Either is fine.")},
    )
    signed = Line(
        gettext_lazy("Type your name to sign"),
        gettext_lazy("Type your name under the text to sign it."),
        attrs={"autocomplete": "name", "dir": "auto"},
    )
    # Left empty by people, filled in by programs; hidden by the stylesheet, not by its type.
    website = forms.CharField(
        label=gettext_lazy("Leave this empty"),
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "tabindex": "-1"}),
    )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        if not data.get("email") and not data.get("phone") and not {"email", "phone"} & set(self.errors):
            self.add_error("email", _("Give a mail address or a telephone."))
        return data


class RegisteringChildForm(forms.Form):
    name = Line(gettext_lazy("Name"), gettext_lazy("Write the child’s name."), attrs={"dir": "auto"})
    birth_date = forms.DateField(
        label=gettext_lazy("Date of birth"),
        widget=forms.DateInput(attrs={"type": "date", "autocomplete": "off"}, format="%Y-%m-%d"),
        input_formats=["%Y-%m-%d"],
        error_messages={
            "required": gettext_lazy("Write the child’s date of birth."),
            "invalid": gettext_lazy("Write the date of birth as year-month-day, such as 2017-05-30."),
        },
    )
    experience = forms.ChoiceField(
        label=gettext_lazy("Basketball so far"),
        error_messages={"required": gettext_lazy("Choose how much the child has played.")},
        initial="new",
        choices=[
            ("new", gettext_lazy("New to it")),
            ("some", gettext_lazy("Has played a little")),
            ("team", gettext_lazy("Plays in a team")),
        ],
    )
    school_year = Line(gettext_lazy("School year"), length=20)
    allergies = forms.CharField(
        label=gettext_lazy("Allergies"),
        required=False,
        validators=[_short(CARE_LENGTH)],
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    care_notes = forms.CharField(
        label=gettext_lazy("What helps us look after your child"),
        help_text=gettext_lazy("Medicine, what calms or upsets them, how they talk with us."),
        required=False,
        validators=[_short(CARE_LENGTH)],
        widget=forms.Textarea(attrs={"rows": 3}),
    )

    def __init__(self, *args: Any, today: date, **more: Any) -> None:
        super().__init__(*args, **more)
        self.today = today
        self.fields["birth_date"].widget.attrs["max"] = today.isoformat()
        # The soonest clinic where this child fits and has a place, once this one does not take it.
        self.fits_at: Any = None
        self.fits_nowhere = False

    def clean_birth_date(self) -> date:
        born: date = self.cleaned_data["birth_date"]
        if born > self.today:
            raise forms.ValidationError(_("This day has not come yet. Check the date of birth."))
        return born

    @property
    def unfolded(self) -> bool:
        """Whether something stands, or is wrong, under the fold."""
        names = ("allergies", "care_notes", "school_year")
        return any(self[name].value() or self[name].errors for name in names)


class RegisteringCollectorForm(forms.Form):
    name = Line(
        gettext_lazy("Name"), gettext_lazy("Write their name, or take this person away."), attrs={"dir": "auto"}
    )
    phone = PhoneLine(gettext_lazy("Telephone"))


class FamilyLinkForm(forms.Form):
    email = forms.EmailField(
        label=gettext_lazy("Your mail address"),
        max_length=254,
        error_messages={
            "required": gettext_lazy("Write your mail address."),
            "invalid": gettext_lazy("Write a whole mail address, such as name@example.org."),
        },
        widget=forms.EmailInput(attrs={"autocomplete": "email", "inputmode": "email"}),
    )


class RegistrationForms:
    """The whole page: the household, its children, who else collects, and the ``once`` that makes it one sending."""

    def __init__(self, data: QueryDict | None, *, today: date, check: bool = True) -> None:
        """``check=False`` shows what was typed and says nothing about it."""
        self.once = _uuid(data.get("once", "")) if data is not None else uuid.uuid4()
        self.too_many = False
        self._data, self._check = data, check
        self.household = self._make(HouseholdForm, "", initial={"collects": True})
        self.children = [
            self._make(RegisteringChildForm, f"children-{place}", today=today)
            for place in range(self._count("children", 1, MOST_CHILDREN))
        ]
        self.others = [
            self._make(RegisteringCollectorForm, f"others-{place}")
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
            words = _("One form takes up to %(children)s children and %(others)s people beside you.")
            self.household.add_error(None, words % {"children": MOST_CHILDREN, "others": MOST_OTHERS})
        if not self.others and not self.household.cleaned_data.get("collects"):
            self.household.add_error("collects", _("Name at least one person who may collect your children."))
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
        first, rest = ("guardian_name", "email", "phone"), ("emergency_name", "emergency_phone", "collects")
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
        collectors = [CollectorFacts(data["guardian_name"], data["phone"])] if data["collects"] else []
        collectors += [CollectorFacts(other.cleaned_data["name"], other.cleaned_data["phone"]) for other in self.others]
        return HouseholdFacts(
            guardian_name=data["guardian_name"],
            email=data["email"],
            phone=data["phone"],
            emergency_name=data["emergency_name"],
            emergency_phone=data["emergency_phone"],
            language=language,
            children=[ChildFacts(**child.cleaned_data) for child in self.children],
            collectors=collectors,
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
