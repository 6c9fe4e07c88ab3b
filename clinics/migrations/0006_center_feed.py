from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("clinics", "0005_opening_hours")]

    operations = [
        migrations.AddField("center", "feed_counter", models.PositiveIntegerField(default=0, editable=False)),
    ]
