"""A sign-in overlaps no other of the same person at the same clinic; another clinic's log is not asked.

A child whom nobody signed out last week was "in" for ever, and kept today's sign-ins from being written.
"""

import django.contrib.postgres.constraints
import django.contrib.postgres.fields.ranges
from django.db import migrations, models

import clinics.models.floor


class Migration(migrations.Migration):
    dependencies = [
        ("clinics", "0012_activity_history"),
        ("people", "0007_incident_right"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="signin",
            name="a_child_is_signed_in_once_at_a_time",
        ),
        migrations.RemoveConstraint(
            model_name="signin",
            name="an_adult_is_signed_in_once_at_a_time",
        ),
        migrations.AddConstraint(
            model_name="signin",
            constraint=django.contrib.postgres.constraints.ExclusionConstraint(
                condition=models.Q(("child__isnull", False)),
                expressions=[
                    ("clinic", "="),
                    ("child", "="),
                    (
                        clinics.models.floor.TsTzRange(
                            "in_at", "out_at", django.contrib.postgres.fields.ranges.RangeBoundary()
                        ),
                        "&&",
                    ),
                ],
                name="a_child_is_signed_in_once_at_a_time",
            ),
        ),
        migrations.AddConstraint(
            model_name="signin",
            constraint=django.contrib.postgres.constraints.ExclusionConstraint(
                condition=models.Q(("volunteer__isnull", False)),
                expressions=[
                    ("clinic", "="),
                    ("volunteer", "="),
                    (
                        clinics.models.floor.TsTzRange(
                            "in_at", "out_at", django.contrib.postgres.fields.ranges.RangeBoundary()
                        ),
                        "&&",
                    ),
                ],
                name="an_adult_is_signed_in_once_at_a_time",
            ),
        ),
    ]
