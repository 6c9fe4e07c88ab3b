import django.contrib.postgres.constraints
import django.contrib.postgres.fields.ranges
import django.db.models.deletion
import pgtrigger.compiler
import pgtrigger.migrations
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("core", "0001_initial"),
        ("clinics", "0001_initial"),
        ("pghistory", "0007_auto_20250421_0444"),
    ]

    operations = [
        migrations.CreateModel(
            name="Booking",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("period", django.contrib.postgres.fields.ranges.DateTimeRangeField()),
                (
                    "status",
                    models.CharField(
                        choices=[("tentative", "tentative"), ("confirmed", "confirmed"), ("cancelled", "cancelled")],
                        default="tentative",
                        max_length=10,
                    ),
                ),
                ("asked_at", models.DateTimeField()),
                (
                    "answer",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "no answer yet"),
                            ("agreed", "agreed"),
                            ("not possible", "not available"),
                            ("another time", "suggested another time"),
                        ],
                        default="",
                        max_length=20,
                    ),
                ),
                ("answered_at", models.DateTimeField(blank=True, null=True)),
                ("answer_words", models.CharField(blank=True, max_length=300)),
                ("suggested_start", models.DateTimeField(blank=True, null=True)),
                ("suggested_end", models.DateTimeField(blank=True, null=True)),
                ("link_counter", models.PositiveIntegerField(default=0, editable=False)),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="bookings", to="clinics.clinic"
                    ),
                ),
                (
                    "space",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="bookings", to="clinics.space"
                    ),
                ),
            ],
            options={
                "ordering": ["clinic", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="BookingRequest",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("asked_at", models.DateTimeField()),
                ("link_counter", models.PositiveIntegerField(default=0)),
                (
                    "center",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="askings", to="clinics.center"
                    ),
                ),
            ],
            options={
                "ordering": ["-asked_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="BookingEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                ("period", django.contrib.postgres.fields.ranges.DateTimeRangeField()),
                (
                    "status",
                    models.CharField(
                        choices=[("tentative", "tentative"), ("confirmed", "confirmed"), ("cancelled", "cancelled")],
                        default="tentative",
                        max_length=10,
                    ),
                ),
                ("asked_at", models.DateTimeField()),
                (
                    "answer",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "no answer yet"),
                            ("agreed", "agreed"),
                            ("not possible", "not available"),
                            ("another time", "suggested another time"),
                        ],
                        default="",
                        max_length=20,
                    ),
                ),
                ("answered_at", models.DateTimeField(blank=True, null=True)),
                ("answer_words", models.CharField(blank=True, max_length=300)),
                ("suggested_start", models.DateTimeField(blank=True, null=True)),
                ("suggested_end", models.DateTimeField(blank=True, null=True)),
                ("link_counter", models.PositiveIntegerField(default=0, editable=False)),
                (
                    "clinic",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="clinics.clinic",
                    ),
                ),
                (
                    "pgh_context",
                    models.ForeignKey(
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="pghistory.context",
                    ),
                ),
                (
                    "pgh_obj",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="events",
                        to="scheduling.booking",
                    ),
                ),
                (
                    "space",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="clinics.space",
                    ),
                ),
                (
                    "booking_request",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="scheduling.bookingrequest",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddField(
            model_name="booking",
            name="booking_request",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="bookings",
                to="scheduling.bookingrequest",
            ),
        ),
        migrations.CreateModel(
            name="FormerBooking",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("starts_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                ("sequence", models.PositiveIntegerField()),
                ("left_at", models.DateTimeField()),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="former_bookings", to="clinics.clinic"
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
            },
        ),
        migrations.CreateModel(
            name="OfficeFeed",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("feed_counter", models.PositiveIntegerField(default=0, editable=False)),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("pk", 1)), name="one_row_of_the_office_feed")
                ],
            },
        ),
        migrations.AddConstraint(
            model_name="booking",
            constraint=django.contrib.postgres.constraints.ExclusionConstraint(
                condition=models.Q(("status", "cancelled"), _negated=True),
                expressions=[("space", "="), ("period", "&&")],
                name="one_booking_per_space_at_a_time",
            ),
        ),
        migrations.AddConstraint(
            model_name="booking",
            constraint=models.UniqueConstraint(
                condition=models.Q(("status", "cancelled"), _negated=True),
                fields=("clinic",),
                name="one_live_space_booking_per_clinic",
            ),
        ),
        migrations.AddConstraint(
            model_name="booking",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("answer", "another time"), ("suggested_end__isnull", False), ("suggested_start__isnull", False)
                    ),
                    models.Q(("answer", "another time"), _negated=True),
                    _connector="OR",
                ),
                name="another_time_names_the_time",
            ),
        ),
        migrations.AddConstraint(
            model_name="booking",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("suggested_end__isnull", True), ("suggested_end__gt", models.F("suggested_start")), _connector="OR"
                ),
                name="suggested_end_after_start",
            ),
        ),
        migrations.AddConstraint(
            model_name="booking",
            constraint=models.CheckConstraint(
                condition=models.Q(("period__isempty", False)), name="booking_period_holds_some_time"
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="booking",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "scheduling_bookingevent" ("answer", "answer_words", "answered_at", "asked_at", "booking_request_id", "clinic_id", "id", "link_counter", "period", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "space_id", "status", "suggested_end", "suggested_start") VALUES (NEW."answer", NEW."answer_words", NEW."answered_at", NEW."asked_at", NEW."booking_request_id", NEW."clinic_id", NEW."id", NEW."link_counter", NEW."period", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."space_id", NEW."status", NEW."suggested_end", NEW."suggested_start"); RETURN NULL;',
                    hash="e1ba6ed7fbe6d1bc3fcef237fcd3ef80ed3d41ef",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_7f30b",
                    table="scheduling_booking",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="booking",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "scheduling_bookingevent" ("answer", "answer_words", "answered_at", "asked_at", "booking_request_id", "clinic_id", "id", "link_counter", "period", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "space_id", "status", "suggested_end", "suggested_start") VALUES (NEW."answer", NEW."answer_words", NEW."answered_at", NEW."asked_at", NEW."booking_request_id", NEW."clinic_id", NEW."id", NEW."link_counter", NEW."period", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."space_id", NEW."status", NEW."suggested_end", NEW."suggested_start"); RETURN NULL;',
                    hash="db69236048a34f725b438d07ccff4c4a28cbf64a",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_db94f",
                    table="scheduling_booking",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="booking",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "scheduling_bookingevent" ("answer", "answer_words", "answered_at", "asked_at", "booking_request_id", "clinic_id", "id", "link_counter", "period", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "space_id", "status", "suggested_end", "suggested_start") VALUES (OLD."answer", OLD."answer_words", OLD."answered_at", OLD."asked_at", OLD."booking_request_id", OLD."clinic_id", OLD."id", OLD."link_counter", OLD."period", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."space_id", OLD."status", OLD."suggested_end", OLD."suggested_start"); RETURN NULL;',
                    hash="3487cbc164a0c520898eef7451b258eafe6a3bcb",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_589b6",
                    table="scheduling_booking",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddIndex(
            model_name="formerbooking",
            index=models.Index(fields=["space", "ends_at"], name="former_bookings_of_a_space"),
        ),
        migrations.AddConstraint(
            model_name="formerbooking",
            constraint=models.CheckConstraint(
                condition=models.Q(("ends_at__gt", models.F("starts_at"))), name="former_booking_ends_after_its_start"
            ),
        ),
    ]
