"""Heat index from air temperature and humidity.

Source: US National Weather Service, Weather Prediction Center, heat index equation (Rothfusz, SR 90-23, 1990) with its
two adjustments; classes by the NWS chart. Values are for shade: full sun adds up to 15 °F. For exercise a wet-bulb
globe temperature is preferred. Follow local guidance first.
"""

from __future__ import annotations

from math import sqrt

__all__ = ["heat_class", "heat_index"]


def heat_index(fahrenheit: float, humidity: float, *, adjusted: bool = True) -> float:
    """The heat index in °F, from the air temperature in °F and the humidity in percent.

    ``adjusted`` False gives the bare regression. Raises ValueError for a humidity outside 0 to 100 or a temperature
    outside -50 to 150.
    """
    if not 0 <= humidity <= 100:
        raise ValueError(f"Humidity must be from 0 to 100 percent, not {humidity:g}.")
    if not -50 <= fahrenheit <= 150:
        raise ValueError(f"{fahrenheit:g} °F isn't a possible air temperature. Check the number.")
    t, r = fahrenheit, humidity
    simple = 0.5 * (t + 61 + (t - 68) * 1.2 + 0.094 * r)
    if adjusted and (simple + t) / 2 < 80:
        return (simple + t) / 2
    full = (
        -42.379 + 2.04901523 * t + 10.14333127 * r - 0.22475541 * t * r - 0.00683783 * t * t - 0.05481717 * r * r
        + 0.00122874 * t * t * r + 0.00085282 * t * r * r - 0.00000199 * t * t * r * r
    )  # fmt: skip
    if adjusted and r < 13 and 80 <= t <= 112:
        full -= (13 - r) / 4 * sqrt((17 - abs(t - 95)) / 17)
    elif adjusted and r > 85 and 80 <= t <= 87:
        full += (r - 85) / 10 * (87 - t) / 5
    return full


def heat_class(index: float) -> str:
    """The NWS's class for a heat index in °F: caution from 80, extreme caution 90, danger 103, extreme danger 125."""
    for least, word in ((125, "extreme danger"), (103, "danger"), (90, "extreme caution"), (80, "caution")):
        if index >= least:
            return word
    return "no caution"
