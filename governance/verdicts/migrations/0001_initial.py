import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("material", "0001_initial"),
        ("names", "0001_initial"),
        ("papers", "0001_initial"),
        ("people", "__first__"),
    ]

    operations = [
        migrations.CreateModel(
            name="CountrySheet",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "country",
                    models.CharField(
                        blank=True,
                        help_text="ISO 3166-1, two letters; blank is everywhere",
                        max_length=2,
                        unique=True,
                        verbose_name="country",
                    ),
                ),
                ("authority", models.CharField(blank=True, max_length=300, verbose_name="authority")),
                ("contact", models.TextField(blank=True, verbose_name="contact")),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("checked_by", models.CharField(blank=True, max_length=200, verbose_name="checked by")),
                ("checked_on", models.DateField(blank=True, null=True, verbose_name="checked on")),
            ],
            options={
                "verbose_name": "country sheet",
                "verbose_name_plural": "country sheets",
                "ordering": ["country"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("country", ""), ("country__regex", "^[A-Z]{2}$"), _connector="OR"),
                        name="countrysheet_country_form",
                        violation_error_message="A country is two capital letters (ISO 3166-1).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("checked_by", ""), ("checked_on__isnull", True)),
                            models.Q(models.Q(("checked_by", ""), _negated=True), ("checked_on__isnull", False)),
                            _connector="OR",
                        ),
                        name="countrysheet_who_and_when",
                        violation_error_message="Say who checked the sheet and on which day, both or neither.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalCountrySheet",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "country",
                    models.CharField(
                        blank=True,
                        db_index=True,
                        help_text="ISO 3166-1, two letters; blank is everywhere",
                        max_length=2,
                        verbose_name="country",
                    ),
                ),
                ("authority", models.CharField(blank=True, max_length=300, verbose_name="authority")),
                ("contact", models.TextField(blank=True, verbose_name="contact")),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("checked_by", models.CharField(blank=True, max_length=200, verbose_name="checked by")),
                ("checked_on", models.DateField(blank=True, null=True, verbose_name="checked on")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "historical country sheet",
                "verbose_name_plural": "historical country sheets",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalHouseRuleSet",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "assumed_radius_m",
                    models.FloatField(
                        blank=True,
                        default=1000,
                        help_text="Of a point whose uncertainty is not recorded; blank: such a point cannot be told",
                        null=True,
                        verbose_name="assumed radius (m)",
                    ),
                ),
                (
                    "datum_allowance_m",
                    models.FloatField(
                        default=250,
                        help_text="Added where the datum is not recorded",
                        verbose_name="datum allowance (m)",
                    ),
                ),
                (
                    "approximate_count_percent",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="25: “ca. 400” counts as 300 to 500; blank: as one to no bound",
                        null=True,
                        verbose_name="“ca.” means within (%)",
                    ),
                ),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "historical house rules",
                "verbose_name_plural": "historical house rules",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalOverride",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Land"),
                            (1, "Collecting"),
                            (2, "Species"),
                            (3, "Protected site"),
                            (4, "Access (ABS)"),
                            (5, "Export"),
                            (6, "Import"),
                            (7, "CITES"),
                            (8, "Transfer"),
                        ],
                        verbose_name="layer",
                    ),
                ),
                (
                    "computed",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Covered"),
                            (1, "Not required"),
                            (2, "Cannot tell"),
                            (3, "Straddles"),
                            (4, "Outside terms"),
                            (5, "No paper on file"),
                        ],
                        help_text="the computed verdict on that day",
                    ),
                ),
                (
                    "decided",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Covered"),
                            (1, "Not required"),
                            (2, "Cannot tell"),
                            (3, "Straddles"),
                            (4, "Outside terms"),
                            (5, "No paper on file"),
                        ],
                        verbose_name="decided",
                    ),
                ),
                ("reason", models.TextField(verbose_name="reason")),
                ("decided_at", models.DateTimeField(blank=True, editable=False)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_reason", models.TextField(blank=True)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "decided_by",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "specimen",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="material.specimen",
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "historical decision beside a verdict",
                "verbose_name_plural": "historical decisions beside verdicts",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalSearch",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Land"),
                            (1, "Collecting"),
                            (2, "Species"),
                            (3, "Protected site"),
                            (4, "Access (ABS)"),
                            (5, "Export"),
                            (6, "Import"),
                            (7, "CITES"),
                            (8, "Transfer"),
                        ],
                        verbose_name="layer",
                    ),
                ),
                (
                    "state",
                    models.PositiveSmallIntegerField(
                        choices=[(0, "Not searched yet"), (1, "Known to exist, not located"), (2, "None found")],
                        verbose_name="outcome",
                    ),
                ),
                ("searched_on", models.DateField(verbose_name="searched on")),
                ("searched_by", models.CharField(max_length=200, verbose_name="searched by")),
                ("note", models.TextField(blank=True, verbose_name="where, and what was found")),
                ("recorded_at", models.DateTimeField(blank=True, editable=False)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "accession",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="material.accession",
                    ),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="material.part",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical search for papers",
                "verbose_name_plural": "historical searches for papers",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalSheetRule",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Land"),
                            (1, "Collecting"),
                            (2, "Species"),
                            (3, "Protected site"),
                            (4, "Access (ABS)"),
                            (5, "Export"),
                            (6, "Import"),
                            (7, "CITES"),
                            (8, "Transfer"),
                        ],
                        verbose_name="layer",
                    ),
                ),
                ("required", models.BooleanField(verbose_name="required")),
                ("from_on", models.DateField(blank=True, null=True, verbose_name="from")),
                ("to_on", models.DateField(blank=True, null=True, verbose_name="to")),
                ("source", models.CharField(max_length=500, verbose_name="source")),
                (
                    "lead_days",
                    models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="lead time in days"),
                ),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "history_user",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "sheet",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="verdicts.countrysheet",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical rule of a country sheet",
                "verbose_name_plural": "historical rules of country sheets",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HouseRuleSet",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "assumed_radius_m",
                    models.FloatField(
                        blank=True,
                        default=1000,
                        help_text="Of a point whose uncertainty is not recorded; blank: such a point cannot be told",
                        null=True,
                        verbose_name="assumed radius (m)",
                    ),
                ),
                (
                    "datum_allowance_m",
                    models.FloatField(
                        default=250,
                        help_text="Added where the datum is not recorded",
                        verbose_name="datum allowance (m)",
                    ),
                ),
                (
                    "approximate_count_percent",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        help_text="25: “ca. 400” counts as 300 to 500; blank: as one to no bound",
                        null=True,
                        verbose_name="“ca.” means within (%)",
                    ),
                ),
            ],
            options={
                "verbose_name": "house rules",
                "verbose_name_plural": "house rules",
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("id", 1)), name="houseruleset_one_row"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("assumed_radius_m__isnull", True), ("assumed_radius_m__gt", 0), _connector="OR"
                        ),
                        name="houseruleset_radius_positive",
                        violation_error_message="The assumed radius is more than zero metres, or blank.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("datum_allowance_m__gte", 0)),
                        name="houseruleset_allowance_positive",
                        violation_error_message="The datum allowance is zero or more metres.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("approximate_count_percent__isnull", True),
                            ("approximate_count_percent__lt", 100),
                            _connector="OR",
                        ),
                        name="houseruleset_percent",
                        violation_error_message="The margin is less than 100 percent.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Outcome",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("digest", models.CharField(max_length=64, unique=True)),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Land"),
                            (1, "Collecting"),
                            (2, "Species"),
                            (3, "Protected site"),
                            (4, "Access (ABS)"),
                            (5, "Export"),
                            (6, "Import"),
                            (7, "CITES"),
                            (8, "Transfer"),
                        ]
                    ),
                ),
                (
                    "verdict",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Covered"),
                            (1, "Not required"),
                            (2, "Cannot tell"),
                            (3, "Straddles"),
                            (4, "Outside terms"),
                            (5, "No paper on file"),
                        ]
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["layer", "verdict"], name="outcome_layer_verdict")],
            },
        ),
        migrations.CreateModel(
            name="Ruling",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("digest", models.CharField(max_length=64, unique=True)),
                ("strip", models.CharField(max_length=9)),
                (
                    "worst",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Covered"),
                            (1, "Not required"),
                            (2, "Cannot tell"),
                            (3, "Straddles"),
                            (4, "Outside terms"),
                            (5, "No paper on file"),
                        ],
                        db_index=True,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("strip__regex", "^[0-5]{9}$")), name="ruling_strip_form"
                    ),
                    models.CheckConstraint(condition=models.Q(("worst__lt", 6)), name="ruling_worst_known"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Run",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "Waiting"),
                            ("running", "Running"),
                            ("done", "Done"),
                            ("stopped", "Stopped before its end"),
                        ],
                        default="waiting",
                        max_length=10,
                    ),
                ),
                ("engine_version", models.CharField(max_length=20)),
                ("scope", models.CharField(help_text="what was judged, in words", max_length=200)),
                ("why", models.CharField(max_length=200)),
                ("asked_at", models.DateTimeField(auto_now_add=True)),
                ("started_at", models.DateTimeField(null=True)),
                ("finished_at", models.DateTimeField(null=True)),
                ("judged", models.PositiveIntegerField(default=0)),
                ("changed", models.PositiveIntegerField(default=0)),
                ("progress", models.PositiveIntegerField(default=0, help_text="specimens written so far")),
                ("house", models.JSONField(default=dict)),
                ("papers", models.JSONField(default=list)),
                ("rules_digest", models.CharField(blank=True, max_length=64)),
                (
                    "names",
                    models.CharField(
                        blank=True,
                        help_text="the classification that was used, if all of its changes were taken up",
                        max_length=120,
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="runs",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "assessment",
                "verbose_name_plural": "assessments",
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["waiting", "running", "done", "stopped"])),
                        name="run_state_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "done"), _negated=True),
                            models.Q(("finished_at__isnull", False), ("started_at__isnull", False)),
                            _connector="OR",
                        ),
                        name="run_done_has_times",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Result",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "event",
                    models.ForeignKey(
                        db_constraint=False,
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="material.samplingevent",
                    ),
                ),
                (
                    "name",
                    models.ForeignKey(
                        db_constraint=False,
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="names.writtenname",
                    ),
                ),
                (
                    "specimen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="results", to="material.specimen"
                    ),
                ),
                (
                    "ruling",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="results",
                        to="verdicts.ruling",
                    ),
                ),
                (
                    "run",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="results", to="verdicts.run"
                    ),
                ),
            ],
            options={
                "ordering": ["specimen", "-run"],
            },
        ),
        migrations.CreateModel(
            name="Search",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Land"),
                            (1, "Collecting"),
                            (2, "Species"),
                            (3, "Protected site"),
                            (4, "Access (ABS)"),
                            (5, "Export"),
                            (6, "Import"),
                            (7, "CITES"),
                            (8, "Transfer"),
                        ],
                        verbose_name="layer",
                    ),
                ),
                (
                    "state",
                    models.PositiveSmallIntegerField(
                        choices=[(0, "Not searched yet"), (1, "Known to exist, not located"), (2, "None found")],
                        verbose_name="outcome",
                    ),
                ),
                ("searched_on", models.DateField(verbose_name="searched on")),
                ("searched_by", models.CharField(max_length=200, verbose_name="searched by")),
                ("note", models.TextField(blank=True, verbose_name="where, and what was found")),
                ("recorded_at", models.DateTimeField(auto_now_add=True)),
                (
                    "accession",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="searches", to="material.accession"
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="searches",
                        to="material.part",
                    ),
                ),
            ],
            options={
                "verbose_name": "search for papers",
                "verbose_name_plural": "searches for papers",
                "ordering": ["accession", "layer", "searched_on", "pk"],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("layer__lt", 9)), name="search_layer_known"),
                    models.CheckConstraint(condition=models.Q(("state__lt", 3)), name="search_state_known"),
                    models.CheckConstraint(
                        condition=models.Q(("searched_by", ""), _negated=True),
                        name="search_has_person",
                        violation_error_message="Say who searched.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SheetRule",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Land"),
                            (1, "Collecting"),
                            (2, "Species"),
                            (3, "Protected site"),
                            (4, "Access (ABS)"),
                            (5, "Export"),
                            (6, "Import"),
                            (7, "CITES"),
                            (8, "Transfer"),
                        ],
                        verbose_name="layer",
                    ),
                ),
                ("required", models.BooleanField(verbose_name="required")),
                ("from_on", models.DateField(blank=True, null=True, verbose_name="from")),
                ("to_on", models.DateField(blank=True, null=True, verbose_name="to")),
                ("source", models.CharField(max_length=500, verbose_name="source")),
                (
                    "lead_days",
                    models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="lead time in days"),
                ),
                (
                    "sheet",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="rules", to="verdicts.countrysheet"
                    ),
                ),
            ],
            options={
                "verbose_name": "rule of a country sheet",
                "verbose_name_plural": "rules of country sheets",
                "ordering": ["sheet", "layer", models.OrderBy(models.F("from_on"), nulls_first=True)],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("from_on__isnull", True),
                            ("to_on__isnull", True),
                            ("to_on__gte", models.F("from_on")),
                            _connector="OR",
                        ),
                        name="sheetrule_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("source", ""), _negated=True),
                        name="sheetrule_sourced",
                        violation_error_message="Say where the rule stands: law, paragraph, date.",
                    ),
                    models.CheckConstraint(condition=models.Q(("layer__lt", 9)), name="sheetrule_layer_known"),
                    models.UniqueConstraint(
                        fields=("sheet", "layer", "from_on"),
                        name="sheetrule_start_once",
                        violation_error_message="Another rule for this layer starts on the same day.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("from_on__isnull", True)),
                        fields=("sheet", "layer"),
                        name="sheetrule_unknown_start_once",
                        violation_error_message="Another rule for this layer starts on an unknown day, too.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Standing",
            fields=[
                (
                    "specimen",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="standing",
                        serialize=False,
                        to="material.specimen",
                    ),
                ),
                (
                    "worst",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Covered"),
                            (1, "Not required"),
                            (2, "Cannot tell"),
                            (3, "Straddles"),
                            (4, "Outside terms"),
                            (5, "No paper on file"),
                        ]
                    ),
                ),
                ("is_overruled", models.BooleanField(default=False)),
                ("accession_key", models.BigIntegerField(db_default=0, default=0)),
                ("part_key", models.BigIntegerField(null=True)),
                ("site_key", models.BigIntegerField(null=True)),
                ("country", models.CharField(db_default="", default="", max_length=2)),
                ("kind", models.CharField(db_default="", default="", max_length=10)),
                ("first_on", models.DateField(null=True)),
                ("last_on", models.DateField(null=True)),
                ("cells", models.BigIntegerField(db_default=0, default=0)),
                ("catalog_number", models.CharField(db_default="", default="", max_length=200)),
                ("accession_number", models.CharField(db_default="", default="", max_length=100)),
                (
                    "event",
                    models.ForeignKey(
                        db_constraint=False,
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="material.samplingevent",
                    ),
                ),
                (
                    "name",
                    models.ForeignKey(
                        db_constraint=False,
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="names.writtenname",
                    ),
                ),
                (
                    "ruling",
                    models.ForeignKey(
                        db_constraint=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="standings",
                        to="verdicts.ruling",
                    ),
                ),
                (
                    "run",
                    models.ForeignKey(
                        db_constraint=False,
                        db_index=False,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="standings",
                        to="verdicts.run",
                    ),
                ),
            ],
            options={
                "indexes": [
                    models.Index(fields=["-worst", "catalog_number", "specimen"], name="standing_worst"),
                    models.Index(fields=["catalog_number", "specimen"], name="standing_number"),
                    models.Index(fields=["first_on", "catalog_number", "specimen"], name="standing_collected"),
                    models.Index(fields=["accession_number", "catalog_number", "specimen"], name="standing_accession"),
                ],
            },
        ),
        migrations.CreateModel(
            name="OutcomeFinding",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField()),
                ("code", models.CharField(blank=True, db_index=True, max_length=30)),
                ("measure", models.FloatField(null=True)),
                ("against", models.FloatField(null=True)),
                ("unit", models.CharField(blank=True, max_length=20)),
                ("sentence", models.TextField()),
                (
                    "outcome",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="findings", to="verdicts.outcome"
                    ),
                ),
            ],
            options={
                "ordering": ["outcome", "position"],
                "constraints": [models.UniqueConstraint(fields=("outcome", "position"), name="outcomefinding_order")],
            },
        ),
        migrations.CreateModel(
            name="OutcomePaper",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField()),
                ("reference", models.CharField(max_length=100)),
                (
                    "versions",
                    models.JSONField(default=list, help_text="start days of the versions tested, null if unknown"),
                ),
                (
                    "outcome",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="papers", to="verdicts.outcome"
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="outcomes", to="papers.paper"
                    ),
                ),
            ],
            options={
                "ordering": ["outcome", "position"],
                "constraints": [models.UniqueConstraint(fields=("outcome", "position"), name="outcomepaper_order")],
            },
        ),
        migrations.CreateModel(
            name="Override",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Land"),
                            (1, "Collecting"),
                            (2, "Species"),
                            (3, "Protected site"),
                            (4, "Access (ABS)"),
                            (5, "Export"),
                            (6, "Import"),
                            (7, "CITES"),
                            (8, "Transfer"),
                        ],
                        verbose_name="layer",
                    ),
                ),
                (
                    "computed",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Covered"),
                            (1, "Not required"),
                            (2, "Cannot tell"),
                            (3, "Straddles"),
                            (4, "Outside terms"),
                            (5, "No paper on file"),
                        ],
                        help_text="the computed verdict on that day",
                    ),
                ),
                (
                    "decided",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Covered"),
                            (1, "Not required"),
                            (2, "Cannot tell"),
                            (3, "Straddles"),
                            (4, "Outside terms"),
                            (5, "No paper on file"),
                        ],
                        verbose_name="decided",
                    ),
                ),
                ("reason", models.TextField(verbose_name="reason")),
                ("decided_at", models.DateTimeField(auto_now_add=True)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_reason", models.TextField(blank=True)),
                (
                    "decided_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="overrides",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "specimen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="overrides", to="material.specimen"
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="overrides_withdrawn",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "decision beside a verdict",
                "verbose_name_plural": "decisions beside verdicts",
                "ordering": ["specimen", "layer", "-decided_at"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True),
                        name="override_reasoned",
                        violation_error_message="Give the reason.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("computed__lt", 6), ("decided__lt", 6), ("layer__lt", 9)),
                        name="override_words_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by__isnull", True)),
                            models.Q(("withdrawn_at__isnull", False), ("withdrawn_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="override_withdrawal_whole",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("withdrawn_at__isnull", True)),
                        fields=("specimen", "layer"),
                        name="override_one_stands",
                        violation_error_message="Another decision stands for this layer; withdraw it first.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="RulingLayer",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Land"),
                            (1, "Collecting"),
                            (2, "Species"),
                            (3, "Protected site"),
                            (4, "Access (ABS)"),
                            (5, "Export"),
                            (6, "Import"),
                            (7, "CITES"),
                            (8, "Transfer"),
                        ]
                    ),
                ),
                (
                    "outcome",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="rulings", to="verdicts.outcome"
                    ),
                ),
                (
                    "ruling",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="layers", to="verdicts.ruling"
                    ),
                ),
            ],
            options={
                "ordering": ["ruling", "layer"],
                "constraints": [models.UniqueConstraint(fields=("ruling", "layer"), name="rulinglayer_once")],
            },
        ),
    ]
