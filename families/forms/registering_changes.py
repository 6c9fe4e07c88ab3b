"""What the buttons of the public form do short of sending it: one child or person more or fewer, another language."""

from django.http import QueryDict

from families.forms.registering import MOST_CHILDREN, MOST_OTHERS

__all__ = ["changed"]


def changed(data: QueryDict) -> QueryDict | None:
    """What was typed with one child or pickup person more or fewer, as the pressed button says; None for a sending."""
    for what, most in (("children", MOST_CHILDREN), ("others", MOST_OTHERS)):
        number = data.get(what, "")
        count = min(int(number), most) if number.isdecimal() and len(number) < 6 else 0
        out = data.copy()
        if data.get("add") == what:
            out[what] = str(min(count + 1, most))
            return out
        gone = data.get("remove", "").removeprefix(f"{what}-")
        if gone.isdecimal() and len(gone) < 3 and int(gone) < count:
            _close_gap(out, what, int(gone), count)
            out[what] = str(count - 1)
            return out
    # The other language was chosen (the form says the one it has, the button the one that is wanted), or another
    # clinic, to which the form was sent with everything typed.
    return data.copy() if len(data.getlist("in")) > 1 or "add" in data or "remove" in data else None


def _close_gap(data: QueryDict, what: str, gone: int, count: int) -> None:
    for key in [key for key in data if key.startswith(f"{what}-{gone}-")]:
        del data[key]
    for place in range(gone + 1, count):
        for key in [key for key in data if key.startswith(f"{what}-{place}-")]:
            data[f"{what}-{place - 1}-{key.removeprefix(f'{what}-{place}-')}"] = str(data[key])
            del data[key]
