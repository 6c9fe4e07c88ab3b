import uuid

import django.contrib.postgres.constraints
import django.contrib.postgres.fields.ranges
import django.db.models.deletion
import pgtrigger.compiler
import pgtrigger.migrations
from django.db import migrations, models

import core.secret_text
import floor.models.books


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("core", "0001_initial"),
        ("clinics", "0001_initial"),
        ("families", "0001_initial"),
        ("people", "0001_initial"),
        ("pghistory", "0007_auto_20250421_0444"),
    ]

    operations = [
        migrations.CreateModel(
            name="MergedNumber",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("was", models.CharField(max_length=24, unique=True)),
                ("is_now", models.CharField(db_index=True, max_length=24)),
                ("merged_at", models.DateTimeField()),
            ],
        ),
        migrations.CreateModel(
            name="FloorDay",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("closed_at", models.DateTimeField(blank=True, null=True)),
                ("conflicts", models.JSONField(default=list)),
                (
                    "settled",
                    models.JSONField(
                        default=list, help_text="Conflicts that the lead has looked at, by their actions."
                    ),
                ),
                ("notes", core.secret_text.EncryptedTextField(blank=True, default="")),
                ("slots", models.JSONField(default=dict, help_text="When each slot of the run sheet began.")),
                (
                    "clinic",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="floor_day", to="clinics.clinic"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="FloorPhone",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("opened_by", models.CharField(max_length=120)),
                ("secret", models.CharField(max_length=64, unique=True)),
                ("came_from", models.GenericIPAddressField(verbose_name="address it was last heard from")),
                ("opened_at", models.DateTimeField()),
                ("heard_at", models.DateTimeField()),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="phones", to="clinics.clinic"
                    ),
                ),
                (
                    "volunteer",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="phones",
                        to="people.volunteer",
                    ),
                ),
            ],
            options={
                "ordering": ["clinic", "opened_at"],
            },
        ),
        migrations.CreateModel(
            name="Incident",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("action", models.UUIDField(unique=True)),
                ("at", models.DateTimeField()),
                ("what", core.secret_text.EncryptedTextField(verbose_name="what happened")),
                (
                    "first_aid",
                    core.secret_text.EncryptedTextField(blank=True, default="", verbose_name="first aid given"),
                ),
                (
                    "told",
                    core.secret_text.EncryptedTextField(
                        blank=True, default="", verbose_name="guardian notified: by whom and when"
                    ),
                ),
                ("witness", core.secret_text.EncryptedTextField(blank=True, default="", verbose_name="witnesses")),
                ("head", models.BooleanField(default=False, verbose_name="a hit to the head or body")),
                ("written_by", models.CharField(max_length=120)),
                ("undone", models.BooleanField(default=False)),
                (
                    "child",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="incidents",
                        to="families.child",
                    ),
                ),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="incidents", to="clinics.clinic"
                    ),
                ),
                (
                    "volunteer",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="incidents",
                        to="people.volunteer",
                    ),
                ),
            ],
            options={
                "ordering": ["-at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="IncidentEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                ("action", models.UUIDField()),
                ("at", models.DateTimeField()),
                ("head", models.BooleanField(default=False, verbose_name="a hit to the head or body")),
                ("written_by", models.CharField(max_length=120)),
                ("undone", models.BooleanField(default=False)),
                (
                    "child",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="families.child",
                    ),
                ),
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
                        to="floor.incident",
                    ),
                ),
                (
                    "volunteer",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="people.volunteer",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Score",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("action", models.UUIDField(unique=True)),
                ("at", models.DateTimeField()),
                ("group", models.CharField(blank=True, max_length=20)),
                ("what", models.CharField(max_length=40)),
                (
                    "level",
                    models.PositiveSmallIntegerField(blank=True, help_text="Steps back from the hoop.", null=True),
                ),
                ("made", models.PositiveIntegerField()),
                ("tried", models.PositiveIntegerField()),
                (
                    "child",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="scores",
                        to="families.child",
                    ),
                ),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="scores", to="clinics.clinic"
                    ),
                ),
            ],
            options={
                "ordering": ["clinic", "at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="SignIn",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("in_at", models.DateTimeField()),
                ("out_at", models.DateTimeField(blank=True, null=True)),
                ("pickup", models.CharField(blank=True, max_length=120)),
                ("in_action", models.UUIDField()),
                ("out_action", models.UUIDField(blank=True, null=True)),
                (
                    "child",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="sign_ins",
                        to="families.child",
                    ),
                ),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="sign_ins", to="clinics.clinic"
                    ),
                ),
                (
                    "volunteer",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="sign_ins",
                        to="people.volunteer",
                    ),
                ),
            ],
            options={
                "ordering": ["clinic", "in_at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="SignInEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                ("in_at", models.DateTimeField()),
                ("out_at", models.DateTimeField(blank=True, null=True)),
                ("pickup", models.CharField(blank=True, max_length=120)),
                ("in_action", models.UUIDField()),
                ("out_action", models.UUIDField(blank=True, null=True)),
                (
                    "child",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="families.child",
                    ),
                ),
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
                        to="floor.signin",
                    ),
                ),
                (
                    "volunteer",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="people.volunteer",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="AdultHours",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("minutes", models.PositiveSmallIntegerField()),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="adult_hours", to="clinics.clinic"
                    ),
                ),
                (
                    "volunteer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="hours_given", to="people.volunteer"
                    ),
                ),
            ],
            options={
                "ordering": ["clinic", "volunteer"],
                "constraints": [
                    models.UniqueConstraint(fields=("clinic", "volunteer"), name="hours_once_per_adult_and_clinic"),
                    models.CheckConstraint(condition=models.Q(("minutes__lte", 1440)), name="at_most_a_day_of_minutes"),
                ],
            },
        ),
        migrations.CreateModel(
            name="FloorAction",
            fields=[
                ("id", models.UUIDField(default=uuid.uuid4, primary_key=True, serialize=False)),
                ("seq", models.PositiveIntegerField(help_text="The phone's own count.")),
                ("kind", models.CharField(max_length=12)),
                (
                    "facts",
                    core.secret_text.EncryptedTextField(
                        help_text="JSON; names of children and what happened to them may stand in it."
                    ),
                ),
                ("phone_at", models.DateTimeField(help_text="By the phone's clock.")),
                (
                    "at",
                    models.DateTimeField(help_text="By ours: the phone's time and the difference when it was sent."),
                ),
                ("received_at", models.DateTimeField()),
                (
                    "child",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="floor_actions",
                        to="families.child",
                    ),
                ),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="floor_actions", to="clinics.clinic"
                    ),
                ),
                (
                    "phone",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="actions", to="floor.floorphone"
                    ),
                ),
            ],
            options={
                "ordering": ["clinic", "at", "phone", "seq"],
                "constraints": [
                    models.UniqueConstraint(fields=("phone", "seq"), name="a_phone_counts_each_action_once")
                ],
            },
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="incident",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "floor_incidentevent" ("action", "at", "child_id", "clinic_id", "head", "id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "undone", "volunteer_id", "written_by") VALUES (NEW."action", NEW."at", NEW."child_id", NEW."clinic_id", NEW."head", NEW."id", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."undone", NEW."volunteer_id", NEW."written_by"); RETURN NULL;',
                    hash="8384e6eae73de4e888e4ce2a91641c2597b35d4c",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_dfc1a",
                    table="floor_incident",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="incident",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (OLD."action" IS DISTINCT FROM (NEW."action") OR OLD."at" IS DISTINCT FROM (NEW."at") OR OLD."child_id" IS DISTINCT FROM (NEW."child_id") OR OLD."clinic_id" IS DISTINCT FROM (NEW."clinic_id") OR OLD."head" IS DISTINCT FROM (NEW."head") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."undone" IS DISTINCT FROM (NEW."undone") OR OLD."volunteer_id" IS DISTINCT FROM (NEW."volunteer_id") OR OLD."written_by" IS DISTINCT FROM (NEW."written_by"))',
                    func='INSERT INTO "floor_incidentevent" ("action", "at", "child_id", "clinic_id", "head", "id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "undone", "volunteer_id", "written_by") VALUES (NEW."action", NEW."at", NEW."child_id", NEW."clinic_id", NEW."head", NEW."id", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."undone", NEW."volunteer_id", NEW."written_by"); RETURN NULL;',
                    hash="c0149a036536f87db402405e8f312a30888c3c33",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_d73d2",
                    table="floor_incident",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="incident",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "floor_incidentevent" ("action", "at", "child_id", "clinic_id", "head", "id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "undone", "volunteer_id", "written_by") VALUES (OLD."action", OLD."at", OLD."child_id", OLD."clinic_id", OLD."head", OLD."id", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."undone", OLD."volunteer_id", OLD."written_by"); RETURN NULL;',
                    hash="a398c82c37e2d2cceb405f2fec9e6316e4828d1d",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_72673",
                    table="floor_incident",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="score",
            constraint=models.CheckConstraint(
                condition=models.Q(("made__lte", models.F("tried"))), name="no_more_made_than_tried"
            ),
        ),
        migrations.AddConstraint(
            model_name="score",
            constraint=models.CheckConstraint(
                condition=models.Q(models.Q(("group", ""), _negated=True), ("child__isnull", False), _connector="OR"),
                name="score_of_a_child_or_a_group",
            ),
        ),
        migrations.AddConstraint(
            model_name="signin",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("child__isnull", True), ("volunteer__isnull", False)),
                    models.Q(("child__isnull", False), ("volunteer__isnull", True)),
                    _connector="OR",
                ),
                name="sign_in_of_a_child_or_an_adult",
            ),
        ),
        migrations.AddConstraint(
            model_name="signin",
            constraint=models.CheckConstraint(
                condition=models.Q(("out_at__isnull", True), ("out_at__gte", models.F("in_at")), _connector="OR"),
                name="out_after_in",
            ),
        ),
        migrations.AddConstraint(
            model_name="signin",
            constraint=django.contrib.postgres.constraints.ExclusionConstraint(
                condition=models.Q(("child__isnull", False)),
                expressions=[
                    ("clinic", "="),
                    ("child", "="),
                    (
                        floor.models.books.TsTzRange(
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
                        floor.models.books.TsTzRange(
                            "in_at", "out_at", django.contrib.postgres.fields.ranges.RangeBoundary()
                        ),
                        "&&",
                    ),
                ],
                name="an_adult_is_signed_in_once_at_a_time",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="signin",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "floor_signinevent" ("child_id", "clinic_id", "id", "in_action", "in_at", "out_action", "out_at", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "pickup", "volunteer_id") VALUES (NEW."child_id", NEW."clinic_id", NEW."id", NEW."in_action", NEW."in_at", NEW."out_action", NEW."out_at", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."pickup", NEW."volunteer_id"); RETURN NULL;',
                    hash="f4018cc1a0001002547928c8fc1270ee601dae5e",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_43f1d",
                    table="floor_signin",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="signin",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "floor_signinevent" ("child_id", "clinic_id", "id", "in_action", "in_at", "out_action", "out_at", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "pickup", "volunteer_id") VALUES (NEW."child_id", NEW."clinic_id", NEW."id", NEW."in_action", NEW."in_at", NEW."out_action", NEW."out_at", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."pickup", NEW."volunteer_id"); RETURN NULL;',
                    hash="fe5b279af2a55bcd0ac80f89de199d411a0c60cc",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_796b6",
                    table="floor_signin",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="signin",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "floor_signinevent" ("child_id", "clinic_id", "id", "in_action", "in_at", "out_action", "out_at", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "pickup", "volunteer_id") VALUES (OLD."child_id", OLD."clinic_id", OLD."id", OLD."in_action", OLD."in_at", OLD."out_action", OLD."out_at", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."pickup", OLD."volunteer_id"); RETURN NULL;',
                    hash="b74f3fffd87541876949281c914443a5ae495964",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_25ecc",
                    table="floor_signin",
                    when="AFTER",
                ),
            ),
        ),
    ]
