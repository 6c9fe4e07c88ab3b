"""What guardians type, in the tests of registering."""

__all__ = ["second", "years"]


def years(count, clinic):
    return clinic.day.replace(year=clinic.day.year - count, day=1)


def second(clinic, name="Fern Ash", age=9):
    return {"children": 2, "children__1__name": name, "children__1__experience": "team",
            "children__1__birth_date": years(age, clinic).isoformat(),
            "children__1__allergies_answer": "none"}  # fmt: skip
