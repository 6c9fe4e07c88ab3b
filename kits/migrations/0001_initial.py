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
                ("name", models.CharField(max_length=60, unique=True, verbose_name="name")),
                (
                    "condition",
                    models.CharField(
                        choices=[
                            ("ready", "ready"),
                            ("worn", "worn, still usable"),
                            ("repair", "needs repair"),
                            ("missing", "missing"),
                        ],
                        default="ready",
                        max_length=8,
                        verbose_name="condition",
                    ),
                ),
                ("own_signs", models.CharField(default=kits.models.kits.own_signs, editable=False, max_length=2)),
                ("contents", models.CharField(blank=True, max_length=300, verbose_name="short description")),
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
                ("count", models.PositiveSmallIntegerField(default=1, verbose_name="number that should be in it")),
                (
                    "condition",
                    models.CharField(
                        choices=[
                            ("ready", "ready"),
                            ("worn", "worn, still usable"),
                            ("repair", "needs repair"),
                            ("missing", "missing"),
                        ],
                        default="ready",
                        max_length=8,
                        verbose_name="condition",
                    ),
                ),
                (
                    "last_day",
                    models.DateField(
                        blank=True,
                        help_text="The last good day. After that, the kit can’t be used.",
                        null=True,
                        verbose_name="expires on",
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
                (
                    "name",
                    models.CharField(
                        help_text="Such as full bag or STEM crate.", max_length=60, unique=True, verbose_name="name"
                    ),
                ),
                ("words", models.CharField(blank=True, max_length=200, verbose_name="short description")),
                ("children", models.PositiveSmallIntegerField(default=20, verbose_name="number of children")),
                ("youngest", models.PositiveSmallIntegerField(default=7, verbose_name="from age")),
                ("oldest", models.PositiveSmallIntegerField(default=12, verbose_name="to age")),
                (
                    "pump_days",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="Number of days. Leave empty for never.",
                        null=True,
                        verbose_name="pump balls every (days)",
                    ),
                ),
                (
                    "charge_days",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="Number of days. Leave empty for never.",
                        null=True,
                        verbose_name="charge devices every (days)",
                    ),
                ),
                (
                    "count_days",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="Number of days. Leave empty for never.",
                        null=True,
                        verbose_name="count contents every (days)",
                    ),
                ),
            ],
            options={
                "ordering": ["name"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("children__gte", 1), ("children__lte", 500)),
                        name="kit_kind_for_1_to_500_children",
                        violation_error_message="Enter 1 to 500 children.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("oldest__gte", models.F("youngest")), ("oldest__lte", 18)),
                        name="kit_kind_ages_in_order",
                        violation_error_message="The oldest age must be from the youngest age up to 18.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("pump_days__isnull", True),
                            models.Q(("pump_days__gte", 1), ("pump_days__lte", 730)),
                            _connector="OR",
                        ),
                        name="kit_kind_pump_every_1_to_730_days",
                        violation_error_message="Enter 1 to 730 days, or leave it empty.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("charge_days__isnull", True),
                            models.Q(("charge_days__gte", 1), ("charge_days__lte", 730)),
                            _connector="OR",
                        ),
                        name="kit_kind_charge_every_1_to_730_days",
                        violation_error_message="Enter 1 to 730 days, or leave it empty.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("count_days__isnull", True),
                            models.Q(("count_days__gte", 1), ("count_days__lte", 730)),
                            _connector="OR",
                        ),
                        name="kit_kind_count_every_1_to_730_days",
                        violation_error_message="Enter 1 to 730 days, or leave it empty.",
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
                verbose_name="kit type",
            ),
        ),
        migrations.CreateModel(
            name="KindLine",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "item",
                    models.CharField(
                        help_text="Singular, spelled as in the kits: cone, pinnie.", max_length=60, verbose_name="item"
                    ),
                ),
                (
                    "sized",
                    models.BooleanField(
                        default=False,
                        help_text="For balls: uses the published youth ball size for each child’s age.",
                        verbose_name="size depends on age",
                    ),
                ),
                (
                    "per_children",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="1 means one each. Leave empty for a fixed number.",
                        null=True,
                        verbose_name="children per item",
                    ),
                ),
                (
                    "number",
                    models.PositiveSmallIntegerField(
                        default=0,
                        help_text="This many no matter how many children come. If you also set “children per item”, this is the minimum.",
                        verbose_name="fixed number, or minimum",
                    ),
                ),
                ("from_age", models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="from age")),
                ("to_age", models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="to age")),
                ("spare_percent", models.PositiveSmallIntegerField(default=0, verbose_name="spares (percent)")),
                ("spare_count", models.PositiveSmallIntegerField(default=0, verbose_name="spares (number)")),
                ("stem_only", models.BooleanField(default=False, verbose_name="only if there is a STEM activity")),
                (
                    "must_have",
                    models.BooleanField(
                        default=False,
                        help_text="We’ll warn you if it’s missing. If it also expires (first aid), the kit can’t be used without it.",
                        verbose_name="required",
                    ),
                ),
                ("needs_last_day", models.BooleanField(default=False, verbose_name="expires")),
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
                        choices=[("repaired", "repaired"), ("replaced", "replaced"), ("found", "found")],
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
                        choices=[("waiting", "in line to start"), ("ready", "ready"), ("failed", "no plan found")],
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
                        choices=[("pump", "pump the balls"), ("charge", "charge devices"), ("count", "count contents")],
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
                        violation_error_message="This was already recorded today.",
                    )
                ],
            },
        ),
        migrations.AddConstraint(
            model_name="kititem",
            constraint=models.UniqueConstraint(
                fields=("kit", "name"),
                name="one_line_per_item_of_a_kit",
                violation_error_message="This item is already in the kit.",
            ),
        ),
        migrations.AddConstraint(
            model_name="kindline",
            constraint=models.UniqueConstraint(
                fields=("kind", "item", "from_age", "to_age"),
                name="one_line_per_item_and_ages_of_a_kind",
                nulls_distinct=False,
                violation_error_message="This item is already listed for these ages.",
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
                violation_error_message="Enter children per item, or a fixed number of at least 1.",
            ),
        ),
        migrations.AddConstraint(
            model_name="kindline",
            constraint=models.CheckConstraint(
                condition=models.Q(("number__lte", 999), ("spare_count__lte", 999), ("spare_percent__lte", 100)),
                name="kind_line_within_reason",
                violation_error_message="Enter up to 999 of one item and up to 100 percent spares.",
            ),
        ),
        migrations.AddConstraint(
            model_name="kindline",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("sized", False), models.Q(("number", 0), ("per_children__isnull", False)), _connector="OR"
                ),
                name="sized_line_is_per_head",
                violation_error_message="Items sized by age are counted per child. Enter children per item and leave the fixed number at 0.",
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
                violation_error_message="The ages are in the wrong order. Swap them.",
            ),
        ),
        migrations.AddConstraint(
            model_name="kitloss",
            constraint=models.CheckConstraint(
                condition=models.Q(("count__gte", 1), ("count__lte", 999)),
                name="kit_loss_of_1_to_999",
                violation_error_message="Enter a number from 1 to 999.",
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
