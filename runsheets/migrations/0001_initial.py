import django.core.validators
import django.db.models.deletion
import django.db.models.expressions
import pgtrigger.compiler
import pgtrigger.migrations
from django.conf import settings
from django.db import migrations, models

import runsheets.models.activities


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
            name="ActivityEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                ("code", models.SlugField(db_index=False, editable=False, max_length=40)),
                (
                    "name",
                    models.CharField(
                        error_messages={
                            "unique": "There’s already an activity with that name. Choose another name, or edit that one."
                        },
                        max_length=80,
                        verbose_name="name",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("opener", "opener"),
                            ("station", "station"),
                            ("stem", "STEM"),
                            ("game", "game"),
                            ("water", "water break"),
                            ("closer", "closing circle"),
                        ],
                        default="station",
                        max_length=8,
                        verbose_name="activity type",
                    ),
                ),
                ("least_minutes", models.PositiveSmallIntegerField(default=8, verbose_name="shortest time (minutes)")),
                (
                    "most_minutes",
                    models.PositiveSmallIntegerField(
                        default=15,
                        help_text="5 to 10 for an opener. Children get tired of longer ones.",
                        verbose_name="longest time (minutes)",
                    ),
                ),
                (
                    "group_size",
                    models.PositiveSmallIntegerField(
                        default=10,
                        help_text="Per station. For a game or opener, per hoop.",
                        verbose_name="maximum children",
                    ),
                ),
                ("hoops", models.PositiveSmallIntegerField(default=0, verbose_name="hoops")),
                ("balls", models.PositiveSmallIntegerField(default=0, verbose_name="balls per turn")),
                ("balls_each", models.PositiveSmallIntegerField(default=0, verbose_name="balls per child")),
                ("tables", models.PositiveSmallIntegerField(default=0, verbose_name="tables")),
                ("sockets", models.PositiveSmallIntegerField(default=0, verbose_name="power outlets")),
                (
                    "adults",
                    models.PositiveSmallIntegerField(
                        default=1,
                        help_text="Even if the supervision table allows fewer.",
                        verbose_name="minimum adults",
                    ),
                ),
                (
                    "skill",
                    models.CharField(
                        blank=True,
                        help_text="A duty one adult must have, such as STEM lead. Leave empty for any adult.",
                        max_length=40,
                        verbose_name="one adult must be a",
                    ),
                ),
                ("youngest", models.PositiveSmallIntegerField(default=5, verbose_name="youngest age")),
                (
                    "oldest",
                    models.PositiveSmallIntegerField(
                        default=18, validators=[django.core.validators.MaxValueValidator(18)], verbose_name="oldest age"
                    ),
                ),
                (
                    "level",
                    models.CharField(
                        choices=[("all", "everyone"), ("newer", "beginners"), ("advanced", "advanced players")],
                        default="all",
                        max_length=8,
                        verbose_name="for",
                    ),
                ),
                ("cycle_seconds", models.PositiveSmallIntegerField(default=30, verbose_name="seconds per turn")),
                ("players", models.PositiveSmallIntegerField(default=1, verbose_name="children active in each turn")),
                (
                    "turns_at_once",
                    models.PositiveSmallIntegerField(
                        default=1,
                        help_text="At its hoops. With no hoops, everyone goes at once.",
                        verbose_name="turns at the same time",
                    ),
                ),
                (
                    "teaching",
                    models.TextField(blank=True, help_text="One per line.", verbose_name="teaching points"),
                ),
                ("safety", models.TextField(blank=True, help_text="One per line.", verbose_name="safety points")),
                ("record", models.CharField(blank=True, max_length=200, verbose_name="what to record")),
                (
                    "things",
                    models.TextField(
                        blank=True,
                        help_text="One per line, with the amount: “cone: 6 once” (they stay at the station), “score card: 1 per group”, “strip of foil: 2 per head”.",
                        validators=[runsheets.models.activities.check_things],
                        verbose_name="other items to pack",
                    ),
                ),
                ("retired", models.BooleanField(default=False, editable=False)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="ActivityTable",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "state",
                    models.CharField(
                        choices=[("read", "not imported yet"), ("taken", "imported"), ("undone", "import undone")],
                        default="read",
                        max_length=8,
                    ),
                ),
                ("file_name", models.CharField(max_length=120)),
                (
                    "rows",
                    models.JSONField(default=list, help_text="Line, code of what it changes or empty, and facts."),
                ),
                ("bad", models.JSONField(default=list)),
                (
                    "made",
                    models.JSONField(default=list, help_text="Code of the activity of each row, as it was written."),
                ),
                (
                    "before",
                    models.JSONField(default=dict, help_text="Code to the facts that the table changed, as they were."),
                ),
                ("read_at", models.DateTimeField()),
                ("taken_at", models.DateTimeField(null=True)),
                ("undone_at", models.DateTimeField(null=True)),
            ],
            options={
                "ordering": ["-pk"],
            },
        ),
        migrations.CreateModel(
            name="RunSheetPlan",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "in line to start"),
                            ("ready", "ready"),
                            ("failed", "no plan found"),
                            ("can't", "not possible"),
                        ],
                        default="waiting",
                        max_length=8,
                    ),
                ),
                (
                    "groups",
                    models.JSONField(default=list, help_text="Code, children by number, how many, ages, advanced."),
                ),
                ("facts", models.JSONField(default=dict)),
                ("result", models.JSONField(default=dict)),
                ("trouble", models.CharField(blank=True, max_length=400)),
                ("asked_at", models.DateTimeField()),
                (
                    "rest",
                    models.JSONField(
                        default=dict, help_text="On the day: minutes done, minute it goes on, who is missing."
                    ),
                ),
            ],
            options={
                "ordering": ["-asked_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="Activity",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("code", models.SlugField(editable=False, max_length=40, unique=True)),
                (
                    "name",
                    models.CharField(
                        error_messages={
                            "unique": "There’s already an activity with that name. Choose another name, or edit that one."
                        },
                        max_length=80,
                        unique=True,
                        verbose_name="name",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("opener", "opener"),
                            ("station", "station"),
                            ("stem", "STEM"),
                            ("game", "game"),
                            ("water", "water break"),
                            ("closer", "closing circle"),
                        ],
                        default="station",
                        max_length=8,
                        verbose_name="activity type",
                    ),
                ),
                ("least_minutes", models.PositiveSmallIntegerField(default=8, verbose_name="shortest time (minutes)")),
                (
                    "most_minutes",
                    models.PositiveSmallIntegerField(
                        default=15,
                        help_text="5 to 10 for an opener. Children get tired of longer ones.",
                        verbose_name="longest time (minutes)",
                    ),
                ),
                (
                    "group_size",
                    models.PositiveSmallIntegerField(
                        default=10,
                        help_text="Per station. For a game or opener, per hoop.",
                        verbose_name="maximum children",
                    ),
                ),
                ("hoops", models.PositiveSmallIntegerField(default=0, verbose_name="hoops")),
                ("balls", models.PositiveSmallIntegerField(default=0, verbose_name="balls per turn")),
                ("balls_each", models.PositiveSmallIntegerField(default=0, verbose_name="balls per child")),
                ("tables", models.PositiveSmallIntegerField(default=0, verbose_name="tables")),
                ("sockets", models.PositiveSmallIntegerField(default=0, verbose_name="power outlets")),
                (
                    "adults",
                    models.PositiveSmallIntegerField(
                        default=1,
                        help_text="Even if the supervision table allows fewer.",
                        verbose_name="minimum adults",
                    ),
                ),
                (
                    "skill",
                    models.CharField(
                        blank=True,
                        help_text="A duty one adult must have, such as STEM lead. Leave empty for any adult.",
                        max_length=40,
                        verbose_name="one adult must be a",
                    ),
                ),
                ("youngest", models.PositiveSmallIntegerField(default=5, verbose_name="youngest age")),
                (
                    "oldest",
                    models.PositiveSmallIntegerField(
                        default=18, validators=[django.core.validators.MaxValueValidator(18)], verbose_name="oldest age"
                    ),
                ),
                (
                    "level",
                    models.CharField(
                        choices=[("all", "everyone"), ("newer", "beginners"), ("advanced", "advanced players")],
                        default="all",
                        max_length=8,
                        verbose_name="for",
                    ),
                ),
                ("cycle_seconds", models.PositiveSmallIntegerField(default=30, verbose_name="seconds per turn")),
                ("players", models.PositiveSmallIntegerField(default=1, verbose_name="children active in each turn")),
                (
                    "turns_at_once",
                    models.PositiveSmallIntegerField(
                        default=1,
                        help_text="At its hoops. With no hoops, everyone goes at once.",
                        verbose_name="turns at the same time",
                    ),
                ),
                (
                    "teaching",
                    models.TextField(blank=True, help_text="One per line.", verbose_name="teaching points"),
                ),
                ("safety", models.TextField(blank=True, help_text="One per line.", verbose_name="safety points")),
                ("record", models.CharField(blank=True, max_length=200, verbose_name="what to record")),
                (
                    "things",
                    models.TextField(
                        blank=True,
                        help_text="One per line, with the amount: “cone: 6 once” (they stay at the station), “score card: 1 per group”, “strip of foil: 2 per head”.",
                        validators=[runsheets.models.activities.check_things],
                        verbose_name="other items to pack",
                    ),
                ),
                ("retired", models.BooleanField(default=False, editable=False)),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("least_minutes__gte", 1),
                            ("most_minutes__gte", models.F("least_minutes")),
                            ("most_minutes__lte", 180),
                        ),
                        name="activity_minutes_in_order",
                        violation_error_message="Enter the shortest time first, from 1 to 180 minutes.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "opener"), _negated=True),
                            models.Q(("least_minutes__gte", 5), ("most_minutes__lte", 10)),
                            _connector="OR",
                        ),
                        name="an_opener_lasts_5_to_10_minutes",
                        violation_error_message="An opener must last 5 to 10 minutes. Change the minutes.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("cycle_seconds__gte", 1),
                            ("group_size__gte", 1),
                            ("players__gte", 1),
                            ("turns_at_once__gte", 1),
                        ),
                        name="activity_has_a_child_and_a_turn",
                        violation_error_message="Enter at least 1 child, 1 second per turn, and 1 turn at a time.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "cycle_seconds__lte",
                                django.db.models.expressions.CombinedExpression(
                                    models.Value(60), "*", models.F("least_minutes")
                                ),
                            )
                        ),
                        name="a_turn_fits_the_least_minutes",
                        violation_error_message="One turn is longer than the whole activity. Enter a shorter turn.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("oldest__gte", models.F("youngest")), ("oldest__lte", 18)),
                        name="activity_ages_in_order",
                        violation_error_message="Enter the youngest age first. The oldest can be 18.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("adults__lte", 40),
                            ("balls__lte", 100),
                            ("balls_each__lte", 5),
                            ("group_size__lte", 400),
                            ("hoops__lte", 40),
                            ("players__lte", 60),
                            ("sockets__lte", 60),
                            ("tables__lte", 60),
                            ("turns_at_once__lte", 60),
                        ),
                        name="activity_numbers_within_a_space",
                        violation_error_message="A number is too high for a gym. Check children, hoops, and balls.",
                    ),
                ],
                "ordering": ["pk"],
                "verbose_name": "activity",
                "verbose_name_plural": "activities",
            },
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="activity",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "runsheets_activityevent" ("adults", "balls", "balls_each", "code", "cycle_seconds", "group_size", "hoops", "id", "kind", "least_minutes", "level", "most_minutes", "name", "oldest", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "players", "record", "retired", "safety", "skill", "sockets", "tables", "teaching", "things", "turns_at_once", "youngest") VALUES (NEW."adults", NEW."balls", NEW."balls_each", NEW."code", NEW."cycle_seconds", NEW."group_size", NEW."hoops", NEW."id", NEW."kind", NEW."least_minutes", NEW."level", NEW."most_minutes", NEW."name", NEW."oldest", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."players", NEW."record", NEW."retired", NEW."safety", NEW."skill", NEW."sockets", NEW."tables", NEW."teaching", NEW."things", NEW."turns_at_once", NEW."youngest"); RETURN NULL;',
                    hash="4c376dd00f6148639689d273df18e5eabb73a57f",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_c1ea8",
                    table="runsheets_activity",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="activity",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "runsheets_activityevent" ("adults", "balls", "balls_each", "code", "cycle_seconds", "group_size", "hoops", "id", "kind", "least_minutes", "level", "most_minutes", "name", "oldest", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "players", "record", "retired", "safety", "skill", "sockets", "tables", "teaching", "things", "turns_at_once", "youngest") VALUES (NEW."adults", NEW."balls", NEW."balls_each", NEW."code", NEW."cycle_seconds", NEW."group_size", NEW."hoops", NEW."id", NEW."kind", NEW."least_minutes", NEW."level", NEW."most_minutes", NEW."name", NEW."oldest", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."players", NEW."record", NEW."retired", NEW."safety", NEW."skill", NEW."sockets", NEW."tables", NEW."teaching", NEW."things", NEW."turns_at_once", NEW."youngest"); RETURN NULL;',
                    hash="a1ade43e605e25c9c600c40a0ff27272c50ea07c",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_b6c8c",
                    table="runsheets_activity",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="activity",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "runsheets_activityevent" ("adults", "balls", "balls_each", "code", "cycle_seconds", "group_size", "hoops", "id", "kind", "least_minutes", "level", "most_minutes", "name", "oldest", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "players", "record", "retired", "safety", "skill", "sockets", "tables", "teaching", "things", "turns_at_once", "youngest") VALUES (OLD."adults", OLD."balls", OLD."balls_each", OLD."code", OLD."cycle_seconds", OLD."group_size", OLD."hoops", OLD."id", OLD."kind", OLD."least_minutes", OLD."level", OLD."most_minutes", OLD."name", OLD."oldest", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."players", OLD."record", OLD."retired", OLD."safety", OLD."skill", OLD."sockets", OLD."tables", OLD."teaching", OLD."things", OLD."turns_at_once", OLD."youngest"); RETURN NULL;',
                    hash="338a61cc0941d9a0b9571dd79061089f9d6b8b64",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_aa298",
                    table="runsheets_activity",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddField(
            model_name="activityevent",
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
            model_name="activityevent",
            name="pgh_obj",
            field=models.ForeignKey(
                db_constraint=False,
                on_delete=django.db.models.deletion.DO_NOTHING,
                related_name="events",
                to="runsheets.activity",
            ),
        ),
        migrations.AddField(
            model_name="activitytable",
            name="by",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="runsheetplan",
            name="asked_by",
            field=models.ForeignKey(
                null=True, on_delete=django.db.models.deletion.SET_NULL, related_name="+", to=settings.AUTH_USER_MODEL
            ),
        ),
        migrations.AddField(
            model_name="runsheetplan",
            name="clinic",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="run_sheets", to="clinics.clinic"
            ),
        ),
        migrations.AddField(
            model_name="runsheetplan",
            name="rest_of",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="rests",
                to="runsheets.runsheetplan",
            ),
        ),
        migrations.AddConstraint(
            model_name="activitytable",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "read"), ("taken_at__isnull", True), ("undone_at__isnull", True)),
                    models.Q(("state", "taken"), ("taken_at__isnull", False), ("undone_at__isnull", True)),
                    models.Q(("state", "undone"), ("taken_at__isnull", False), ("undone_at__isnull", False)),
                    _connector="OR",
                ),
                name="activity_table_says_when",
            ),
        ),
        migrations.AddIndex(
            model_name="runsheetplan",
            index=models.Index(fields=["clinic", "state", "-asked_at"], name="run_sheets_of_a_clinic"),
        ),
        migrations.AddConstraint(
            model_name="runsheetplan",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "ready"), _negated=True), ("result__has_key", "slots"), _connector="OR"
                ),
                name="a_ready_run_sheet_has_slots",
            ),
        ),
        migrations.AddConstraint(
            model_name="runsheetplan",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "failed"), _negated=True),
                    models.Q(("trouble", ""), _negated=True),
                    _connector="OR",
                ),
                name="a_failed_run_sheet_says_why",
            ),
        ),
    ]
