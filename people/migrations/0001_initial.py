import datetime

import django.contrib.postgres.fields
import django.core.validators
import django.db.models.deletion
import django.db.models.functions.text
import pgtrigger.compiler
import pgtrigger.migrations
from django.conf import settings
from django.db import migrations, models

import core.clock


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("core", "0001_initial"),
        ("auth", "0012_alter_user_first_name_max_length"),
        ("pghistory", "0007_auto_20250421_0444"),
    ]

    operations = [
        migrations.CreateModel(
            name="ClearanceKind",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("code", models.SlugField(max_length=40, unique=True)),
                (
                    "name",
                    models.CharField(
                        help_text="How it appears in a sentence, such as: abuse prevention training.",
                        max_length=80,
                        verbose_name="name",
                    ),
                ),
                (
                    "source",
                    models.CharField(
                        blank=True,
                        help_text="Who recommends how long it lasts, and when they said so.",
                        max_length=300,
                        verbose_name="source",
                    ),
                ),
                (
                    "renew",
                    models.CharField(
                        blank=True,
                        help_text="One or two sentences for the volunteer: where to go, how long it takes, who pays. Included in the email.",
                        max_length=500,
                        verbose_name="how to renew it",
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
            },
        ),
        migrations.CreateModel(
            name="NoticeStep",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("days_before", models.PositiveSmallIntegerField(unique=True)),
            ],
            options={
                "ordering": ["-days_before"],
            },
        ),
        migrations.CreateModel(
            name="Purge",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("at", models.DateTimeField()),
                ("what", models.CharField(max_length=60)),
                ("count", models.PositiveIntegerField()),
            ],
            options={
                "ordering": ["-at"],
            },
        ),
        migrations.CreateModel(
            name="User",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("password", models.CharField(max_length=128, verbose_name="password")),
                ("last_login", models.DateTimeField(blank=True, null=True, verbose_name="last login")),
                (
                    "is_superuser",
                    models.BooleanField(
                        default=False,
                        help_text="Designates that this user has all permissions without explicitly assigning them.",
                        verbose_name="superuser status",
                    ),
                ),
                ("email", models.EmailField(max_length=254, unique=True, verbose_name="email")),
                ("name", models.CharField(max_length=120, verbose_name="name")),
                ("is_active", models.BooleanField(default=True)),
                ("joined_at", models.DateTimeField(default=core.clock.now, editable=False)),
                (
                    "groups",
                    models.ManyToManyField(
                        blank=True,
                        help_text="The groups this user belongs to. A user will get all permissions granted to each of their groups.",
                        related_name="user_set",
                        related_query_name="user",
                        to="auth.group",
                        verbose_name="groups",
                    ),
                ),
                (
                    "user_permissions",
                    models.ManyToManyField(
                        blank=True,
                        help_text="Specific permissions for this user.",
                        related_name="user_set",
                        related_query_name="user",
                        to="auth.permission",
                        verbose_name="user permissions",
                    ),
                ),
            ],
            options={
                "permissions": [
                    ("see_ahead", "See ahead"),
                    ("see_clinics", "See clinics"),
                    ("see_centers", "See centers"),
                    ("see_volunteers", "See volunteers"),
                    ("see_horizon", "See horizon"),
                    ("see_kits", "See kits"),
                    ("see_outbox", "See outbox"),
                    ("see_children", "See children"),
                    ("see_door", "See door"),
                    ("read_care", "Read care"),
                    ("see_incidents", "See incidents"),
                    ("book_clinics", "Book clinics"),
                    ("cover_clinics", "Cover clinics"),
                    ("keep_centers", "Keep centers"),
                    ("keep_volunteers", "Keep volunteers"),
                    ("keep_children", "Keep children"),
                    ("keep_waivers", "Keep waivers"),
                    ("keep_requests", "Keep requests"),
                    ("keep_clearances", "Keep clearances"),
                    ("keep_policy", "Keep policy"),
                    ("keep_kits", "Keep kits"),
                    ("keep_outbox", "Keep outbox"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Clearance",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("awaiting", "waiting for result"),
                            ("clear", "cleared"),
                            ("refused", "not cleared"),
                            ("withdrawn", "withdrawn"),
                        ],
                        default="clear",
                        max_length=12,
                    ),
                ),
                ("issued_on", models.DateField(blank=True, null=True, verbose_name="date issued")),
                (
                    "expires_on",
                    models.DateField(
                        blank=True,
                        help_text="As printed on it. Leave empty to use the policy.",
                        null=True,
                        verbose_name="last valid day",
                    ),
                ),
                (
                    "reference",
                    models.CharField(
                        blank=True,
                        help_text="A number for looking it up later. Don’t enter the report.",
                        max_length=80,
                        verbose_name="reference number",
                    ),
                ),
                ("issuer", models.CharField(blank=True, max_length=120, verbose_name="issuer")),
                ("recorded_at", models.DateTimeField(default=core.clock.now, editable=False)),
                ("confirmed_at", models.DateTimeField(editable=False, null=True)),
                (
                    "confirmed_by",
                    models.ForeignKey(
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
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
                    "kind",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="clearances",
                        to="people.clearancekind",
                    ),
                ),
            ],
            options={
                "ordering": ["volunteer", "kind", "issued_on", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Duty",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("code", models.SlugField(editable=False, max_length=20, unique=True)),
                (
                    "name",
                    models.CharField(
                        help_text="How it appears in a sentence, such as: first aider.",
                        max_length=40,
                        verbose_name="name",
                    ),
                ),
                (
                    "ask",
                    models.CharField(
                        help_text="The words after “Can you”, such as: be the first aider.",
                        max_length=60,
                        verbose_name="wording of the request",
                    ),
                ),
                (
                    "missing",
                    models.CharField(
                        blank=True,
                        help_text="The words after “No”. Leave empty to use the name.",
                        max_length=40,
                        verbose_name="name when unfilled",
                    ),
                ),
                (
                    "letter",
                    models.CharField(
                        help_text="Shown under its box on the coverage strip.", max_length=1, verbose_name="letter"
                    ),
                ),
                (
                    "counts",
                    models.BooleanField(
                        default=True,
                        help_text="Uncheck for helpers. They never count toward the adult ratio.",
                        verbose_name="counts as an adult",
                    ),
                ),
                (
                    "rank",
                    models.PositiveSmallIntegerField(
                        default=50,
                        help_text="When you’re short on volunteers, the lowest number is filled first.",
                        verbose_name="fill order",
                    ),
                ),
                (
                    "retired",
                    models.BooleanField(
                        default=False,
                        help_text="No longer offered. People who have this duty keep it, and existing shifts stay.",
                        verbose_name="archived",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "duties",
                "ordering": ["rank", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("retired", False),
                            models.Q(
                                ("code__in", ("lead", "coach", "stem_lead", "first_aider", "door", "helper")),
                                _negated=True,
                            ),
                            _connector="OR",
                        ),
                        name="built_in_duties_stay",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("counts", False), models.Q(("code", "helper"), _negated=True), _connector="OR"
                        ),
                        name="helpers_never_count",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Import",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("volunteers", "volunteers"),
                            ("clearances", "clearances"),
                            ("households", "families"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("read", "checked, not imported yet"),
                            ("taking", "importing"),
                            ("taken", "imported"),
                            ("undone", "import undone"),
                        ],
                        default="read",
                        max_length=8,
                    ),
                ),
                ("file_name", models.CharField(max_length=120)),
                ("rows", models.JSONField(default=list)),
                ("bad", models.JSONField(default=list)),
                ("made", models.JSONField(default=list, help_text="Numbers of the rows that were written.")),
                ("trouble", models.CharField(blank=True, max_length=300)),
                ("read_at", models.DateTimeField()),
                ("taken_at", models.DateTimeField(null=True)),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-pk"],
            },
        ),
        migrations.CreateModel(
            name="PolicyRow",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "place",
                    models.CharField(
                        blank=True,
                        help_text="Leave empty for all centers, or enter the name of a center that has its own requirement.",
                        max_length=60,
                    ),
                ),
                ("from_day", models.DateField(default=datetime.date(2000, 1, 1))),
                (
                    "required",
                    models.BooleanField(
                        default=True, help_text="Uncheck if the clearance is no longer required from this date."
                    ),
                ),
                (
                    "months",
                    models.PositiveSmallIntegerField(
                        blank=True, help_text="How many months it’s valid. Leave empty if it doesn’t expire.", null=True
                    ),
                ),
                ("notice_days", models.PositiveSmallIntegerField(default=60)),
                (
                    "overlap",
                    models.BooleanField(default=False, help_text="An early renewal extends the old expiration date."),
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
                    "kind",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="policy_rows",
                        to="people.clearancekind",
                    ),
                ),
            ],
            options={
                "ordering": ["duty_id", "kind", "place", "from_day"],
            },
        ),
        migrations.CreateModel(
            name="Volunteer",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=120, verbose_name="name")),
                ("email", models.EmailField(max_length=254, verbose_name="email")),
                ("phone", models.CharField(blank=True, max_length=40, verbose_name="phone")),
                (
                    "duties",
                    django.contrib.postgres.fields.ArrayField(
                        base_field=models.CharField(max_length=20), default=list, size=None, verbose_name="duties"
                    ),
                ),
                (
                    "adult",
                    models.BooleanField(
                        default=True,
                        help_text="Helpers under 18 are welcome. They don’t count as adults.",
                        verbose_name="18 or over",
                    ),
                ),
                (
                    "home_area",
                    models.CharField(
                        blank=True,
                        help_text="A neighborhood or town, not a street address.",
                        max_length=120,
                        verbose_name="home area",
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
                ("left_on", models.DateField(blank=True, null=True, verbose_name="left on")),
                ("forgotten", models.BooleanField(default=False, editable=False)),
                ("reminders", models.BooleanField(default=True, verbose_name="email reminders")),
                ("link_counter", models.PositiveIntegerField(default=0, editable=False)),
                ("feed_counter", models.PositiveIntegerField(default=0, editable=False)),
            ],
            options={
                "ordering": ["name", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        django.db.models.functions.text.Lower("email"),
                        name="one_volunteer_per_address",
                        violation_error_message="A volunteer with this email is already on file.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("latitude__isnull", True), ("longitude__isnull", True)),
                            models.Q(("latitude__isnull", False), ("longitude__isnull", False)),
                            _connector="OR",
                        ),
                        name="volunteer_home_has_both_or_neither",
                        violation_error_message="Enter both latitude and longitude for the home area, or leave both empty.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("adult", True), ("duties__contained_by", ["helper"]), _connector="OR"),
                        name="under_18_only_helps",
                        violation_error_message="Volunteers under 18 can only be helpers. Choose helper only.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ClearanceEvent",
            fields=[
                ("pgh_id", models.AutoField(primary_key=True, serialize=False)),
                ("pgh_created_at", models.DateTimeField(auto_now_add=True)),
                ("pgh_label", models.TextField(help_text="The event label.")),
                ("id", models.BigIntegerField()),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("awaiting", "waiting for result"),
                            ("clear", "cleared"),
                            ("refused", "not cleared"),
                            ("withdrawn", "withdrawn"),
                        ],
                        default="clear",
                        max_length=12,
                    ),
                ),
                ("issued_on", models.DateField(blank=True, null=True, verbose_name="date issued")),
                (
                    "expires_on",
                    models.DateField(
                        blank=True,
                        help_text="As printed on it. Leave empty to use the policy.",
                        null=True,
                        verbose_name="last valid day",
                    ),
                ),
                (
                    "reference",
                    models.CharField(
                        blank=True,
                        help_text="A number for looking it up later. Don’t enter the report.",
                        max_length=80,
                        verbose_name="reference number",
                    ),
                ),
                ("issuer", models.CharField(blank=True, max_length=120, verbose_name="issuer")),
                ("recorded_at", models.DateTimeField(default=core.clock.now, editable=False)),
                ("confirmed_at", models.DateTimeField(editable=False, null=True)),
                (
                    "confirmed_by",
                    models.ForeignKey(
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to=settings.AUTH_USER_MODEL,
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
                        to="people.clearance",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "kind",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        related_query_name="+",
                        to="people.clearancekind",
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
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddField(
            model_name="clearance",
            name="volunteer",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE, related_name="clearances", to="people.volunteer"
            ),
        ),
        migrations.CreateModel(
            name="Application",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=120, verbose_name="name")),
                ("email", models.EmailField(max_length=254, verbose_name="email")),
                ("phone", models.CharField(max_length=40, verbose_name="phone")),
                (
                    "duties",
                    django.contrib.postgres.fields.ArrayField(
                        base_field=models.CharField(max_length=20), default=list, size=None
                    ),
                ),
                ("languages", models.CharField(blank=True, max_length=120, verbose_name="languages")),
                ("home_area", models.CharField(max_length=120, verbose_name="home area")),
                ("adult", models.BooleanField(default=True)),
                ("guardian_name", models.CharField(blank=True, max_length=120)),
                ("guardian_contact", models.CharField(blank=True, max_length=120)),
                ("first_reference", models.CharField(max_length=200, verbose_name="first reference")),
                ("second_reference", models.CharField(max_length=200, verbose_name="second reference")),
                ("words", models.CharField(blank=True, max_length=600)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("unconfirmed", "email not confirmed"),
                            ("new", "to review"),
                            ("more asked", "question sent"),
                            ("accepted", "accepted"),
                            ("declined", "declined"),
                        ],
                        default="unconfirmed",
                        max_length=12,
                    ),
                ),
                ("question", models.CharField(blank=True, max_length=300)),
                ("answer", models.CharField(blank=True, max_length=600)),
                ("reason", models.CharField(blank=True, max_length=300)),
                ("decided_at", models.DateTimeField(null=True)),
                ("sent_at", models.DateTimeField()),
                ("link_counter", models.PositiveIntegerField(default=0)),
                (
                    "decided_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "volunteer",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="applications",
                        to="people.volunteer",
                    ),
                ),
            ],
            options={
                "ordering": ["-sent_at"],
            },
        ),
        migrations.CreateModel(
            name="AddressChange",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("email", models.EmailField(max_length=254, verbose_name="email")),
                ("asked_at", models.DateTimeField()),
                ("confirmed_at", models.DateTimeField(null=True)),
                ("link_counter", models.PositiveIntegerField(default=0)),
                (
                    "volunteer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="address_changes",
                        to="people.volunteer",
                    ),
                ),
            ],
            options={
                "ordering": ["-asked_at", "-pk"],
            },
        ),
        migrations.AddConstraint(
            model_name="user",
            constraint=models.UniqueConstraint(
                django.db.models.functions.text.Lower("email"), name="one_account_per_address"
            ),
        ),
        migrations.AddConstraint(
            model_name="policyrow",
            constraint=models.UniqueConstraint(
                fields=("duty", "kind", "place", "from_day"),
                name="one_policy_row_per_duty_kind_place_and_day",
                violation_error_message="There’s already a change for this duty, clearance, and center on that date. Choose another date.",
            ),
        ),
        migrations.AddConstraint(
            model_name="policyrow",
            constraint=models.CheckConstraint(
                condition=models.Q(("months__isnull", True), ("months__gte", 1), _connector="OR"),
                name="policy_months_at_least_one",
            ),
        ),
        migrations.AddConstraint(
            model_name="clearance",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("confirmed_by__isnull", True),
                    ("recorded_by__isnull", True),
                    models.Q(("confirmed_by", models.F("recorded_by")), _negated=True),
                    _connector="OR",
                ),
                name="a_second_person_confirms",
            ),
        ),
        migrations.AddConstraint(
            model_name="clearance",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("expires_on__isnull", True),
                    ("issued_on__isnull", True),
                    ("expires_on__gte", models.F("issued_on")),
                    _connector="OR",
                ),
                name="clearance_expiry_not_before_issue",
                violation_error_message="The last valid day is before the issue date. Check both dates.",
            ),
        ),
        migrations.AddConstraint(
            model_name="clearance",
            constraint=models.CheckConstraint(
                condition=models.Q(("state", "awaiting"), ("issued_on__isnull", False), _connector="OR"),
                name="clearance_result_has_a_date",
                violation_error_message="Enter the issue date. You can leave it empty only while you’re waiting for a result.",
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="clearance",
            trigger=pgtrigger.compiler.Trigger(
                name="insert_insert",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "people_clearanceevent" ("confirmed_at", "confirmed_by_id", "expires_on", "id", "issued_on", "issuer", "kind_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "recorded_at", "recorded_by_id", "reference", "state", "volunteer_id") VALUES (NEW."confirmed_at", NEW."confirmed_by_id", NEW."expires_on", NEW."id", NEW."issued_on", NEW."issuer", NEW."kind_id", _pgh_attach_context(), NOW(), \'insert\', NEW."id", NEW."recorded_at", NEW."recorded_by_id", NEW."reference", NEW."state", NEW."volunteer_id"); RETURN NULL;',
                    hash="1c86e762e4a5547b639f2e028cf8cb916fda8f8d",
                    operation="INSERT",
                    pgid="pgtrigger_insert_insert_81aaf",
                    table="people_clearance",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="clearance",
            trigger=pgtrigger.compiler.Trigger(
                name="update_update",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    condition="WHEN (OLD.* IS DISTINCT FROM NEW.*)",
                    func='INSERT INTO "people_clearanceevent" ("confirmed_at", "confirmed_by_id", "expires_on", "id", "issued_on", "issuer", "kind_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "recorded_at", "recorded_by_id", "reference", "state", "volunteer_id") VALUES (NEW."confirmed_at", NEW."confirmed_by_id", NEW."expires_on", NEW."id", NEW."issued_on", NEW."issuer", NEW."kind_id", _pgh_attach_context(), NOW(), \'update\', NEW."id", NEW."recorded_at", NEW."recorded_by_id", NEW."reference", NEW."state", NEW."volunteer_id"); RETURN NULL;',
                    hash="a32d57152309369c5a4fffcc1111d24801ad03ad",
                    operation="UPDATE",
                    pgid="pgtrigger_update_update_f4852",
                    table="people_clearance",
                    when="AFTER",
                ),
            ),
        ),
        pgtrigger.migrations.AddTrigger(
            model_name="clearance",
            trigger=pgtrigger.compiler.Trigger(
                name="delete_delete",
                sql=pgtrigger.compiler.UpsertTriggerSql(
                    func='INSERT INTO "people_clearanceevent" ("confirmed_at", "confirmed_by_id", "expires_on", "id", "issued_on", "issuer", "kind_id", "pgh_context_id", "pgh_created_at", "pgh_label", "pgh_obj_id", "recorded_at", "recorded_by_id", "reference", "state", "volunteer_id") VALUES (OLD."confirmed_at", OLD."confirmed_by_id", OLD."expires_on", OLD."id", OLD."issued_on", OLD."issuer", OLD."kind_id", _pgh_attach_context(), NOW(), \'delete\', OLD."id", OLD."recorded_at", OLD."recorded_by_id", OLD."reference", OLD."state", OLD."volunteer_id"); RETURN NULL;',
                    hash="89b720e4f52c04a9bc11dd78b1bfead54309f89d",
                    operation="DELETE",
                    pgid="pgtrigger_delete_delete_58090",
                    table="people_clearance",
                    when="AFTER",
                ),
            ),
        ),
        migrations.AddConstraint(
            model_name="application",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("adult", True),
                    models.Q(
                        models.Q(("guardian_name", ""), _negated=True),
                        models.Q(("guardian_contact", ""), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="under_18_names_a_guardian",
            ),
        ),
        migrations.AddConstraint(
            model_name="application",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("state", "declined"), _negated=True),
                    models.Q(("reason", ""), _negated=True),
                    _connector="OR",
                ),
                name="a_declined_application_has_a_reason",
            ),
        ),
        migrations.AddConstraint(
            model_name="addresschange",
            constraint=models.UniqueConstraint(
                condition=models.Q(("confirmed_at__isnull", True)),
                fields=("volunteer",),
                name="one_open_address_change_each",
            ),
        ),
    ]
