"""An activity as the office enters it, and the file that activities are imported from."""

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row, Submit
from django import forms
from django.utils.translation import gettext_lazy as _

from core.rules.refused import Refused
from runsheets.models import Activity
from runsheets.rules.activities import parse_things
from runsheets.words.reasons import problem_words

__all__ = ["ActivityFileForm", "ActivityForm"]


class ActivityForm(forms.ModelForm):
    class Meta:
        model = Activity
        fields = [
            "name", "kind", "level", "youngest", "oldest", "least_minutes", "most_minutes", "group_size",
            "cycle_seconds", "players", "turns_at_once", "hoops", "balls", "balls_each", "tables", "sockets", "adults",
            "skill", "things", "teaching", "safety", "record",
        ]  # fmt: skip
        widgets = {name: forms.Textarea(attrs={"rows": 4}) for name in ("things", "teaching", "safety")}

    def __init__(self, *args: object, **more: object) -> None:
        super().__init__(*args, **more)  # type: ignore[arg-type]
        self.helper = FormHelper()
        self.helper.layout = Layout(
            Fieldset(
                _("About the activity"),
                "name",
                Row(Column("kind"), Column("level")),
                Row(Column("youngest"), Column("oldest")),
            ),
            Fieldset(
                _("Time and group size"),
                Row(Column("least_minutes"), Column("most_minutes")),
                "group_size",
                Row(Column("cycle_seconds"), Column("players"), Column("turns_at_once")),
            ),
            Fieldset(
                _("Equipment and adults"),
                Row(Column("hoops"), Column("balls"), Column("balls_each")),
                Row(Column("tables"), Column("sockets")),
                Row(Column("adults"), Column("skill")),
                "things",
            ),
            Fieldset(_("Instructions"), "teaching", "safety", "record"),
            Submit("save", _("Save the activity")),
        )

    def clean_things(self) -> str:
        things: str = self.cleaned_data["things"]
        try:
            parse_things(things.splitlines())
        except Refused as problem:
            raise forms.ValidationError(problem_words(problem)) from problem
        return things


class ActivityFileForm(forms.Form):
    file = forms.FileField(
        label=_("CSV file"),
        help_text=_("A CSV file (UTF-8), up to 200 kB. Use “Download as CSV” to get a file to start from."),
    )
