import uuid

import django.contrib.postgres.constraints
import django.core.validators
import django.db.models.deletion
import pgtrigger.compiler
import pgtrigger.migrations
from django.conf import settings
from django.db import migrations, models

import clinics.models.centers
import core.clock


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("core", "0001_initial"),
        ("people", "0001_initial"),
        ("pghistory", "0007_auto_20250421_0444"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Center",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=120, unique=True, verbose_name="name")),
                (
                    "time_zone",
                    models.CharField(
                        default="America/New_York",
                        max_length=60,
                        validators=[clinics.models.centers.check_time_zone],
                        verbose_name="time zone",
                    ),
                ),
                (
                    "address",
                    models.CharField(
                        help_text="Street address, as a visitor would need it.", max_length=200, verbose_name="address"
                    ),
                ),
                (
                    "arrival",
                    models.CharField(
                        blank=True,
                        help_text="Which door, where to park, who has the key.",
                        max_length=300,
                        verbose_name="when you arrive",
                    ),
                ),
                (
                    "latitude",
                    models.FloatField(
                        blank=True,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(-90),
                            django.core.validators.MaxValueValidator(90),
                        ],
                        verbose_name="latitude",
                    ),
                ),
                (
                    "longitude",
                    models.FloatField(
                        blank=True,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(-180),
                            django.core.validators.MaxValueValidator(180),
                        ],
                        verbose_name="longitude",
                    ),
                ),
                (
                    "contact_name",
                    models.CharField(
                        help_text="The person who approves use of the space.",
                        max_length=120,
                        verbose_name="contact’s name",
                    ),
                ),
                ("contact_email", models.EmailField(max_length=254, verbose_name="contact’s email")),
                ("contact_phone", models.CharField(blank=True, max_length=40, verbose_name="contact’s phone")),
                (
                    "place",
                    models.CharField(
                        blank=True,
                        help_text="If this center requires extra clearances, the name used for it in the policy, such as a school district.",
                        max_length=60,
                        verbose_name="name in the clearance policy",
                    ),
                ),
                (
                    "ratio_table",
                    models.CharField(
                        blank=True,
                        help_text="A supervision table for this center, used along with the clinic’s own. We use the stricter one.",
                        max_length=40,
                        verbose_name="extra supervision table",
                    ),
                ),
                (
                    "asks_agreement",
                    models.BooleanField(
                        default=True,
                        help_text="We check that one is in effect on each clinic’s day.",
                        verbose_name="a use-of-space agreement is required",
                    ),
                ),
                (
                    "asks_insurance",
                    models.BooleanField(
                        default=True,
                        help_text="We check that one is in effect on each clinic’s day.",
                        verbose_name="a certificate of insurance is required",
                    ),
                ),
                ("active", models.BooleanField(default=True, verbose_name="hosts our clinics")),
                ("feed_counter", models.PositiveIntegerField(default=0, editable=False)),
                (
                    "defibrillator",
                    models.CharField(blank=True, max_length=200, verbose_name="where the defibrillator is"),
                ),
                (
                    "first_aid_kit",
                    models.CharField(blank=True, max_length=200, verbose_name="where the first-aid kit is"),
                ),
                (
                    "hospital",
                    models.CharField(
                        blank=True, help_text="Name, address, phone.", max_length=200, verbose_name="nearest hospital"
                    ),
                ),
                (
                    "assembly_point",
                    models.CharField(blank=True, max_length=200, verbose_name="meeting point outside"),
                ),
                ("plan_seen_on", models.DateField(blank=True, null=True, verbose_name="emergency plan reviewed on")),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("latitude__isnull", True), ("longitude__isnull", True)),
                            models.Q(("latitude__isnull", False), ("longitude__isnull", False)),
                            _connector="OR",
                        ),
                        name="center_point_has_both_or_neither",
                        violation_error_message="Enter both latitude and longitude, or leave both empty.",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Clinic",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("starts_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                (
                    "theme",
                    models.CharField(
                        blank=True,
                        help_text="The hands-on activity. Leave empty if there isn’t one.",
                        max_length=120,
                        verbose_name="STEM activity",
                    ),
                ),
                (
                    "bring",
                    models.CharField(
                        default="Water, indoor shoes, your badge", max_length=200, verbose_name="what to bring"
                    ),
                ),
                (
                    "status",
                    models.CharField(
                        choices=[("tentative", "tentative"), ("confirmed", "confirmed"), ("cancelled", "cancelled")],
                        default="tentative",
                        max_length=10,
                    ),
                ),
                ("ratio_table", models.CharField(default="aca_day_camp", max_length=40)),
                (
                    "funder_table",
                    models.CharField(
                        blank=True,
                        help_text="Used along with the table above. We use the stricter one.",
                        max_length=40,
                        verbose_name="funder’s supervision table",
                    ),
                ),
                (
                    "takes_families",
                    models.BooleanField(
                        default=True,
                        help_text="Yes: families can register online once the clinic is confirmed. No: only your office gives out spots.",
                        verbose_name="registration open",
                    ),
                ),
                (
                    "offer_next",
                    models.BooleanField(
                        default=False,
                        help_text="If someone declines, doesn’t answer in time, or comes off because they’re no longer cleared.",
                        verbose_name="ask the next person automatically",
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "series",
                    models.UUIDField(
                        db_index=True, editable=False, help_text="Shared by clinics of one series.", null=True
                    ),
                ),
                ("revision", models.PositiveIntegerField(default=0, editable=False)),
                ("cancelled_because", models.CharField(blank=True, max_length=200)),
                ("created_at", models.DateTimeField(default=core.clock.now, editable=False)),
                (
                    "center",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="clinics", to="clinics.center"
                    ),
                ),
            ],
            options={
                "ordering": ["starts_at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="AgeBand",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("youngest", models.PositiveSmallIntegerField(verbose_name="youngest")),
                ("oldest", models.PositiveSmallIntegerField(verbose_name="oldest")),
                (
                    "children",
                    models.PositiveSmallIntegerField(
                        help_text="Children expected in this age group. This is also the number of spots.",
                        verbose_name="children",
                    ),
                ),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="bands", to="clinics.clinic"
                    ),
                ),
            ],
            options={
                "ordering": ["clinic", "youngest"],
            },
        ),
        migrations.CreateModel(
            name="ClinicEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                ("starts_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                (
                    "theme",
                    models.CharField(
                        blank=True,
                        help_text="The hands-on activity. Leave empty if there isn’t one.",
                        max_length=120,
                        verbose_name="STEM activity",
                    ),
                ),
                (
                    "bring",
                    models.CharField(
                        default="Water, indoor shoes, your badge", max_length=200, verbose_name="what to bring"
                    ),
                ),
                (
                    "status",
                    models.CharField(
                        choices=[("tentative", "tentative"), ("confirmed", "confirmed"), ("cancelled", "cancelled")],
                        default="tentative",
                        max_length=10,
                    ),
                ),
                ("ratio_table", models.CharField(default="aca_day_camp", max_length=40)),
                (
                    "funder_table",
                    models.CharField(
                        blank=True,
                        help_text="Used along with the table above. We use the stricter one.",
                        max_length=40,
                        verbose_name="funder’s supervision table",
                    ),
                ),
                (
                    "takes_families",
                    models.BooleanField(
                        default=True,
                        help_text="Yes: families can register online once the clinic is confirmed. No: only your office gives out spots.",
                        verbose_name="registration open",
                    ),
                ),
                (
                    "offer_next",
                    models.BooleanField(
                        default=False,
                        help_text="If someone declines, doesn’t answer in time, or comes off because they’re no longer cleared.",
                        verbose_name="ask the next person automatically",
                    ),
                ),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False)),
                ("series", models.UUIDField(editable=False, help_text="Shared by clinics of one series.", null=True)),
                ("revision", models.PositiveIntegerField(default=0, editable=False)),
                ("cancelled_because", models.CharField(blank=True, max_length=200)),
                ("created_at", models.DateTimeField(default=core.clock.now, editable=False)),
                (
                    "center",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="clinics.center",
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
                        to="clinics.clinic",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="ClosedDays",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("first_day", models.DateField()),
                ("last_day", models.DateField()),
                ("why", models.CharField(blank=True, max_length=120)),
                (
                    "center",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="closed_days", to="clinics.center"
                    ),
                ),
            ],
            options={
                "ordering": ["center", "first_day"],
            },
        ),
        migrations.CreateModel(
            name="HandNeed",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("people", models.PositiveSmallIntegerField()),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="hand_needs", to="clinics.clinic"
                    ),
                ),
                (
                    "duty",
                    models.ForeignKey(
                        db_column="duty",
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="people.duty",
                        to_field="code",
                    ),
                ),
            ],
            options={
                "ordering": ["clinic", "duty_id"],
            },
        ),
        migrations.CreateModel(
            name="OpenHours",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "weekday",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Monday"),
                            (1, "Tuesday"),
                            (2, "Wednesday"),
                            (3, "Thursday"),
                            (4, "Friday"),
                            (5, "Saturday"),
                            (6, "Sunday"),
                        ]
                    ),
                ),
                ("opens", models.TimeField()),
                ("closes", models.TimeField()),
                (
                    "center",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="open_hours", to="clinics.center"
                    ),
                ),
            ],
            options={
                "ordering": ["center", "weekday"],
            },
        ),
        migrations.CreateModel(
            name="Space",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=80, verbose_name="name")),
                ("hoops", models.PositiveSmallIntegerField(default=0, verbose_name="hoops")),
                (
                    "lowest_rim_ft",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        max_digits=3,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(4),
                            django.core.validators.MaxValueValidator(10),
                        ],
                        verbose_name="lowest rim (ft)",
                    ),
                ),
                (
                    "highest_rim_ft",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        max_digits=3,
                        null=True,
                        validators=[
                            django.core.validators.MinValueValidator(4),
                            django.core.validators.MaxValueValidator(10),
                        ],
                        verbose_name="highest rim (ft)",
                    ),
                ),
                (
                    "capacity",
                    models.PositiveSmallIntegerField(
                        help_text="Most people allowed at once, children and adults.", verbose_name="capacity"
                    ),
                ),
                ("sockets", models.PositiveSmallIntegerField(default=0, verbose_name="power outlets")),
                (
                    "tables",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="For the STEM activity. Leave empty if you don’t know; we’ll assume there are enough.",
                        null=True,
                        verbose_name="tables",
                    ),
                ),
                ("wifi", models.BooleanField(default=False, verbose_name="Wi-Fi we can use")),
                ("indoors", models.BooleanField(default=True, verbose_name="indoors")),
                ("active", models.BooleanField(default=True, verbose_name="in use")),
                (
                    "center",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="spaces", to="clinics.center"
                    ),
                ),
            ],
            options={
                "ordering": ["center__name", "name"],
            },
        ),
        migrations.CreateModel(
            name="SpacePhoto",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "alt",
                    models.CharField(
                        help_text="For people who can’t see it. Example: six hoops, doors on the left.",
                        max_length=160,
                        verbose_name="what it shows",
                    ),
                ),
                ("large", models.BinaryField()),
                ("small", models.BinaryField()),
                (
                    "width",
                    models.PositiveSmallIntegerField(
                        help_text="Of the small photo, so that the page keeps its layout."
                    ),
                ),
                ("height", models.PositiveSmallIntegerField()),
                ("added_at", models.DateTimeField()),
                (
                    "added_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "space",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="photos", to="clinics.space"
                    ),
                ),
            ],
            options={
                "ordering": ["space", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Agreement",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[("use", "use-of-space agreement"), ("insurance", "certificate of insurance")],
                        max_length=12,
                    ),
                ),
                ("from_day", models.DateField(verbose_name="first day")),
                ("until_day", models.DateField(verbose_name="last day")),
                (
                    "reference",
                    models.CharField(
                        blank=True,
                        help_text="The number or name on the document.",
                        max_length=80,
                        verbose_name="reference",
                    ),
                ),
                ("file", models.BinaryField(null=True)),
                ("file_name", models.CharField(blank=True, max_length=100)),
                ("file_type", models.CharField(blank=True, max_length=20)),
                ("recorded_at", models.DateTimeField(editable=False)),
                ("taken_back_at", models.DateTimeField(editable=False, null=True)),
                (
                    "recorded_by",
                    models.ForeignKey(
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "taken_back_by",
                    models.ForeignKey(
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "center",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="agreements", to="clinics.center"
                    ),
                ),
            ],
            options={
                "ordering": ["center", "kind", "-from_day", "-pk"],
                "indexes": [models.Index(fields=["center", "kind", "until_day"], name="agreements_of_a_center")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("until_day__gte", models.F("from_day"))),
                        name="agreement_days_in_order",
                        violation_error_message="The last day is before the first day. Check both dates.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("file__isnull", True), ("file_name", ""), ("file_type", "")),
                            models.Q(
                                ("file__isnull", False),
                                ("file_type__in", ["application/pdf", "image/jpeg", "image/png"]),
                                models.Q(("file_name", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="an_agreements_file_has_name_and_type",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="CenterContact",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=120, verbose_name="name")),
                ("email", models.EmailField(blank=True, max_length=254, verbose_name="email")),
                ("phone", models.CharField(blank=True, max_length=40, verbose_name="phone")),
                ("answers_bookings", models.BooleanField(default=False, verbose_name="answers our booking requests")),
                ("looks_after_agreements", models.BooleanField(default=False, verbose_name="handles agreements")),
                ("opens_door", models.BooleanField(default=False, verbose_name="opens the door on the day")),
                ("active", models.BooleanField(default=True, editable=False)),
                (
                    "center",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="contacts", to="clinics.center"
                    ),
                ),
            ],
            options={
                "ordering": ["center", "name", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("active", True), ("answers_bookings", True)),
                        fields=("center",),
                        name="one_contact_answers_for_hours",
                        violation_error_message="Another contact already answers booking requests. Uncheck it for them first.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("active", True), ("looks_after_agreements", True)),
                        fields=("center",),
                        name="one_contact_looks_after_agreements",
                        violation_error_message="Another contact already handles agreements. Uncheck it for them first.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("answers_bookings", True),
                            ("looks_after_agreements", True),
                            ("opens_door", True),
                            _connector="OR",
                        ),
                        name="a_contact_answers_for_something",
                        violation_error_message="Check at least one thing this contact handles.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("answers_bookings", False), ("looks_after_agreements", False)),
                            models.Q(("email", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="a_contact_who_is_written_to_has_an_address",
                        violation_error_message="Enter an email. We need one for the person who answers bookings or handles agreements.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("opens_door", False), models.Q(("phone", ""), _negated=True), _connector="OR"
                        ),
                        name="who_opens_the_door_has_a_telephone",
                        violation_error_message="Enter a phone number. We’ll call the person who opens the door if it’s locked.",
                    ),
                ],
            },
        ),
        migrations.AddIndex(
            model_name="clinic",
            index=models.Index(fields=["starts_at"], name="clinics_cli_starts__288b98_idx"),
        ),
        migrations.AddIndex(
            model_name="clinic",
            index=models.Index(fields=["ends_at"], name="clinics_cli_ends_at_bc528a_idx"),
        ),
        migrations.AddConstraint(
            model_name="clinic",
            constraint=models.CheckConstraint(
                condition=models.Q(("ends_at__gt", models.F("starts_at"))), name="clinic_ends_after_it_starts"
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="clinic",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "clinics_clinicevent" ("bring", "cancelled_because", "center_id", "created_at", "ends_at", "funder_table", "id", "offer_next", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "ratio_table", "revision", "series", "starts_at", "status", "takes_families", "theme", "uid") VALUES (NEW."bring", NEW."cancelled_because", NEW."center_id", NEW."created_at", NEW."ends_at", NEW."funder_table", NEW."id", NEW."offer_next", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."ratio_table", NEW."revision", NEW."series", NEW."starts_at", NEW."status", NEW."takes_families", NEW."theme", NEW."uid"); RETURN NULL;',
                    hash="8ec396b19ba248c59e45753819edf96ff013940a",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_59aa9",
                    table="clinics_clinic",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="clinic",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "clinics_clinicevent" ("bring", "cancelled_because", "center_id", "created_at", "ends_at", "funder_table", "id", "offer_next", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "ratio_table", "revision", "series", "starts_at", "status", "takes_families", "theme", "uid") VALUES (NEW."bring", NEW."cancelled_because", NEW."center_id", NEW."created_at", NEW."ends_at", NEW."funder_table", NEW."id", NEW."offer_next", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."ratio_table", NEW."revision", NEW."series", NEW."starts_at", NEW."status", NEW."takes_families", NEW."theme", NEW."uid"); RETURN NULL;',
                    hash="8ec27af442cd6f61c76607bd44c60217e7a9b594",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_2f1c8",
                    table="clinics_clinic",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="clinic",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "clinics_clinicevent" ("bring", "cancelled_because", "center_id", "created_at", "ends_at", "funder_table", "id", "offer_next", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "ratio_table", "revision", "series", "starts_at", "status", "takes_families", "theme", "uid") VALUES (OLD."bring", OLD."cancelled_because", OLD."center_id", OLD."created_at", OLD."ends_at", OLD."funder_table", OLD."id", OLD."offer_next", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."ratio_table", OLD."revision", OLD."series", OLD."starts_at", OLD."status", OLD."takes_families", OLD."theme", OLD."uid"); RETURN NULL;',
                    hash="3d204935e72cfdd23d85c2c9f2a9dcadeb7ba741",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_a5f0c",
                    table="clinics_clinic",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="ageband",
            constraint=models.CheckConstraint(
                condition=models.Q(("oldest__gte", models.F("youngest"))), name="age_band_in_order"
            ),
        ),
        migrations.AddConstraint(
            model_name="ageband",
            constraint=models.CheckConstraint(
                condition=models.Q(("children__gte", 1)), name="age_band_expects_somebody"
            ),
        ),
        migrations.AddConstraint(
            model_name="ageband",
            constraint=django.contrib.postgres.constraints.ExclusionConstraint(
                expressions=[
                    ("clinic", "="),
                    (
                        models.Func(models.F("youngest"), models.F("oldest"), models.Value("[]"), function="int4range"),
                        "&&",
                    ),
                ],
                name="age_bands_of_a_clinic_do_not_overlap",
            ),
        ),
        migrations.AddConstraint(
            model_name="closeddays",
            constraint=models.UniqueConstraint(fields=("center", "first_day", "last_day"), name="closed_days_once"),
        ),
        migrations.AddConstraint(
            model_name="closeddays",
            constraint=models.CheckConstraint(
                condition=models.Q(("last_day__gte", models.F("first_day"))), name="closed_days_in_order"
            ),
        ),
        migrations.AddConstraint(
            model_name="handneed",
            constraint=models.UniqueConstraint(fields=("clinic", "duty"), name="one_hand_need_per_duty"),
        ),
        migrations.AddConstraint(
            model_name="handneed",
            constraint=models.CheckConstraint(condition=models.Q(("people__lte", 60)), name="hand_need_at_most_60"),
        ),
        migrations.AddConstraint(
            model_name="openhours",
            constraint=models.UniqueConstraint(fields=("center", "weekday"), name="one_opening_per_weekday"),
        ),
        migrations.AddConstraint(
            model_name="openhours",
            constraint=models.CheckConstraint(
                condition=models.Q(("closes__gt", models.F("opens"))), name="closes_after_it_opens"
            ),
        ),
        migrations.AddConstraint(
            model_name="space",
            constraint=models.UniqueConstraint(
                fields=("center", "name"),
                name="one_space_of_a_name_per_center",
                violation_error_message="This center already has a space with that name.",
            ),
        ),
        migrations.AddConstraint(
            model_name="space",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("lowest_rim_ft__isnull", True),
                    ("highest_rim_ft__isnull", True),
                    ("highest_rim_ft__gte", models.F("lowest_rim_ft")),
                    _connector="OR",
                ),
                name="space_rims_in_order",
                violation_error_message="The highest rim is lower than the lowest. Check both heights.",
            ),
        ),
        migrations.AddConstraint(
            model_name="space",
            constraint=models.CheckConstraint(
                condition=models.Q(("capacity__gte", 1)),
                name="space_holds_somebody",
                violation_error_message="Enter how many people the space holds, at least 1.",
            ),
        ),
        migrations.AddConstraint(
            model_name="spacephoto",
            constraint=models.CheckConstraint(
                condition=models.Q(("alt", ""), _negated=True), name="a_photo_says_what_it_shows"
            ),
        ),
    ]
