"""The weather that someone reads off on the day."""

from django import forms
from django.utils.translation import gettext_lazy as _

__all__ = ["HeatForm"]


class HeatForm(forms.Form):
    fahrenheit = forms.FloatField(label=_("Temperature in the shade (°F)"), min_value=-50, max_value=150)
    humidity = forms.FloatField(label=_("Humidity (%)"), min_value=0, max_value=100)
