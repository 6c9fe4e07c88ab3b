from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("scheduling", "0007_hold_ending"), ("clinics", "0006_center_feed")]

    operations = [
        migrations.CreateModel(
            name="OfficeFeed",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("feed_counter", models.PositiveIntegerField(default=0, editable=False)),
            ],
        ),
        migrations.AddConstraint(
            model_name="officefeed",
            constraint=models.CheckConstraint(condition=models.Q(("pk", 1)), name="one_row_of_the_office_feed"),
        ),
    ]
