"""Where a phone on the floor was last heard from, and which child a walk-in became.

No page opened a phone before this, so no row needs an address that anybody would ask for.
"""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("people", "0007_incident_right"),
        ("clinics", "0009_contacts_agreements"),
    ]

    operations = [
        migrations.AddField(
            model_name="flooraction",
            name="child",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="floor_actions",
                to="people.child",
            ),
        ),
        migrations.AddField(
            model_name="floorphone",
            name="came_from",
            field=models.GenericIPAddressField(default="0.0.0.0", verbose_name="address it was last heard from"),
            preserve_default=False,
        ),
    ]
