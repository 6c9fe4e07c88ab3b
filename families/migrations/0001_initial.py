import uuid

import django.contrib.postgres.indexes
import django.db.models.deletion
import django.db.models.functions.text
import pgtrigger.compiler
import pgtrigger.migrations
from django.conf import settings
from django.db import migrations, models

import core.secret_text


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("core", "0001_initial"),
        ("clinics", "0001_initial"),
        ("pghistory", "0007_auto_20250421_0444"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="ChildEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                ("name", models.CharField(max_length=120)),
                ("birth_date", models.DateField(verbose_name="date of birth")),
                (
                    "experience",
                    models.CharField(
                        choices=[
                            ("new", "New to basketball"),
                            ("some", "Has played a little"),
                            ("team", "Plays on a team"),
                        ],
                        default="new",
                        max_length=8,
                    ),
                ),
                ("school_year", models.CharField(blank=True, max_length=20, verbose_name="grade")),
                ("has_care", models.BooleanField(default=False, editable=False)),
                ("registered_at", models.DateTimeField()),
                ("redacted_at", models.DateTimeField(blank=True, editable=False, null=True)),
                (
                    "held_because",
                    models.CharField(blank=True, max_length=200, verbose_name="keep on hold because"),
                ),
                ("forgotten_at", models.DateTimeField(blank=True, editable=False, null=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="PickupPerson",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=120)),
                ("phone", models.CharField(blank=True, max_length=40, verbose_name="phone")),
                ("relation", models.CharField(blank=True, max_length=60, verbose_name="relationship to the child")),
                ("must_not", models.BooleanField(default=False, verbose_name="must not pick up")),
                (
                    "seen",
                    models.CharField(
                        blank=True,
                        help_text="What your office saw, such as a court order and its date.",
                        max_length=200,
                    ),
                ),
                ("recorded_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["child", "-must_not", "name"],
            },
        ),
        migrations.CreateModel(
            name="PickupPersonEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                ("name", models.CharField(max_length=120)),
                ("phone", models.CharField(blank=True, max_length=40, verbose_name="phone")),
                ("relation", models.CharField(blank=True, max_length=60, verbose_name="relationship to the child")),
                ("must_not", models.BooleanField(default=False, verbose_name="must not pick up")),
                (
                    "seen",
                    models.CharField(
                        blank=True,
                        help_text="What your office saw, such as a court order and its date.",
                        max_length=200,
                    ),
                ),
                ("recorded_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="FamilyRequest",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "what",
                    models.CharField(
                        choices=[("copy", "a copy of my data"), ("erasure", "delete my data")], max_length=10
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[("waiting", "open"), ("done", "done"), ("declined", "declined")],
                        default="waiting",
                        max_length=10,
                    ),
                ),
                ("asked_at", models.DateTimeField()),
                ("decided_at", models.DateTimeField(blank=True, null=True)),
                ("reason", models.CharField(blank=True, max_length=300)),
                ("link_counter", models.PositiveIntegerField(default=0, editable=False)),
            ],
            options={
                "ordering": ["-asked_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="Guardian",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=120)),
                ("email", models.EmailField(blank=True, max_length=254, verbose_name="email")),
                ("phone", models.CharField(blank=True, max_length=40, verbose_name="phone")),
                (
                    "language",
                    models.CharField(choices=[("en", "English"), ("es", "Español")], default="en", max_length=2),
                ),
                ("reminders", models.BooleanField(default=True)),
                ("registered_at", models.DateTimeField()),
                ("confirmed_at", models.DateTimeField(blank=True, null=True)),
                ("link_counter", models.PositiveIntegerField(default=0, editable=False)),
                ("forgotten_at", models.DateTimeField(blank=True, editable=False, null=True)),
            ],
            options={
                "ordering": ["name", "pk"],
            },
        ),
        migrations.CreateModel(
            name="GuardianAddress",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("email", models.EmailField(max_length=254, verbose_name="email")),
                ("asked_at", models.DateTimeField()),
                ("confirmed_at", models.DateTimeField(null=True)),
                ("link_counter", models.PositiveIntegerField(default=0)),
            ],
            options={
                "ordering": ["-asked_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="GuardianEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                ("name", models.CharField(max_length=120)),
                ("email", models.EmailField(blank=True, max_length=254, verbose_name="email")),
                ("phone", models.CharField(blank=True, max_length=40, verbose_name="phone")),
                (
                    "language",
                    models.CharField(choices=[("en", "English"), ("es", "Español")], default="en", max_length=2),
                ),
                ("reminders", models.BooleanField(default=True)),
                ("registered_at", models.DateTimeField()),
                ("confirmed_at", models.DateTimeField(blank=True, null=True)),
                ("link_counter", models.PositiveIntegerField(default=0, editable=False)),
                ("forgotten_at", models.DateTimeField(blank=True, editable=False, null=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Guardianship",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("emergency_name", models.CharField(blank=True, max_length=120, verbose_name="emergency contact")),
                (
                    "emergency_phone",
                    models.CharField(blank=True, max_length=40, verbose_name="emergency contact’s phone"),
                ),
            ],
            options={
                "ordering": ["child", "guardian"],
            },
        ),
        migrations.CreateModel(
            name="GuardianshipEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                ("emergency_name", models.CharField(blank=True, max_length=120, verbose_name="emergency contact")),
                (
                    "emergency_phone",
                    models.CharField(blank=True, max_length=40, verbose_name="emergency contact’s phone"),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="PhotoAnswer",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("allowed", models.BooleanField()),
                ("answered_at", models.DateTimeField()),
            ],
            options={
                "ordering": ["child", "-answered_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="PhotoAnswerEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                ("allowed", models.BooleanField()),
                ("answered_at", models.DateTimeField()),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Spot",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("held", "has a spot"),
                            ("waiting", "on the waiting list"),
                            ("given up", "spot ended"),
                        ],
                        max_length=10,
                    ),
                ),
                ("age", models.PositiveSmallIntegerField(help_text="The child’s age on the day of the clinic.")),
                ("asked_at", models.DateTimeField()),
                ("answer_by", models.DateTimeField(blank=True, null=True)),
                ("given_up_at", models.DateTimeField(blank=True, null=True)),
                ("because", models.CharField(blank=True, max_length=120)),
                ("link_counter", models.PositiveIntegerField(default=0, editable=False)),
            ],
            options={
                "ordering": ["clinic", "asked_at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="SpotEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("held", "has a spot"),
                            ("waiting", "on the waiting list"),
                            ("given up", "spot ended"),
                        ],
                        max_length=10,
                    ),
                ),
                ("age", models.PositiveSmallIntegerField(help_text="The child’s age on the day of the clinic.")),
                ("asked_at", models.DateTimeField()),
                ("answer_by", models.DateTimeField(blank=True, null=True)),
                ("given_up_at", models.DateTimeField(blank=True, null=True)),
                ("because", models.CharField(blank=True, max_length=120)),
                ("link_counter", models.PositiveIntegerField(default=0, editable=False)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Registration",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("once", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("sent_at", models.DateTimeField()),
            ],
            options={
                "ordering": ["-sent_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="Retention",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "child_months",
                    models.PositiveSmallIntegerField(
                        default=24,
                        help_text="After that we delete allergies, care notes, pickup people, contacts, and photo answers.",
                        verbose_name="months after a child’s last clinic",
                    ),
                ),
                (
                    "majority_age",
                    models.PositiveSmallIntegerField(default=18, verbose_name="age of adulthood in your state"),
                ),
                (
                    "limitation_years",
                    models.PositiveSmallIntegerField(
                        default=2,
                        help_text="We add one year. Ask a licensed lawyer what your state says.",
                        verbose_name="years a claim can be filed after that",
                    ),
                ),
                (
                    "keep_waivers",
                    models.BooleanField(
                        default=True,
                        help_text="If unchecked, we delete the name and signature with everything else.",
                        verbose_name="keep signed waivers until then",
                    ),
                ),
                ("changed_at", models.DateTimeField(null=True)),
            ],
        ),
        migrations.CreateModel(
            name="RetentionEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                (
                    "child_months",
                    models.PositiveSmallIntegerField(
                        default=24,
                        help_text="After that we delete allergies, care notes, pickup people, contacts, and photo answers.",
                        verbose_name="months after a child’s last clinic",
                    ),
                ),
                (
                    "majority_age",
                    models.PositiveSmallIntegerField(default=18, verbose_name="age of adulthood in your state"),
                ),
                (
                    "limitation_years",
                    models.PositiveSmallIntegerField(
                        default=2,
                        help_text="We add one year. Ask a licensed lawyer what your state says.",
                        verbose_name="years a claim can be filed after that",
                    ),
                ),
                (
                    "keep_waivers",
                    models.BooleanField(
                        default=True,
                        help_text="If unchecked, we delete the name and signature with everything else.",
                        verbose_name="keep signed waivers until then",
                    ),
                ),
                ("changed_at", models.DateTimeField(null=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Waiver",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("text_hash", models.CharField(max_length=64)),
                ("typed_name", models.CharField(max_length=120)),
                ("signed_at", models.DateTimeField()),
                ("signed_on", models.DateField()),
                ("until", models.DateField(verbose_name="valid through")),
                (
                    "came_from",
                    models.GenericIPAddressField(blank=True, null=True, verbose_name="internet address it came from"),
                ),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_by", models.CharField(blank=True, max_length=120)),
            ],
            options={
                "ordering": ["child", "-signed_at"],
            },
        ),
        migrations.CreateModel(
            name="WaiverEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                ("text_hash", models.CharField(max_length=64)),
                ("typed_name", models.CharField(max_length=120)),
                ("signed_at", models.DateTimeField()),
                ("signed_on", models.DateField()),
                ("until", models.DateField(verbose_name="valid through")),
                (
                    "came_from",
                    models.GenericIPAddressField(blank=True, null=True, verbose_name="internet address it came from"),
                ),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_by", models.CharField(blank=True, max_length=120)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="WaiverText",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("version", models.PositiveSmallIntegerField()),
                ("language", models.CharField(choices=[("en", "English"), ("es", "Español")], max_length=2)),
                ("title", models.CharField(max_length=120)),
                ("body", models.TextField(max_length=20000)),
                (
                    "months",
                    models.PositiveSmallIntegerField(
                        default=12,
                        help_text="How long a signature on this version stays valid.",
                        verbose_name="valid for (months)",
                    ),
                ),
                (
                    "season_ends",
                    models.DateField(
                        blank=True, help_text="Whichever comes first.", null=True, verbose_name="or until this date"
                    ),
                ),
                (
                    "signs_anew",
                    models.BooleanField(
                        default=False,
                        help_text="Signatures on older versions will no longer be valid.",
                        verbose_name="everyone must sign again",
                    ),
                ),
                (
                    "placeholder",
                    models.BooleanField(
                        default=False, help_text="Sample text. Replace it with one from a licensed lawyer."
                    ),
                ),
                ("published_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["-version", "language"],
            },
        ),
        migrations.CreateModel(
            name="WaiverTextEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                ("version", models.PositiveSmallIntegerField()),
                ("language", models.CharField(choices=[("en", "English"), ("es", "Español")], max_length=2)),
                ("title", models.CharField(max_length=120)),
                ("body", models.TextField(max_length=20000)),
                (
                    "months",
                    models.PositiveSmallIntegerField(
                        default=12,
                        help_text="How long a signature on this version stays valid.",
                        verbose_name="valid for (months)",
                    ),
                ),
                (
                    "season_ends",
                    models.DateField(
                        blank=True, help_text="Whichever comes first.", null=True, verbose_name="or until this date"
                    ),
                ),
                (
                    "signs_anew",
                    models.BooleanField(
                        default=False,
                        help_text="Signatures on older versions will no longer be valid.",
                        verbose_name="everyone must sign again",
                    ),
                ),
                (
                    "placeholder",
                    models.BooleanField(
                        default=False, help_text="Sample text. Replace it with one from a licensed lawyer."
                    ),
                ),
                ("published_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Child",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=120)),
                ("birth_date", models.DateField(verbose_name="date of birth")),
                (
                    "experience",
                    models.CharField(
                        choices=[
                            ("new", "New to basketball"),
                            ("some", "Has played a little"),
                            ("team", "Plays on a team"),
                        ],
                        default="new",
                        max_length=8,
                    ),
                ),
                ("school_year", models.CharField(blank=True, max_length=20, verbose_name="grade")),
                ("allergies", core.secret_text.EncryptedTextField(blank=True, default="")),
                (
                    "care_notes",
                    core.secret_text.EncryptedTextField(
                        blank=True, default="", verbose_name="care notes (anything that helps us care for them)"
                    ),
                ),
                ("has_care", models.BooleanField(default=False, editable=False)),
                ("registered_at", models.DateTimeField()),
                ("redacted_at", models.DateTimeField(blank=True, editable=False, null=True)),
                (
                    "held_because",
                    models.CharField(blank=True, max_length=200, verbose_name="keep on hold because"),
                ),
                ("forgotten_at", models.DateTimeField(blank=True, editable=False, null=True)),
            ],
            options={
                "indexes": [
                    django.contrib.postgres.indexes.GinIndex(
                        fields=["name"], name="child_name_words", opclasses=["gin_trgm_ops"]
                    ),
                    models.Index(fields=["name", "id"], name="child_name_order"),
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("name", ""), _negated=True), ("forgotten_at__isnull", False), _connector="OR"
                        ),
                        name="a_child_has_a_name",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("has_care", True), models.Q(("allergies", ""), ("care_notes", "")), _connector="OR"
                        ),
                        name="care_is_marked_where_it_is",
                    ),
                ],
                "ordering": ["name", "pk"],
                "verbose_name": "child",
                "verbose_name_plural": "children",
            },
        ),
        migrations.CreateModel(
            name="CareReading",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("by_name", models.CharField(max_length=120)),
                ("at", models.DateTimeField()),
                (
                    "where",
                    models.CharField(help_text="On which page, such as: sign-in sheet of clinic 12.", max_length=60),
                ),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "child",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="readings", to="families.child"
                    ),
                ),
            ],
            options={
                "ordering": ["-at", "-pk"],
            },
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="child",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_childevent" ("birth_date", "experience", "forgotten_at", "has_care", "held_because", "id", "name", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "redacted_at", "registered_at", "school_year") VALUES (NEW."birth_date", NEW."experience", NEW."forgotten_at", NEW."has_care", NEW."held_because", NEW."id", NEW."name", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."redacted_at", NEW."registered_at", NEW."school_year"); RETURN NULL;',
                    hash="89efa6d92485c8a3ddd69c3ad4cf67ab958d4702",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_0770a",
                    table="families_child",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="child",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (OLD."birth_date" IS DISTINCT FROM (NEW."birth_date") OR OLD."experience" IS DISTINCT FROM (NEW."experience") OR OLD."forgotten_at" IS DISTINCT FROM (NEW."forgotten_at") OR OLD."has_care" IS DISTINCT FROM (NEW."has_care") OR OLD."held_because" IS DISTINCT FROM (NEW."held_because") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."name" IS DISTINCT FROM (NEW."name") OR OLD."redacted_at" IS DISTINCT FROM (NEW."redacted_at") OR OLD."registered_at" IS DISTINCT FROM (NEW."registered_at") OR OLD."school_year" IS DISTINCT FROM (NEW."school_year"))',
                    func='INSERT INTO "families_childevent" ("birth_date", "experience", "forgotten_at", "has_care", "held_because", "id", "name", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "redacted_at", "registered_at", "school_year") VALUES (NEW."birth_date", NEW."experience", NEW."forgotten_at", NEW."has_care", NEW."held_because", NEW."id", NEW."name", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."redacted_at", NEW."registered_at", NEW."school_year"); RETURN NULL;',
                    hash="5963a69b6ba3d3131e38e4832658e7599e7ea41a",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_cc0bb",
                    table="families_child",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="child",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_childevent" ("birth_date", "experience", "forgotten_at", "has_care", "held_because", "id", "name", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "redacted_at", "registered_at", "school_year") VALUES (OLD."birth_date", OLD."experience", OLD."forgotten_at", OLD."has_care", OLD."held_because", OLD."id", OLD."name", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."redacted_at", OLD."registered_at", OLD."school_year"); RETURN NULL;',
                    hash="b13aa3d6975ea18123d6afeb508a0a0687032b68",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_2786b",
                    table="families_child",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddField(
            model_name="childevent",
            name="pgh_context",
            field=models.ForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="pghistory.context",
            ),
        ),
        migrations.AddField(
            model_name="childevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="events",
                to="families.child",
            ),
        ),
        migrations.AddField(
            model_name="pickupperson",
            name="child",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="pickup_people", to="families.child"
            ),
        ),
        migrations.AddField(
            model_name="pickupperson",
            name="recorded_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="pickuppersonevent",
            name="child",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="families.child",
            ),
        ),
        migrations.AddField(
            model_name="pickuppersonevent",
            name="pgh_context",
            field=models.ForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="pghistory.context",
            ),
        ),
        migrations.AddField(
            model_name="pickuppersonevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="events",
                to="families.pickupperson",
            ),
        ),
        migrations.AddField(
            model_name="pickuppersonevent",
            name="recorded_by",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="familyrequest",
            name="decided_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddIndex(
            model_name="guardian",
            index=models.Index(django.db.models.functions.text.Lower("email"), name="guardian_by_address"),
        ),
        migrations.AddConstraint(
            model_name="guardian",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("email", ""), _negated=True),
                    models.Q(("phone", ""), _negated=True),
                    ("forgotten_at__isnull", False),
                    _connector="OR",
                ),
                name="a_guardian_can_be_reached",
                violation_error_message="Enter an email or a phone number so we can reach someone.",
            ),
        ),
        migrations.AddConstraint(
            model_name="guardian",
            constraint=models.UniqueConstraint(
                django.db.models.functions.text.Lower("email"),
                condition=models.Q(("confirmed_at__isnull", False), models.Q(("email", ""), _negated=True)),
                name="one_confirmed_guardian_per_address",
                violation_error_message="A guardian with this email is already on file.",
            ),
        ),
        migrations.AddField(
            model_name="familyrequest",
            name="guardian",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="requests", to="families.guardian"
            ),
        ),
        migrations.AddField(
            model_name="pickuppersonevent",
            name="named_by",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="families.guardian",
            ),
        ),
        migrations.AddField(
            model_name="pickupperson",
            name="named_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="pickup_people_named",
                to="families.guardian",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="guardian",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_guardianevent" ("confirmed_at", "email", "forgotten_at", "id", "language", "link_counter", "name", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "phone", "registered_at", "reminders") VALUES (NEW."confirmed_at", NEW."email", NEW."forgotten_at", NEW."id", NEW."language", NEW."link_counter", NEW."name", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."phone", NEW."registered_at", NEW."reminders"); RETURN NULL;',
                    hash="da3b629d09f7281ce278b105c4f737414a878c2e",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_1156e",
                    table="families_guardian",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="guardian",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "families_guardianevent" ("confirmed_at", "email", "forgotten_at", "id", "language", "link_counter", "name", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "phone", "registered_at", "reminders") VALUES (NEW."confirmed_at", NEW."email", NEW."forgotten_at", NEW."id", NEW."language", NEW."link_counter", NEW."name", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."phone", NEW."registered_at", NEW."reminders"); RETURN NULL;',
                    hash="1a22197c650ce5fb4bb913c8fd167d9c30247d72",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_9d362",
                    table="families_guardian",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="guardian",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_guardianevent" ("confirmed_at", "email", "forgotten_at", "id", "language", "link_counter", "name", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "phone", "registered_at", "reminders") VALUES (OLD."confirmed_at", OLD."email", OLD."forgotten_at", OLD."id", OLD."language", OLD."link_counter", OLD."name", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."phone", OLD."registered_at", OLD."reminders"); RETURN NULL;',
                    hash="f084ac3d0d00c10096b224272ddf670ac38891ba",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_ed3bd",
                    table="families_guardian",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddField(
            model_name="guardianaddress",
            name="guardian",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="address_changes", to="families.guardian"
            ),
        ),
        migrations.AddField(
            model_name="guardianevent",
            name="pgh_context",
            field=models.ForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="pghistory.context",
            ),
        ),
        migrations.AddField(
            model_name="guardianevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="events",
                to="families.guardian",
            ),
        ),
        migrations.AddField(
            model_name="guardianship",
            name="child",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="guardianships", to="families.child"
            ),
        ),
        migrations.AddField(
            model_name="guardianship",
            name="guardian",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="guardianships", to="families.guardian"
            ),
        ),
        migrations.AddField(
            model_name="guardianshipevent",
            name="child",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="families.child",
            ),
        ),
        migrations.AddField(
            model_name="guardianshipevent",
            name="guardian",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="families.guardian",
            ),
        ),
        migrations.AddField(
            model_name="guardianshipevent",
            name="pgh_context",
            field=models.ForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="pghistory.context",
            ),
        ),
        migrations.AddField(
            model_name="guardianshipevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="events",
                to="families.guardianship",
            ),
        ),
        migrations.AddField(
            model_name="photoanswer",
            name="child",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="photo_answers", to="families.child"
            ),
        ),
        migrations.AddField(
            model_name="photoanswer",
            name="guardian",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="photo_answers",
                to="families.guardian",
            ),
        ),
        migrations.AddField(
            model_name="photoanswerevent",
            name="child",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="families.child",
            ),
        ),
        migrations.AddField(
            model_name="photoanswerevent",
            name="guardian",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="families.guardian",
            ),
        ),
        migrations.AddField(
            model_name="photoanswerevent",
            name="pgh_context",
            field=models.ForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="pghistory.context",
            ),
        ),
        migrations.AddField(
            model_name="photoanswerevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="events",
                to="families.photoanswer",
            ),
        ),
        migrations.AddField(
            model_name="spot",
            name="child",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="spots", to="families.child"
            ),
        ),
        migrations.AddField(
            model_name="spot",
            name="clinic",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="spots", to="clinics.clinic"
            ),
        ),
        migrations.AddField(
            model_name="spot",
            name="guardian",
            field=models.ForeignKey(
                blank=True,
                help_text="Who asked for the spot, and gets emails about it.",
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="spots",
                to="families.guardian",
            ),
        ),
        migrations.AddField(
            model_name="spotevent",
            name="child",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="families.child",
            ),
        ),
        migrations.AddField(
            model_name="spotevent",
            name="clinic",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="clinics.clinic",
            ),
        ),
        migrations.AddField(
            model_name="spotevent",
            name="guardian",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                help_text="Who asked for the spot, and gets emails about it.",
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="families.guardian",
            ),
        ),
        migrations.AddField(
            model_name="spotevent",
            name="pgh_context",
            field=models.ForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="pghistory.context",
            ),
        ),
        migrations.AddField(
            model_name="spotevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="events",
                to="families.spot",
            ),
        ),
        migrations.AddField(
            model_name="registration",
            name="clinic",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="registrations", to="clinics.clinic"
            ),
        ),
        migrations.AddField(
            model_name="registration",
            name="guardian",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="registrations", to="families.guardian"
            ),
        ),
        migrations.AddField(
            model_name="retention",
            name="changed_by",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="retentionevent",
            name="changed_by",
            field=models.ForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="retentionevent",
            name="pgh_context",
            field=models.ForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="pghistory.context",
            ),
        ),
        migrations.AddField(
            model_name="retentionevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="events",
                to="families.retention",
            ),
        ),
        migrations.AddField(
            model_name="waiver",
            name="child",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="waivers", to="families.child"
            ),
        ),
        migrations.AddField(
            model_name="waiver",
            name="guardian",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="waivers",
                to="families.guardian",
            ),
        ),
        migrations.AddField(
            model_name="waiver",
            name="paper_seen_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="waiverevent",
            name="child",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="families.child",
            ),
        ),
        migrations.AddField(
            model_name="waiverevent",
            name="guardian",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="families.guardian",
            ),
        ),
        migrations.AddField(
            model_name="waiverevent",
            name="paper_seen_by",
            field=models.ForeignKey(
                blank=True,
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="waiverevent",
            name="pgh_context",
            field=models.ForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="pghistory.context",
            ),
        ),
        migrations.AddField(
            model_name="waiverevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="events",
                to="families.waiver",
            ),
        ),
        migrations.AddConstraint(
            model_name="waivertext",
            constraint=models.UniqueConstraint(
                fields=("version", "language"), name="one_waiver_text_per_version_and_language"
            ),
        ),
        migrations.AddConstraint(
            model_name="waivertext",
            constraint=models.CheckConstraint(
                condition=models.Q(("months__gte", 1), ("months__lte", 36)), name="waiver_months_1_to_36"
            ),
        ),
        migrations.AddField(
            model_name="waiverevent",
            name="text",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="families.waivertext",
            ),
        ),
        migrations.AddField(
            model_name="waiver",
            name="text",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="signatures", to="families.waivertext"
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="waivertext",
            trigger=pgtrigger.compiler.Trigger(
                name="published_waiver_text_stays",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (OLD."published_at" IS NOT NULL)',
                    func="RAISE EXCEPTION 'pgtrigger: Cannot update or delete rows from % table', TG_TABLE_NAME;",
                    hash="a710dde212b9884e72f73d1dc0c4bec2934807f6",
                    operation="UPDATE OR DELETE",
                    pgid="pgtrigger_published_waiver_text_stays_a7882",
                    table="families_waivertext",
                    when="BEFORE",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="waivertext",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_waivertextevent" ("body", "id", "language", "months", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "placeholder", "published_at", "season_ends", "signs_anew", "title", "version") VALUES (NEW."body", NEW."id", NEW."language", NEW."months", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."placeholder", NEW."published_at", NEW."season_ends", NEW."signs_anew", NEW."title", NEW."version"); RETURN NULL;',
                    hash="be942b3b913081d8e936b4c28ac9970c8e9a585c",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_97937",
                    table="families_waivertext",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="waivertext",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "families_waivertextevent" ("body", "id", "language", "months", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "placeholder", "published_at", "season_ends", "signs_anew", "title", "version") VALUES (NEW."body", NEW."id", NEW."language", NEW."months", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."placeholder", NEW."published_at", NEW."season_ends", NEW."signs_anew", NEW."title", NEW."version"); RETURN NULL;',
                    hash="5ce1b7d2ba96e01f92aab8d63c332c3118420ba0",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_f7902",
                    table="families_waivertext",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="waivertext",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_waivertextevent" ("body", "id", "language", "months", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "placeholder", "published_at", "season_ends", "signs_anew", "title", "version") VALUES (OLD."body", OLD."id", OLD."language", OLD."months", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."placeholder", OLD."published_at", OLD."season_ends", OLD."signs_anew", OLD."title", OLD."version"); RETURN NULL;',
                    hash="1d2985edbed29ef6d32c9e61e59478b5382af9de",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_2faae",
                    table="families_waivertext",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddField(
            model_name="waivertextevent",
            name="pgh_context",
            field=models.ForeignKey(
                db_constraint=False,
                null=True,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                to="pghistory.context",
            ),
        ),
        migrations.AddField(
            model_name="waivertextevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="events",
                to="families.waivertext",
            ),
        ),
        migrations.AddConstraint(
            model_name="familyrequest",
            constraint=models.UniqueConstraint(
                condition=models.Q(("state", "waiting")),
                fields=("guardian", "what"),
                name="one_waiting_request_of_a_kind",
            ),
        ),
        migrations.AddConstraint(
            model_name="familyrequest",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "declined"), _negated=True),
                    models.Q(("reason", ""), _negated=True),
                    _connector="OR",
                ),
                name="a_declined_request_has_a_reason",
            ),
        ),
        migrations.AddConstraint(
            model_name="pickupperson",
            constraint=models.CheckConstraint(
                condition=models.Q(("must_not", False), models.Q(("seen", ""), _negated=True), _connector="OR"),
                name="must_not_pick_up_says_what_was_seen",
                violation_error_message="Enter the reason (such as a court order) before you add someone who must not pick up.",
            ),
        ),
        migrations.AddConstraint(
            model_name="pickupperson",
            constraint=models.CheckConstraint(
                condition=models.Q(("must_not", False), ("named_by__isnull", True), _connector="OR"),
                name="only_the_office_keeps_somebody_away",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="pickupperson",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_pickuppersonevent" ("child_id", "ended_at", "id", "must_not", "name", "named_by_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "phone", "recorded_at", "recorded_by_id", "relation", "seen") VALUES (NEW."child_id", NEW."ended_at", NEW."id", NEW."must_not", NEW."name", NEW."named_by_id", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."phone", NEW."recorded_at", NEW."recorded_by_id", NEW."relation", NEW."seen"); RETURN NULL;',
                    hash="fd671f56c48be60e674ade1a41981c1ff7f121ef",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_462cc",
                    table="families_pickupperson",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="pickupperson",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "families_pickuppersonevent" ("child_id", "ended_at", "id", "must_not", "name", "named_by_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "phone", "recorded_at", "recorded_by_id", "relation", "seen") VALUES (NEW."child_id", NEW."ended_at", NEW."id", NEW."must_not", NEW."name", NEW."named_by_id", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."phone", NEW."recorded_at", NEW."recorded_by_id", NEW."relation", NEW."seen"); RETURN NULL;',
                    hash="9f7565d0458dbb6e6705abd423025bcd5a3a29f3",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_502aa",
                    table="families_pickupperson",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="pickupperson",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_pickuppersonevent" ("child_id", "ended_at", "id", "must_not", "name", "named_by_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "phone", "recorded_at", "recorded_by_id", "relation", "seen") VALUES (OLD."child_id", OLD."ended_at", OLD."id", OLD."must_not", OLD."name", OLD."named_by_id", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."phone", OLD."recorded_at", OLD."recorded_by_id", OLD."relation", OLD."seen"); RETURN NULL;',
                    hash="e67c00e151de12b76eef8fd1a952063ab719d107",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_c382e",
                    table="families_pickupperson",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="guardianaddress",
            constraint=models.UniqueConstraint(
                condition=models.Q(("confirmed_at__isnull", True)),
                fields=("guardian",),
                name="one_open_guardian_address_each",
            ),
        ),
        migrations.AddConstraint(
            model_name="guardianship",
            constraint=models.UniqueConstraint(fields=("guardian", "child"), name="one_guardianship_each"),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="guardianship",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_guardianshipevent" ("child_id", "emergency_name", "emergency_phone", "guardian_id", "id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (NEW."child_id", NEW."emergency_name", NEW."emergency_phone", NEW."guardian_id", NEW."id", _pgh_attach_context(), NOW(), \'insert\', NEW."id"); RETURN NULL;',
                    hash="87f93db7919c508094b442ebf20a9d96789bbe1c",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_e77a6",
                    table="families_guardianship",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="guardianship",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "families_guardianshipevent" ("child_id", "emergency_name", "emergency_phone", "guardian_id", "id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (NEW."child_id", NEW."emergency_name", NEW."emergency_phone", NEW."guardian_id", NEW."id", _pgh_attach_context(), NOW(), \'update\', NEW."id"); RETURN NULL;',
                    hash="557aab12ac34c3db7075e95e7e975b267db796c5",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_a65fa",
                    table="families_guardianship",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="guardianship",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_guardianshipevent" ("child_id", "emergency_name", "emergency_phone", "guardian_id", "id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (OLD."child_id", OLD."emergency_name", OLD."emergency_phone", OLD."guardian_id", OLD."id", _pgh_attach_context(), NOW(), \'delete\', OLD."id"); RETURN NULL;',
                    hash="1ac19be181b99530c3a015ee915812cf8eb79179",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_42e99",
                    table="families_guardianship",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="photoanswer",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_photoanswerevent" ("allowed", "answered_at", "child_id", "guardian_id", "id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (NEW."allowed", NEW."answered_at", NEW."child_id", NEW."guardian_id", NEW."id", _pgh_attach_context(), NOW(), \'insert\', NEW."id"); RETURN NULL;',
                    hash="44f0314260b93504da9a2855ff5f8dfa0948d4cd",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_00dd7",
                    table="families_photoanswer",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="photoanswer",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "families_photoanswerevent" ("allowed", "answered_at", "child_id", "guardian_id", "id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (NEW."allowed", NEW."answered_at", NEW."child_id", NEW."guardian_id", NEW."id", _pgh_attach_context(), NOW(), \'update\', NEW."id"); RETURN NULL;',
                    hash="19ba83aa434b49358345c437cbd96ee26a10dd46",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_b4390",
                    table="families_photoanswer",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="photoanswer",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_photoanswerevent" ("allowed", "answered_at", "child_id", "guardian_id", "id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (OLD."allowed", OLD."answered_at", OLD."child_id", OLD."guardian_id", OLD."id", _pgh_attach_context(), NOW(), \'delete\', OLD."id"); RETURN NULL;',
                    hash="91244577d45b1f25e4d23b0727c7c0ea50e55664",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_9d54c",
                    table="families_photoanswer",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddIndex(
            model_name="spot",
            index=models.Index(fields=["clinic", "state"], name="spots_of_a_clinic"),
        ),
        migrations.AddIndex(
            model_name="spot",
            index=models.Index(
                condition=models.Q(("answer_by__isnull", False)), fields=["answer_by"], name="spots_to_answer"
            ),
        ),
        migrations.AddConstraint(
            model_name="spot",
            constraint=models.UniqueConstraint(
                condition=models.Q(("state", "given up"), _negated=True),
                fields=("clinic", "child"),
                name="one_live_spot_per_child_and_clinic",
            ),
        ),
        migrations.AddConstraint(
            model_name="spot",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("answer_by__isnull", True), models.Q(("state", "waiting"), _negated=True), _connector="OR"
                ),
                name="only_a_held_spot_waits_for_a_yes",
            ),
        ),
        migrations.AddConstraint(
            model_name="spot",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("given_up_at__isnull", True), ("given_up_at__gte", models.F("asked_at")), _connector="OR"
                ),
                name="given_up_after_asked",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="spot",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_spotevent" ("age", "answer_by", "asked_at", "because", "child_id", "clinic_id", "given_up_at", "guardian_id", "id", "link_counter", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "state") VALUES (NEW."age", NEW."answer_by", NEW."asked_at", NEW."because", NEW."child_id", NEW."clinic_id", NEW."given_up_at", NEW."guardian_id", NEW."id", NEW."link_counter", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."state"); RETURN NULL;',
                    hash="0027c9031820b0a5eb0b8bba35d8ea8f62e689fd",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_59d4e",
                    table="families_spot",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="spot",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "families_spotevent" ("age", "answer_by", "asked_at", "because", "child_id", "clinic_id", "given_up_at", "guardian_id", "id", "link_counter", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "state") VALUES (NEW."age", NEW."answer_by", NEW."asked_at", NEW."because", NEW."child_id", NEW."clinic_id", NEW."given_up_at", NEW."guardian_id", NEW."id", NEW."link_counter", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."state"); RETURN NULL;',
                    hash="18d4f61b3707fa4ff49900bd537e09770369b1c0",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_69043",
                    table="families_spot",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="spot",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_spotevent" ("age", "answer_by", "asked_at", "because", "child_id", "clinic_id", "given_up_at", "guardian_id", "id", "link_counter", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "state") VALUES (OLD."age", OLD."answer_by", OLD."asked_at", OLD."because", OLD."child_id", OLD."clinic_id", OLD."given_up_at", OLD."guardian_id", OLD."id", OLD."link_counter", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."state"); RETURN NULL;',
                    hash="cc0aeffe795c74c8aad82740988f4bc67f0fc69f",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_e075b",
                    table="families_spot",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="retention",
            constraint=models.CheckConstraint(condition=models.Q(("pk", 1)), name="one_row_of_keeping_rules"),
        ),
        migrations.AddConstraint(
            model_name="retention",
            constraint=models.CheckConstraint(
                condition=models.Q(("child_months__gte", 1), ("child_months__lte", 240)), name="keep_1_to_240_months"
            ),
        ),
        migrations.AddConstraint(
            model_name="retention",
            constraint=models.CheckConstraint(
                condition=models.Q(("majority_age__gte", 16), ("majority_age__lte", 21)), name="grown_up_16_to_21"
            ),
        ),
        migrations.AddConstraint(
            model_name="retention",
            constraint=models.CheckConstraint(
                condition=models.Q(("limitation_years__lte", 20)), name="limitation_at_most_20_years"
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="retention",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_retentionevent" ("changed_at", "changed_by_id", "child_months", "id", "keep_waivers", "limitation_years", "majority_age", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (NEW."changed_at", NEW."changed_by_id", NEW."child_months", NEW."id", NEW."keep_waivers", NEW."limitation_years", NEW."majority_age", _pgh_attach_context(), NOW(), \'insert\', NEW."id"); RETURN NULL;',
                    hash="de31cd42d761a340ec418f294a1b53018bb22b51",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_5678c",
                    table="families_retention",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="retention",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "families_retentionevent" ("changed_at", "changed_by_id", "child_months", "id", "keep_waivers", "limitation_years", "majority_age", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (NEW."changed_at", NEW."changed_by_id", NEW."child_months", NEW."id", NEW."keep_waivers", NEW."limitation_years", NEW."majority_age", _pgh_attach_context(), NOW(), \'update\', NEW."id"); RETURN NULL;',
                    hash="d356d216473f936025ed070bcaa1648802b340fd",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_39852",
                    table="families_retention",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="retention",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_retentionevent" ("changed_at", "changed_by_id", "child_months", "id", "keep_waivers", "limitation_years", "majority_age", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id") VALUES (OLD."changed_at", OLD."changed_by_id", OLD."child_months", OLD."id", OLD."keep_waivers", OLD."limitation_years", OLD."majority_age", _pgh_attach_context(), NOW(), \'delete\', OLD."id"); RETURN NULL;',
                    hash="5022b1cce25c2a56765cd6524c54663282e66382",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_59d1c",
                    table="families_retention",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddIndex(
            model_name="waiver",
            index=models.Index(fields=["until"], name="waiver_until"),
        ),
        migrations.AddConstraint(
            model_name="waiver",
            constraint=models.CheckConstraint(
                condition=models.Q(("until__gte", models.F("signed_on"))), name="waiver_ends_after_it_is_signed"
            ),
        ),
        migrations.AddConstraint(
            model_name="waiver",
            constraint=models.CheckConstraint(
                condition=models.Q(("typed_name", ""), _negated=True), name="waiver_is_signed_by_a_name"
            ),
        ),
        migrations.AddConstraint(
            model_name="waiver",
            constraint=models.CheckConstraint(
                condition=models.Q(("came_from__isnull", False), ("paper_seen_by__isnull", False), _connector="OR"),
                name="waiver_says_how_it_was_signed",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="waiver",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_waiverevent" ("came_from", "child_id", "guardian_id", "id", "paper_seen_by_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "signed_at", "signed_on", "text_hash", "text_id", "typed_name", "until", "withdrawn_at", "withdrawn_by") VALUES (NEW."came_from", NEW."child_id", NEW."guardian_id", NEW."id", NEW."paper_seen_by_id", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."signed_at", NEW."signed_on", NEW."text_hash", NEW."text_id", NEW."typed_name", NEW."until", NEW."withdrawn_at", NEW."withdrawn_by"); RETURN NULL;',
                    hash="cc47792f997ed53b806dcb70329a4f35d9d667ce",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_ce84f",
                    table="families_waiver",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="waiver",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "families_waiverevent" ("came_from", "child_id", "guardian_id", "id", "paper_seen_by_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "signed_at", "signed_on", "text_hash", "text_id", "typed_name", "until", "withdrawn_at", "withdrawn_by") VALUES (NEW."came_from", NEW."child_id", NEW."guardian_id", NEW."id", NEW."paper_seen_by_id", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."signed_at", NEW."signed_on", NEW."text_hash", NEW."text_id", NEW."typed_name", NEW."until", NEW."withdrawn_at", NEW."withdrawn_by"); RETURN NULL;',
                    hash="cc3a48225c11d15a34564179d9b1f539e10c33fc",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_ff5bb",
                    table="families_waiver",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="waiver",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "families_waiverevent" ("came_from", "child_id", "guardian_id", "id", "paper_seen_by_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "signed_at", "signed_on", "text_hash", "text_id", "typed_name", "until", "withdrawn_at", "withdrawn_by") VALUES (OLD."came_from", OLD."child_id", OLD."guardian_id", OLD."id", OLD."paper_seen_by_id", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."signed_at", OLD."signed_on", OLD."text_hash", OLD."text_id", OLD."typed_name", OLD."until", OLD."withdrawn_at", OLD."withdrawn_by"); RETURN NULL;',
                    hash="694db2a28382ee9721ec522e369a3eb10eaaf037",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_8fd0e",
                    table="families_waiver",
                    when="AFTER",
                ),
            ),
        ),
    ]
