"""What the rules of clinics refuse, in words."""

import pytest

from clinics.formatting import children_words
from clinics.models import AgeBand, Clinic
from clinics.rules.cover_needs import duties_needed
from clinics.rules.heat import heat_class
from clinics.rules.supervision import RATIO_TABLES
from clinics.words.heat import heat_words
from clinics.words.supervision import ratio_words


@pytest.mark.parametrize(
    ("bands", "sentence"),
    [
        ([(8, 6, 10)], "Ages 8 to 6 are in the wrong order. Put the younger age first."),
        ([(6, 8, -1)], "Ages 6 to 8 can’t have -1 children. Enter 0 or more."),
        (
            [(6, 8, 10_001)],
            "10,001 children are more than one clinic can hold. Enter 10,000 or fewer, or split the clinic.",
        ),
        (
            [(3, 8, 10)],
            "The table American Camp Association, day camp covers ages 4 to 18, so it has no ratio for age 3. "
            "Choose another table, or change the ages.",
        ),
    ],
)
def test_what_a_table_refuses_is_said_with_its_numbers(bands, sentence):
    with pytest.raises(ValueError) as refused:
        duties_needed(bands, RATIO_TABLES["aca_day_camp"], stem=False)

    assert ratio_words(refused.value) == sentence


@pytest.mark.parametrize("degrees", [70, 80, 90, 103, 125])
def test_every_class_of_heat_has_words(degrees):
    assert heat_words(heat_class(degrees))


def test_one_child_of_one_age_is_said_in_the_singular(make_clinic):
    clinic = make_clinic()
    AgeBand.objects.filter(clinic=clinic).delete()
    assert children_words(Clinic.objects.get(pk=clinic.pk)) == "no children expected yet"
    AgeBand.objects.create(clinic=clinic, youngest=9, oldest=9, children=1)
    assert children_words(Clinic.objects.get(pk=clinic.pk)) == "1 child, age 9"
    AgeBand.objects.create(clinic=clinic, youngest=10, oldest=12, children=11)
    assert children_words(Clinic.objects.get(pk=clinic.pk)) == "12 children, ages 9 to 12"
