from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("floor", "0003_released_despite")]

    operations = [
        migrations.AddField(
            model_name="floorday",
            name="twins",
            field=models.JSONField(default=list, help_text="Pairs of children who may be one, still to be settled."),
        ),
    ]
