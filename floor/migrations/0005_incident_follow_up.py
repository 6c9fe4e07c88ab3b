import django.db.models.deletion
import pgtrigger.compiler
import pgtrigger.migrations
from django.conf import settings
from django.db import migrations, models

import core.secret_text


def mark_heads(apps, _schema_editor):
    for name in ("Incident", "IncidentEvent"):
        apps.get_model("floor", name).objects.filter(head=True).update(sort="head")


class Migration(migrations.Migration):
    dependencies = [
        ("clinics", "0001_initial"),
        ("families", "0001_initial"),
        ("floor", "0004_twins"),
        ("people", "0001_initial"),
        ("pghistory", "0007_auto_20250421_0444"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="IncidentFollowUp",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "happened_on",
                    models.DateField(help_text="The incident's day at its center, so that the database can compare."),
                ),
                ("told_at", models.DateTimeField(blank=True, null=True)),
                ("told_by", core.secret_text.EncryptedTextField(blank=True, default="")),
                (
                    "outcome",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("cleared", "Cleared to return by a health care provider"),
                            ("won't return", "Won’t come back to our clinics"),
                            ("not head", "Head not injured after all, says a health care provider"),
                        ],
                        default="",
                        max_length=12,
                    ),
                ),
                ("provider", core.secret_text.EncryptedTextField(blank=True, default="")),
                ("cleared_on", models.DateField(blank=True, null=True)),
                ("seen", core.secret_text.EncryptedTextField(blank=True, default="")),
                ("reason", core.secret_text.EncryptedTextField(blank=True, default="")),
                ("saved_at", models.DateTimeField()),
                ("words_gone", models.BooleanField(default=False, editable=False)),
            ],
            options={
                "ordering": ["incident"],
            },
        ),
        migrations.CreateModel(
            name="IncidentFollowUpEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                (
                    "happened_on",
                    models.DateField(help_text="The incident's day at its center, so that the database can compare."),
                ),
                ("told_at", models.DateTimeField(blank=True, null=True)),
                (
                    "outcome",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("cleared", "Cleared to return by a health care provider"),
                            ("won't return", "Won’t come back to our clinics"),
                            ("not head", "Head not injured after all, says a health care provider"),
                        ],
                        default="",
                        max_length=12,
                    ),
                ),
                ("cleared_on", models.DateField(blank=True, null=True)),
                ("saved_at", models.DateTimeField()),
                ("words_gone", models.BooleanField(default=False, editable=False)),
            ],
            options={
                "abstract": False,
            },
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="incident",
            name="insert_insert",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="incident",
            name="update_update",
        ),
        pgtrigger.migrations.RemoveTrigger(
            model_name="incident",
            name="delete_delete",
        ),
        migrations.AddField(
            model_name="incident",
            name="sort",
            field=models.CharField(
                choices=[
                    ("head", "hit to the head"),
                    ("breathing", "trouble breathing"),
                    ("seizure", "seizure"),
                    ("allergy", "allergic reaction"),
                    ("bleeding", "heavy bleeding"),
                    ("other", "something else"),
                ],
                default="other",
                max_length=10,
            ),
        ),
        migrations.AddField(
            model_name="incidentevent",
            name="sort",
            field=models.CharField(
                choices=[
                    ("head", "hit to the head"),
                    ("breathing", "trouble breathing"),
                    ("seizure", "seizure"),
                    ("allergy", "allergic reaction"),
                    ("bleeding", "heavy bleeding"),
                    ("other", "something else"),
                ],
                default="other",
                max_length=10,
            ),
        ),
        # Before the triggers are back: what was a hit to the head has always been of that sort.
        migrations.RunPython(mark_heads, migrations.RunPython.noop),
        pgtrigger.migrations.AddTrigger(
            model_name="incident",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "floor_incidentevent" ("action", "at", "child_id", "clinic_id", "head", "id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "sort", "undone", "volunteer_id", "written_by") VALUES (NEW."action", NEW."at", NEW."child_id", NEW."clinic_id", NEW."head", NEW."id", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."sort", NEW."undone", NEW."volunteer_id", NEW."written_by"); RETURN NULL;',
                    hash="ea18843b758ef8cc94a21cb17f0e91f63aff5a33",
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
                    condition='WHEN (OLD."action" IS DISTINCT FROM (NEW."action") OR OLD."at" IS DISTINCT FROM (NEW."at") OR OLD."child_id" IS DISTINCT FROM (NEW."child_id") OR OLD."clinic_id" IS DISTINCT FROM (NEW."clinic_id") OR OLD."head" IS DISTINCT FROM (NEW."head") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."sort" IS DISTINCT FROM (NEW."sort") OR OLD."undone" IS DISTINCT FROM (NEW."undone") OR OLD."volunteer_id" IS DISTINCT FROM (NEW."volunteer_id") OR OLD."written_by" IS DISTINCT FROM (NEW."written_by"))',
                    func='INSERT INTO "floor_incidentevent" ("action", "at", "child_id", "clinic_id", "head", "id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "sort", "undone", "volunteer_id", "written_by") VALUES (NEW."action", NEW."at", NEW."child_id", NEW."clinic_id", NEW."head", NEW."id", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."sort", NEW."undone", NEW."volunteer_id", NEW."written_by"); RETURN NULL;',
                    hash="7d0a5edfaee820d8aa868aa486125c04d9b2770d",
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
                    func='INSERT INTO "floor_incidentevent" ("action", "at", "child_id", "clinic_id", "head", "id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "sort", "undone", "volunteer_id", "written_by") VALUES (OLD."action", OLD."at", OLD."child_id", OLD."clinic_id", OLD."head", OLD."id", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."sort", OLD."undone", OLD."volunteer_id", OLD."written_by"); RETURN NULL;',
                    hash="f2a082b3a3777d39f3f65d50e583c5b5e306f063",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_72673",
                    table="floor_incident",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="incident",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("head", True), ("sort", "head")),
                    models.Q(("head", False), models.Q(("sort", "head"), _negated=True)),
                    _connector="OR",
                ),
                name="head_is_the_sort_head",
            ),
        ),
        migrations.AddConstraint(
            model_name="incident",
            constraint=models.CheckConstraint(
                condition=models.Q(("sort__in", ("head", "breathing", "seizure", "allergy", "bleeding", "other"))),
                name="incident_of_a_known_sort",
            ),
        ),
        migrations.AddField(
            model_name="incidentfollowup",
            name="incident",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.CASCADE, related_name="follow_up", to="floor.incident"
            ),
        ),
        migrations.AddField(
            model_name="incidentfollowup",
            name="saved_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="incidentfollowupevent",
            name="incident",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to="floor.incident",
            ),
        ),
        migrations.AddField(
            model_name="incidentfollowupevent",
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
            model_name="incidentfollowupevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="events",
                to="floor.incidentfollowup",
            ),
        ),
        migrations.AddField(
            model_name="incidentfollowupevent",
            name="saved_by",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="+",
                related_query_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddConstraint(
            model_name="incidentfollowup",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("words_gone", True),
                    models.Q(("told_at__isnull", True), ("told_by", "")),
                    models.Q(("told_at__isnull", False), models.Q(("told_by", ""), _negated=True)),
                    _connector="OR",
                ),
                name="told_by_whom_and_when",
            ),
        ),
        migrations.AddConstraint(
            model_name="incidentfollowup",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("outcome", "cleared"), _negated=True),
                    models.Q(
                        ("cleared_on__isnull", False),
                        models.Q(
                            ("words_gone", True),
                            models.Q(models.Q(("provider", ""), _negated=True), models.Q(("seen", ""), _negated=True)),
                            _connector="OR",
                        ),
                    ),
                    _connector="OR",
                ),
                name="cleared_by_a_provider_on_a_day",
            ),
        ),
        migrations.AddConstraint(
            model_name="incidentfollowup",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("cleared_on__isnull", True),
                    models.Q(("cleared_on__gte", models.F("happened_on")), ("outcome", "cleared")),
                    _connector="OR",
                ),
                name="cleared_no_earlier_than_it_happened",
            ),
        ),
        migrations.AddConstraint(
            model_name="incidentfollowup",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("outcome__in", ["won't return", "not head"]), _negated=True),
                    ("words_gone", True),
                    models.Q(("reason", ""), _negated=True),
                    _connector="OR",
                ),
                name="not_cleared_for_a_reason",
            ),
        ),
        migrations.AddConstraint(
            model_name="incidentfollowup",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("outcome", "not head"), _negated=True),
                    ("words_gone", True),
                    models.Q(("provider", ""), _negated=True),
                    _connector="OR",
                ),
                name="no_head_injury_by_a_providers_word",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="incidentfollowup",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "floor_incidentfollowupevent" ("cleared_on", "happened_on", "id", "incident_id", "outcome", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "saved_at", "saved_by_id", "told_at", "words_gone") VALUES (NEW."cleared_on", NEW."happened_on", NEW."id", NEW."incident_id", NEW."outcome", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."saved_at", NEW."saved_by_id", NEW."told_at", NEW."words_gone"); RETURN NULL;',
                    hash="15b07287df0cfee66413070376d91f2bfafb3c35",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_4cc65",
                    table="floor_incidentfollowup",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="incidentfollowup",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition='WHEN (OLD."cleared_on" IS DISTINCT FROM (NEW."cleared_on") OR OLD."happened_on" IS DISTINCT FROM (NEW."happened_on") OR OLD."id" IS DISTINCT FROM (NEW."id") OR OLD."incident_id" IS DISTINCT FROM (NEW."incident_id") OR OLD."outcome" IS DISTINCT FROM (NEW."outcome") OR OLD."saved_at" IS DISTINCT FROM (NEW."saved_at") OR OLD."saved_by_id" IS DISTINCT FROM (NEW."saved_by_id") OR OLD."told_at" IS DISTINCT FROM (NEW."told_at") OR OLD."words_gone" IS DISTINCT FROM (NEW."words_gone"))',
                    func='INSERT INTO "floor_incidentfollowupevent" ("cleared_on", "happened_on", "id", "incident_id", "outcome", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "saved_at", "saved_by_id", "told_at", "words_gone") VALUES (NEW."cleared_on", NEW."happened_on", NEW."id", NEW."incident_id", NEW."outcome", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."saved_at", NEW."saved_by_id", NEW."told_at", NEW."words_gone"); RETURN NULL;',
                    hash="a53caa1cbad653fc476274acbf5c6a85ef9a778a",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_67279",
                    table="floor_incidentfollowup",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="incidentfollowup",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "floor_incidentfollowupevent" ("cleared_on", "happened_on", "id", "incident_id", "outcome", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "saved_at", "saved_by_id", "told_at", "words_gone") VALUES (OLD."cleared_on", OLD."happened_on", OLD."id", OLD."incident_id", OLD."outcome", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."saved_at", OLD."saved_by_id", OLD."told_at", OLD."words_gone"); RETURN NULL;',
                    hash="f6e35601275b1ed6cd5148445155725b4fc37fdb",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_88cc2",
                    table="floor_incidentfollowup",
                    when="AFTER",
                ),
            ),
        ),
    ]
