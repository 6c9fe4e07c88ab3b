"""The weather that somebody reads off on the day."""

from django import forms

__all__ = ["HeatForm"]


class HeatForm(forms.Form):
    fahrenheit = forms.FloatField(label="Degrees Fahrenheit in the shade", min_value=-50, max_value=150)
    humidity = forms.FloatField(label="Humidity in percent", min_value=0, max_value=100)
