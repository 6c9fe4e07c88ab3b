import django.contrib.postgres.fields
import django.contrib.postgres.indexes
import django.core.serializers.json
from django.db import migrations, models

import core.clock


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("core", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Note",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("key", models.CharField(max_length=200, unique=True)),
                ("kind", models.CharField(help_text="The code of a letter; see outbox.letters.", max_length=24)),
                ("to_name", models.CharField(max_length=120)),
                ("to_email", models.EmailField(max_length=254)),
                ("language", models.CharField(default="en", max_length=10)),
                ("summary", models.CharField(help_text="One line for the outbox page.", max_length=200)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "waiting"),
                            ("sending", "sending"),
                            ("sent", "sent"),
                            ("dropped", "not sent: out of date"),
                            ("stuck", "needs attention"),
                        ],
                        default="waiting",
                        max_length=10,
                    ),
                ),
                ("due_at", models.DateTimeField()),
                ("written_at", models.DateTimeField(default=core.clock.now, editable=False)),
                (
                    "about",
                    django.contrib.postgres.fields.ArrayField(
                        base_field=models.CharField(max_length=80), blank=True, default=list, size=None
                    ),
                ),
                (
                    "facts",
                    models.JSONField(blank=True, default=dict, encoder=django.core.serializers.json.DjangoJSONEncoder),
                ),
                ("claim", models.UUIDField(null=True)),
                ("claimed_until", models.DateTimeField(null=True)),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                (
                    "last_answer",
                    models.TextField(blank=True, help_text="The mail server's own words, or why it was dropped."),
                ),
                ("message_id", models.CharField(max_length=120, unique=True)),
                ("sent_at", models.DateTimeField(null=True)),
            ],
            options={
                "ordering": ["-due_at", "-pk"],
                "indexes": [
                    models.Index(
                        condition=models.Q(("state__in", ["waiting", "sending"])),
                        fields=["due_at"],
                        name="notes_to_send",
                    ),
                    models.Index(fields=["-due_at", "-id"], name="notes_newest_first"),
                    django.contrib.postgres.indexes.GinIndex(fields=["about"], name="notes_by_subject"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("sent_at__isnull", False), models.Q(("state", "sent"), _negated=True), _connector="OR"
                        ),
                        name="a_sent_note_has_its_time",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "sending"), _negated=True),
                            models.Q(("claim__isnull", False), ("claimed_until__isnull", False)),
                            _connector="OR",
                        ),
                        name="a_note_being_sent_is_claimed",
                    ),
                ],
            },
        ),
    ]
