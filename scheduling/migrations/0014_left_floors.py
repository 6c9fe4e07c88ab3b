import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("clinics", "0011_run_sheets"),
        ("scheduling", "0013_askings"),
    ]

    operations = [
        migrations.CreateModel(
            name="LeftFloor",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("starts_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                ("sequence", models.PositiveIntegerField()),
                ("left_at", models.DateTimeField()),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="left_floors", to="clinics.clinic"
                    ),
                ),
                (
                    "space",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="left_by", to="clinics.space"
                    ),
                ),
            ],
            options={
                "ordering": ["clinic", "-left_at", "-pk"],
                "indexes": [models.Index(fields=["space", "ends_at"], name="left_floors_of_a_space")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("ends_at__gt", models.F("starts_at"))),
                        name="left_floor_ends_after_its_start",
                    )
                ],
            },
        ),
    ]
