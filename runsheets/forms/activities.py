"""An activity as the office writes it, and the file that activities are read from."""

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row, Submit
from django import forms

from runsheets.models import Activity

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
                "What it is", "name", Row(Column("kind"), Column("level")), Row(Column("youngest"), Column("oldest"))
            ),
            Fieldset(
                "How long, how many",
                Row(Column("least_minutes"), Column("most_minutes")),
                "group_size",
                Row(Column("cycle_seconds"), Column("players"), Column("turns_at_once")),
            ),
            Fieldset(
                "What with",
                Row(Column("hoops"), Column("balls"), Column("balls_each")),
                Row(Column("tables"), Column("sockets")),
                Row(Column("adults"), Column("skill")),
                "things",
            ),
            Fieldset("In words", "teaching", "safety", "record"),
            Submit("save", "Save the activity"),
        )


class ActivityFileForm(forms.Form):
    file = forms.FileField(label="CSV file", help_text="UTF-8, at most 200 kB. “Export” gives one to start from.")
