import django.contrib.postgres.constraints
import django.contrib.postgres.fields.ranges
import django.db.models.deletion
import pgtrigger.compiler
import pgtrigger.migrations
from django.conf import settings
from django.db import migrations, models

import kits.models.kits


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("core", "0001_initial"),
        ("clinics", "0001_initial"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Kit",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=60, unique=True)),
                (
                    "condition",
                    models.CharField(
                        choices=[("good", "good"), ("worn", "worn"), ("broken", "broken"), ("lost", "lost")],
                        default="good",
                        max_length=8,
                    ),
                ),
                ("own_signs", models.CharField(default=kits.models.kits.own_signs, editable=False, max_length=2)),
                ("contents", models.CharField(blank=True, max_length=300)),
                ("with_whom", models.CharField(blank=True, max_length=120)),
                ("moved_at", models.DateTimeField(blank=True, null=True)),
                (
                    "now_at",
                    models.ForeignKey(
                        blank=True,
                        help_text="Empty while it is with a person.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="kits_here",
                        to="clinics.center",
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="KitItem",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "name",
                    models.CharField(
                        help_text="Such as ball, size 5; cone; first-aid pouch.", max_length=60, verbose_name="item"
                    ),
                ),
                ("count", models.PositiveSmallIntegerField(default=1)),
                (
                    "condition",
                    models.CharField(
                        choices=[("good", "good"), ("worn", "worn"), ("broken", "broken"), ("lost", "lost")],
                        default="good",
                        max_length=8,
                    ),
                ),
                (
                    "last_day",
                    models.DateField(
                        blank=True,
                        help_text="The day until which it is good; after it the kit is not packed.",
                        null=True,
                    ),
                ),
                (
                    "kit",
                    models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="items", to="kits.kit"),
                ),
            ],
            options={
                "ordering": ["kit", "name"],
            },
        ),
        migrations.CreateModel(
            name="KitKind",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(help_text="Such as full bag or STEM crate.", max_length=60, unique=True)),
                ("words", models.CharField(blank=True, max_length=200, verbose_name="in a few words")),
                ("children", models.PositiveSmallIntegerField(default=20, verbose_name="for how many children")),
                ("youngest", models.PositiveSmallIntegerField(default=7, verbose_name="from age")),
                ("oldest", models.PositiveSmallIntegerField(default=12, verbose_name="to age")),
                (
                    "pump_days",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="Days. Empty: never asked for.",
                        null=True,
                        verbose_name="pump the balls every",
                    ),
                ),
                (
                    "charge_days",
                    models.PositiveSmallIntegerField(
                        blank=True, help_text="Days. Empty: never asked for.", null=True, verbose_name="charge every"
                    ),
                ),
                (
                    "count_days",
                    models.PositiveSmallIntegerField(
                        blank=True, help_text="Days. Empty: never asked for.", null=True, verbose_name="count every"
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("children__gte", 1), ("children__lte", 500)),
                        name="kit_kind_for_1_to_500_children",
                        violation_error_message="Give 1 to 500 children.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("oldest__gte", models.F("youngest")), ("oldest__lte", 18)),
                        name="kit_kind_ages_in_order",
                        violation_error_message="The oldest age is at least the youngest, and at most 18.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("pump_days__isnull", True),
                            models.Q(("pump_days__gte", 1), ("pump_days__lte", 730)),
                            _connector="OR",
                        ),
                        name="kit_kind_pump_every_1_to_730_days",
                        violation_error_message="Say to pump it every 1 to 730 days, or leave it empty.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("charge_days__isnull", True),
                            models.Q(("charge_days__gte", 1), ("charge_days__lte", 730)),
                            _connector="OR",
                        ),
                        name="kit_kind_charge_every_1_to_730_days",
                        violation_error_message="Say to charge it every 1 to 730 days, or leave it empty.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("count_days__isnull", True),
                            models.Q(("count_days__gte", 1), ("count_days__lte", 730)),
                            _connector="OR",
                        ),
                        name="kit_kind_count_every_1_to_730_days",
                        violation_error_message="Say to count it every 1 to 730 days, or leave it empty.",
                    ),
                ],
            },
        ),
        migrations.AddField(
            model_name="kit",
            name="kind",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="kits",
                to="kits.kitkind",
            ),
        ),
        migrations.CreateModel(
            name="KindLine",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "item",
                    models.CharField(
                        help_text="In the singular, as it is written in the kits: cone, pinnie.", max_length=60
                    ),
                ),
                (
                    "sized",
                    models.BooleanField(
                        default=False,
                        help_text="Balls: the size of each child's age by the published youth guidelines.",
                        verbose_name="size by age",
                    ),
                ),
                (
                    "per_children",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="1: one each. Empty: a fixed number.",
                        null=True,
                        verbose_name="one for how many children",
                    ),
                ),
                (
                    "number",
                    models.PositiveSmallIntegerField(
                        default=0,
                        help_text="How many whoever comes; with a number a head, at least so many.",
                        verbose_name="fixed or least number",
                    ),
                ),
                ("from_age", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("to_age", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("spare_percent", models.PositiveSmallIntegerField(default=0, verbose_name="spare, in a hundred")),
                ("spare_count", models.PositiveSmallIntegerField(default=0, verbose_name="spare, so many")),
                ("stem_only", models.BooleanField(default=False, verbose_name="only with a STEM part")),
                (
                    "must_have",
                    models.BooleanField(
                        default=False,
                        help_text="Said when it is missing. With a last day (first aid), the kit is not packed without it.",
                    ),
                ),
                ("needs_last_day", models.BooleanField(default=False, verbose_name="has a last day")),
                (
                    "kind",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="lines", to="kits.kitkind"
                    ),
                ),
            ],
            options={
                "ordering": ["kind", "pk"],
            },
        ),
        migrations.CreateModel(
            name="KitLoss",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("count", models.PositiveSmallIntegerField()),
                ("how", models.CharField(choices=[("damaged", "damaged"), ("lost", "lost")], max_length=8)),
                ("happened_on", models.DateField()),
                ("words", models.CharField(blank=True, max_length=300)),
                ("recorded_at", models.DateTimeField()),
                (
                    "righted",
                    models.CharField(
                        blank=True,
                        choices=[("repaired", "repaired"), ("replaced", "replaced"), ("found", "found again")],
                        max_length=8,
                    ),
                ),
                ("righted_at", models.DateTimeField(null=True)),
                (
                    "clinic",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="kit_losses",
                        to="clinics.clinic",
                    ),
                ),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="losses", to="kits.kititem"
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "righted_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-happened_on", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="KitPlan",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("first_day", models.DateField()),
                ("last_day", models.DateField()),
                ("asked_at", models.DateTimeField()),
                (
                    "state",
                    models.CharField(
                        choices=[("waiting", "waiting for a worker"), ("ready", "ready"), ("failed", "not found")],
                        default="waiting",
                        max_length=8,
                    ),
                ),
                ("result", models.JSONField(default=dict)),
                ("trouble", models.CharField(blank=True, max_length=300)),
                ("booked_at", models.DateTimeField(null=True)),
                (
                    "asked_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-asked_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="KitBooking",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("period", django.contrib.postgres.fields.ranges.DateTimeRangeField()),
                (
                    "status",
                    models.CharField(
                        choices=[("tentative", "tentative"), ("confirmed", "confirmed"), ("cancelled", "cancelled")],
                        default="confirmed",
                        max_length=10,
                    ),
                ),
                (
                    "clinic",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="kit_bookings", to="clinics.clinic"
                    ),
                ),
                (
                    "kit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="bookings", to="kits.kit"
                    ),
                ),
            ],
            options={
                "ordering": ["period"],
                "constraints": [
                    django.contrib.postgres.constraints.ExclusionConstraint(
                        condition=models.Q(("status", "cancelled"), _negated=True),
                        expressions=[("kit", "="), ("period", "&&")],
                        name="one_clinic_per_kit_at_a_time",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("period__isempty", False)), name="kit_period_holds_some_time"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="KitCheck",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("pump", "pump the balls"),
                            ("charge", "charge what runs on power"),
                            ("count", "count what is in it"),
                        ],
                        max_length=8,
                    ),
                ),
                ("done_on", models.DateField()),
                ("done_at", models.DateTimeField()),
                ("words", models.CharField(blank=True, max_length=500)),
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
                    "kit",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="checks", to="kits.kit"
                    ),
                ),
            ],
            options={
                "ordering": ["-done_on", "-pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("kit", "what", "done_on"),
                        name="one_check_of_a_sort_a_day",
                        violation_error_message="This was recorded today already.",
                    )
                ],
            },
        ),
        migrations.AddConstraint(
            model_name="kititem",
            constraint=models.UniqueConstraint(
                fields=("kit", "name"),
                name="one_line_per_item_of_a_kit",
                violation_error_message="This item is in the kit's list already.",
            ),
        ),
        migrations.AddConstraint(
            model_name="kindline",
            constraint=models.UniqueConstraint(
                fields=("kind", "item", "from_age", "to_age"),
                name="one_line_per_item_and_ages_of_a_kind",
                nulls_distinct=False,
                violation_error_message="This item stands in the list already for these ages.",
            ),
        ),
        migrations.AddConstraint(
            model_name="kindline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("per_children__gte", 1), ("per_children__isnull", False), ("per_children__lte", 500)),
                    models.Q(("number__gte", 1), ("per_children__isnull", True)),
                    _connector="OR",
                ),
                name="kind_line_asks_for_something",
                violation_error_message="Say one for how many children, or a fixed number of at least 1.",
            ),
        ),
        migrations.AddConstraint(
            model_name="kindline",
            constraint=models.CheckConstraint(
                condition=models.Q(("number__lte", 999), ("spare_count__lte", 999), ("spare_percent__lte", 100)),
                name="kind_line_within_reason",
                violation_error_message="At most 999 of one item, and at most 100 in a hundred spare.",
            ),
        ),
        migrations.AddConstraint(
            model_name="kindline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("sized", False), models.Q(("number", 0), ("per_children__isnull", False)), _connector="OR"
                ),
                name="sized_line_is_per_head",
                violation_error_message="What has a size by age is counted a head: say one for how many children, and leave the fixed number at 0.",
            ),
        ),
        migrations.AddConstraint(
            model_name="kindline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("from_age__isnull", True),
                    ("to_age__isnull", True),
                    ("to_age__gte", models.F("from_age")),
                    _connector="OR",
                ),
                name="kind_line_ages_in_order",
                violation_error_message="The later age comes before the earlier one. Swap the two ages.",
            ),
        ),
        migrations.AddConstraint(
            model_name="kitloss",
            constraint=models.CheckConstraint(
                condition=models.Q(("count__gte", 1), ("count__lte", 999)),
                name="kit_loss_of_1_to_999",
                violation_error_message="Give a number from 1 to 999.",
            ),
        ),
        migrations.AddConstraint(
            model_name="kitloss",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("righted", ""), ("righted_at__isnull", True)),
                    models.Q(models.Q(("righted", ""), _negated=True), ("righted_at__isnull", False)),
                    _connector="OR",
                ),
                name="kit_loss_put_right_has_its_moment",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="kitloss",
            trigger=pgtrigger.compiler.Trigger(
                name="kit_losses_stay",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func="RAISE EXCEPTION 'pgtrigger: Cannot delete rows from % table', TG_TABLE_NAME;",
                    hash="063ed60d3f61aaa0dc49e4c733d59b94f041a499",
                    operation="DELETE",
                    pgid="pgtrigger_kit_losses_stay_c4c76",
                    table="kits_kitloss",
                    when="BEFORE",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="kitplan",
            constraint=models.CheckConstraint(
                condition=models.Q(("last_day__gte", models.F("first_day"))), name="kit_plan_days_in_order"
            ),
        ),
    ]
