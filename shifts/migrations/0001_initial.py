import uuid

import django.contrib.postgres.constraints
import django.contrib.postgres.fields.ranges
import django.db.models.deletion
import pgtrigger.compiler
import pgtrigger.migrations
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("core", "0001_initial"),
        ("clinics", "0001_initial"),
        ("people", "0001_initial"),
        ("pghistory", "0007_auto_20250421_0444"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="AskingRules",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "most_open",
                    models.PositiveSmallIntegerField(
                        default=3,
                        help_text="Most unanswered requests one person can have at a time.",
                        verbose_name="unanswered requests per person",
                    ),
                ),
                (
                    "silence_hours",
                    models.PositiveSmallIntegerField(
                        default=48,
                        help_text="After this long with no answer, we ask the next person.",
                        verbose_name="hours to wait for an answer",
                    ),
                ),
                (
                    "late_hours",
                    models.PositiveSmallIntegerField(
                        default=24,
                        help_text="If someone drops out within this time, we ask all backups at once.",
                        verbose_name="late dropout: hours before the clinic",
                    ),
                ),
                (
                    "swaps_by_themselves",
                    models.BooleanField(
                        default=True,
                        help_text="Only if both are cleared and free. If unchecked, each swap waits for your approval on Ahead.",
                        verbose_name="volunteers can swap shifts on their own",
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("pk", 1)), name="one_row_of_asking_rules"),
                    models.CheckConstraint(
                        condition=models.Q(("most_open__gte", 1)), name="at_least_one_open_question"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Assignment",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "period",
                    django.contrib.postgres.fields.ranges.DateTimeRangeField(
                        help_text="From being there to going home."
                    ),
                ),
                (
                    "reply",
                    models.CharField(
                        choices=[("needs-action", "asked"), ("accepted", "accepted"), ("declined", "declined")],
                        default="needs-action",
                        max_length=12,
                    ),
                ),
                ("asked_at", models.DateTimeField()),
                ("replied_at", models.DateTimeField(blank=True, null=True)),
                ("released_at", models.DateTimeField(blank=True, null=True)),
                ("released_because", models.CharField(blank=True, max_length=200)),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("sequence", models.PositiveIntegerField(default=0, editable=False)),
                ("link_counter", models.PositiveIntegerField(default=0, editable=False)),
                (
                    "volunteer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="assignments", to="people.volunteer"
                    ),
                ),
            ],
            options={
                "ordering": ["shift", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Limits",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("shifts_a_month", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("hours_a_month", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("farthest_km", models.PositiveSmallIntegerField(blank=True, null=True)),
                (
                    "volunteer",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE, related_name="limits", to="people.volunteer"
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="Proposal",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("first_day", models.DateField()),
                ("last_day", models.DateField()),
                ("what_if", models.JSONField(default=list)),
                (
                    "keep_asked",
                    models.BooleanField(
                        default=False, help_text="Only open shifts are filled. People who were asked stay put."
                    ),
                ),
                ("asked_at", models.DateTimeField()),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "in line to start"),
                            ("running", "searching"),
                            ("ready", "ready"),
                            ("failed", "no plan found"),
                        ],
                        default="waiting",
                        max_length=8,
                    ),
                ),
                ("stop_asked", models.BooleanField(default=False)),
                ("claim", models.UUIDField(null=True)),
                ("seen_at", models.DateTimeField(help_text="When the worker last said that it is at it.", null=True)),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                ("progress", models.JSONField(default=dict)),
                ("result", models.JSONField(default=dict)),
                ("trouble", models.CharField(blank=True, max_length=300)),
                ("finished_at", models.DateTimeField(null=True)),
                (
                    "asked_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "clinic",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="proposals",
                        to="clinics.clinic",
                    ),
                ),
            ],
            options={
                "ordering": ["-asked_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="ReplyRecord",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "reply",
                    models.CharField(
                        choices=[("needs-action", "asked"), ("accepted", "accepted"), ("declined", "declined")],
                        max_length=12,
                    ),
                ),
                ("at", models.DateTimeField()),
                ("by", models.CharField(help_text="Who answered: the volunteer by link, or a name.", max_length=120)),
                (
                    "assignment",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="replies", to="shifts.assignment"
                    ),
                ),
            ],
            options={
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Shift",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField()),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="shifts", to="clinics.clinic"
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
                "ordering": ["clinic", "position"],
            },
        ),
        migrations.CreateModel(
            name="ProposalLine",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("duty", models.CharField(max_length=20)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("added", "newly filled"),
                            ("moved", "moved"),
                            ("freed", "taken off"),
                            ("untouched", "unchanged"),
                        ],
                        max_length=10,
                    ),
                ),
                ("km", models.FloatField(null=True)),
                ("outcome", models.CharField(blank=True, max_length=300)),
                ("taken_at", models.DateTimeField(null=True)),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="+", to="clinics.clinic"
                    ),
                ),
                (
                    "proposal",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="lines", to="shifts.proposal"
                    ),
                ),
                (
                    "volunteer",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.CASCADE, related_name="+", to="people.volunteer"
                    ),
                ),
                (
                    "was",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.CASCADE, related_name="+", to="people.volunteer"
                    ),
                ),
                (
                    "shift",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.CASCADE, related_name="+", to="shifts.shift"
                    ),
                ),
            ],
            options={
                "ordering": ["clinic__starts_at", "clinic", "shift__position", "pk"],
            },
        ),
        migrations.CreateModel(
            name="AssignmentEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                (
                    "period",
                    django.contrib.postgres.fields.ranges.DateTimeRangeField(
                        help_text="From being there to going home."
                    ),
                ),
                (
                    "reply",
                    models.CharField(
                        choices=[("needs-action", "asked"), ("accepted", "accepted"), ("declined", "declined")],
                        default="needs-action",
                        max_length=12,
                    ),
                ),
                ("asked_at", models.DateTimeField()),
                ("replied_at", models.DateTimeField(blank=True, null=True)),
                ("released_at", models.DateTimeField(blank=True, null=True)),
                ("released_because", models.CharField(blank=True, max_length=200)),
                ("uid", models.UUIDField(default=uuid.uuid4, editable=False)),
                ("sequence", models.PositiveIntegerField(default=0, editable=False)),
                ("link_counter", models.PositiveIntegerField(default=0, editable=False)),
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
                        to="shifts.assignment",
                    ),
                ),
                (
                    "volunteer",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="people.volunteer",
                    ),
                ),
                (
                    "shift",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="shifts.shift",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddField(
            model_name="assignment",
            name="shift",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="assignments", to="shifts.shift"
            ),
        ),
        migrations.CreateModel(
            name="Backup",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("since", models.DateTimeField()),
                ("link_counter", models.PositiveIntegerField(default=0)),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="backups", to="clinics.clinic"
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
                (
                    "volunteer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="backups", to="people.volunteer"
                    ),
                ),
            ],
            options={
                "ordering": ["since", "pk"],
            },
        ),
        migrations.CreateModel(
            name="BackupCall",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("asked_at", models.DateTimeField()),
                (
                    "answer",
                    models.CharField(
                        blank=True,
                        choices=[("took it", "took it"), ("no", "no"), ("too late", "too late")],
                        max_length=8,
                    ),
                ),
                ("answered_at", models.DateTimeField(null=True)),
                ("link_counter", models.PositiveIntegerField(default=0)),
                (
                    "shift",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="calls", to="shifts.shift"
                    ),
                ),
                (
                    "volunteer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="calls", to="people.volunteer"
                    ),
                ),
            ],
            options={
                "ordering": ["-asked_at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Swap",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("asked", "asked"),
                            ("agreed", "both agreed, needs approval"),
                            ("done", "swap done"),
                            ("declined", "declined"),
                            ("refused", "didn’t work out"),
                        ],
                        default="asked",
                        max_length=8,
                    ),
                ),
                ("asked_at", models.DateTimeField()),
                ("answered_at", models.DateTimeField(null=True)),
                ("words", models.CharField(blank=True, help_text="Why it didn’t work out.", max_length=300)),
                ("link_counter", models.PositiveIntegerField(default=0)),
                (
                    "assignment",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="swaps", to="shifts.assignment"
                    ),
                ),
                (
                    "to",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="swaps_offered", to="people.volunteer"
                    ),
                ),
            ],
            options={
                "ordering": ["-asked_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="WeeklyWindow",
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
                ("starts", models.TimeField()),
                ("ends", models.TimeField()),
                (
                    "volunteer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="windows", to="people.volunteer"
                    ),
                ),
            ],
            options={
                "ordering": ["weekday", "starts"],
            },
        ),
        migrations.CreateModel(
            name="Away",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("first_day", models.DateField()),
                ("last_day", models.DateField()),
                (
                    "volunteer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="away", to="people.volunteer"
                    ),
                ),
            ],
            options={
                "ordering": ["first_day"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("last_day__gte", models.F("first_day"))), name="away_ends_after_it_begins"
                    ),
                    models.UniqueConstraint(fields=("volunteer", "first_day", "last_day"), name="away_once"),
                ],
            },
        ),
        migrations.CreateModel(
            name="KeptApart",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "one",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="kept_apart", to="people.volunteer"
                    ),
                ),
                (
                    "other",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="+", to="people.volunteer"
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("one__lt", models.F("other"))), name="kept_apart_in_order"
                    ),
                    models.UniqueConstraint(fields=("one", "other"), name="kept_apart_once"),
                ],
            },
        ),
        migrations.AddConstraint(
            model_name="proposal",
            constraint=models.CheckConstraint(
                condition=models.Q(("last_day__gte", models.F("first_day"))), name="proposal_days_in_order"
            ),
        ),
        migrations.AddConstraint(
            model_name="proposal",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "running"), _negated=True), ("claim__isnull", False), _connector="OR"
                ),
                name="a_running_search_is_claimed",
            ),
        ),
        migrations.AddConstraint(
            model_name="shift",
            constraint=models.UniqueConstraint(fields=("clinic", "position"), name="one_shift_per_position"),
        ),
        migrations.AddConstraint(
            model_name="proposalline",
            constraint=models.UniqueConstraint(fields=("proposal", "shift"), name="one_line_per_shift_of_a_proposal"),
        ),
        migrations.AddConstraint(
            model_name="assignment",
            constraint=models.UniqueConstraint(
                condition=models.Q(("released_at__isnull", True), models.Q(("reply", "declined"), _negated=True)),
                fields=("shift",),
                name="one_live_assignment_per_shift",
            ),
        ),
        migrations.AddConstraint(
            model_name="assignment",
            constraint=django.contrib.postgres.constraints.ExclusionConstraint(
                condition=models.Q(("released_at__isnull", True), models.Q(("reply", "declined"), _negated=True)),
                expressions=[("volunteer", "="), ("period", "&&")],
                name="one_place_at_a_time_per_volunteer",
            ),
        ),
        migrations.AddConstraint(
            model_name="assignment",
            constraint=models.CheckConstraint(
                condition=models.Q(("reply", "needs-action"), ("replied_at__isnull", False), _connector="OR"),
                name="a_reply_has_its_time",
            ),
        ),
        migrations.AddConstraint(
            model_name="assignment",
            constraint=models.CheckConstraint(
                condition=models.Q(("period__isempty", False)), name="assignment_period_holds_some_time"
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="assignment",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "shifts_assignmentevent" ("asked_at", "id", "link_counter", "period", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "released_at", "released_because", "replied_at", "reply", "sequence", "shift_id", "uid", "volunteer_id") VALUES (NEW."asked_at", NEW."id", NEW."link_counter", NEW."period", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."released_at", NEW."released_because", NEW."replied_at", NEW."reply", NEW."sequence", NEW."shift_id", NEW."uid", NEW."volunteer_id"); RETURN NULL;',
                    hash="a734f667f265c79924983778abd22c12e124dfdf",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_3d1c3",
                    table="shifts_assignment",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="assignment",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "shifts_assignmentevent" ("asked_at", "id", "link_counter", "period", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "released_at", "released_because", "replied_at", "reply", "sequence", "shift_id", "uid", "volunteer_id") VALUES (NEW."asked_at", NEW."id", NEW."link_counter", NEW."period", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."released_at", NEW."released_because", NEW."replied_at", NEW."reply", NEW."sequence", NEW."shift_id", NEW."uid", NEW."volunteer_id"); RETURN NULL;',
                    hash="ab6a5dfeb04a1b05163514fe5b2ca5205b944850",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_f4421",
                    table="shifts_assignment",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="assignment",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "shifts_assignmentevent" ("asked_at", "id", "link_counter", "period", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "released_at", "released_because", "replied_at", "reply", "sequence", "shift_id", "uid", "volunteer_id") VALUES (OLD."asked_at", OLD."id", OLD."link_counter", OLD."period", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."released_at", OLD."released_because", OLD."replied_at", OLD."reply", OLD."sequence", OLD."shift_id", OLD."uid", OLD."volunteer_id"); RETURN NULL;',
                    hash="08a9cd5c2dde96d22bf02dc178017819b1dc98a0",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_b94e0",
                    table="shifts_assignment",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="backup",
            constraint=models.UniqueConstraint(
                fields=("clinic", "duty", "volunteer"), name="one_backup_per_clinic_and_duty"
            ),
        ),
        migrations.AddConstraint(
            model_name="backupcall",
            constraint=models.CheckConstraint(
                condition=models.Q(("answer", ""), ("answered_at__isnull", False), _connector="OR"),
                name="a_call_has_its_time",
            ),
        ),
        migrations.AddConstraint(
            model_name="swap",
            constraint=models.UniqueConstraint(
                condition=models.Q(("state__in", ["asked", "agreed"])),
                fields=("assignment",),
                name="one_open_swap_per_shift",
            ),
        ),
        migrations.AddConstraint(
            model_name="weeklywindow",
            constraint=models.CheckConstraint(
                condition=models.Q(("ends__gt", models.F("starts"))), name="window_ends_after_it_starts"
            ),
        ),
        migrations.AddConstraint(
            model_name="weeklywindow",
            constraint=models.CheckConstraint(condition=models.Q(("weekday__lte", 6)), name="window_is_on_a_weekday"),
        ),
        migrations.AddConstraint(
            model_name="weeklywindow",
            constraint=models.UniqueConstraint(fields=("volunteer", "weekday"), name="one_window_per_weekday"),
        ),
    ]
