import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("material", "0001_initial"),
        ("names", "0001_initial"),
        ("people", "0001_initial"),
        ("people", "__first__"),
        ("sites", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="Accession",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.CharField(max_length=100, unique=True, verbose_name="accession number")),
                ("title", models.CharField(blank=True, max_length=200, verbose_name="title")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("field", "Field collecting"),
                            ("gift", "Gift"),
                            ("bequest", "Bequest"),
                            ("exchange", "Exchange"),
                            ("purchase", "Purchase"),
                            ("transfer", "Transfer"),
                            ("deposit", "Deposit, title stays with the owner"),
                            ("found", "Found in the collection"),
                            ("unknown", "Not known"),
                        ],
                        default="unknown",
                        max_length=20,
                        verbose_name="kind",
                    ),
                ),
                ("received_on", models.DateField(blank=True, null=True, verbose_name="received on")),
                ("accessioned_on", models.DateField(blank=True, null=True, verbose_name="accessioned on")),
                ("total", models.PositiveIntegerField(blank=True, null=True, verbose_name="total")),
                (
                    "total_kind",
                    models.CharField(
                        choices=[("actual", "Actual"), ("estimated", "Estimated"), ("bulk", "Bulk")],
                        default="actual",
                        max_length=10,
                        verbose_name="total is",
                    ),
                ),
                ("description", models.TextField(blank=True, verbose_name="description")),
                (
                    "source",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="accessions",
                        to="people.agent",
                        verbose_name="source",
                    ),
                ),
            ],
            options={
                "verbose_name": "accession",
                "verbose_name_plural": "accessions",
                "ordering": ["number"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("number", ""), _negated=True),
                        name="accession_numbered",
                        violation_error_message="Give the accession a number.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("received_on__isnull", True),
                            ("accessioned_on__isnull", True),
                            ("accessioned_on__gte", models.F("received_on")),
                            _connector="OR",
                        ),
                        name="accession_received_first",
                        violation_error_message="The day of accession is before the day of receipt.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("total_kind__in", ["actual", "estimated", "bulk"])),
                        name="accession_total_kind_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Delivery",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.PositiveSmallIntegerField(verbose_name="delivery")),
                ("received_on", models.DateField(blank=True, null=True, verbose_name="received on")),
                ("exported_on", models.CharField(blank=True, max_length=200, verbose_name="left the country on")),
                ("imported_on", models.CharField(blank=True, max_length=200, verbose_name="arrived on")),
                ("transferred_on", models.CharField(blank=True, max_length=200, verbose_name="changed hands on")),
                ("quarantine_in_on", models.DateField(blank=True, null=True, verbose_name="into quarantine on")),
                ("quarantine_out_on", models.DateField(blank=True, null=True, verbose_name="out of quarantine on")),
                (
                    "treatment",
                    models.CharField(
                        blank=True, help_text="Such as -30 °C for 72 h", max_length=200, verbose_name="treatment"
                    ),
                ),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                (
                    "accession",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="deliveries", to="material.accession"
                    ),
                ),
            ],
            options={
                "verbose_name": "delivery",
                "verbose_name_plural": "deliveries",
                "ordering": ["accession", "number"],
                "constraints": [
                    models.UniqueConstraint(fields=("accession", "number"), name="delivery_number_once"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("quarantine_out_on__isnull", True),
                            models.Q(
                                ("quarantine_in_on__isnull", False),
                                ("quarantine_out_on__gte", models.F("quarantine_in_on")),
                            ),
                            _connector="OR",
                        ),
                        name="delivery_quarantine_order",
                        violation_error_message="Material leaves quarantine after it went in: check the two days.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalAccession",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("number", models.CharField(db_index=True, max_length=100, verbose_name="accession number")),
                ("title", models.CharField(blank=True, max_length=200, verbose_name="title")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("field", "Field collecting"),
                            ("gift", "Gift"),
                            ("bequest", "Bequest"),
                            ("exchange", "Exchange"),
                            ("purchase", "Purchase"),
                            ("transfer", "Transfer"),
                            ("deposit", "Deposit, title stays with the owner"),
                            ("found", "Found in the collection"),
                            ("unknown", "Not known"),
                        ],
                        default="unknown",
                        max_length=20,
                        verbose_name="kind",
                    ),
                ),
                ("received_on", models.DateField(blank=True, null=True, verbose_name="received on")),
                ("accessioned_on", models.DateField(blank=True, null=True, verbose_name="accessioned on")),
                ("total", models.PositiveIntegerField(blank=True, null=True, verbose_name="total")),
                (
                    "total_kind",
                    models.CharField(
                        choices=[("actual", "Actual"), ("estimated", "Estimated"), ("bulk", "Bulk")],
                        default="actual",
                        max_length=10,
                        verbose_name="total is",
                    ),
                ),
                ("description", models.TextField(blank=True, verbose_name="description")),
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
                    "source",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="people.agent",
                        verbose_name="source",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical accession",
                "verbose_name_plural": "historical accessions",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalDelivery",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("number", models.PositiveSmallIntegerField(verbose_name="delivery")),
                ("received_on", models.DateField(blank=True, null=True, verbose_name="received on")),
                ("exported_on", models.CharField(blank=True, max_length=200, verbose_name="left the country on")),
                ("imported_on", models.CharField(blank=True, max_length=200, verbose_name="arrived on")),
                ("transferred_on", models.CharField(blank=True, max_length=200, verbose_name="changed hands on")),
                ("quarantine_in_on", models.DateField(blank=True, null=True, verbose_name="into quarantine on")),
                ("quarantine_out_on", models.DateField(blank=True, null=True, verbose_name="out of quarantine on")),
                (
                    "treatment",
                    models.CharField(
                        blank=True, help_text="Such as -30 °C for 72 h", max_length=200, verbose_name="treatment"
                    ),
                ),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
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
            ],
            options={
                "verbose_name": "historical delivery",
                "verbose_name_plural": "historical deliveries",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalPart",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "letter",
                    models.CharField(help_text="A letter or a short number", max_length=10, verbose_name="part"),
                ),
                ("title", models.CharField(blank=True, max_length=200, verbose_name="title")),
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
            ],
            options={
                "verbose_name": "historical part of an accession",
                "verbose_name_plural": "historical parts of accessions",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalSamplingEvent",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("number", models.CharField(blank=True, db_index=True, max_length=200, verbose_name="event number")),
                ("event_date", models.TextField(blank=True, verbose_name="date as written")),
                ("verbatim_event_date", models.TextField(blank=True)),
                ("year", models.TextField(blank=True)),
                ("month", models.TextField(blank=True)),
                ("day", models.TextField(blank=True)),
                ("decimal_latitude", models.TextField(blank=True)),
                ("decimal_longitude", models.TextField(blank=True)),
                ("geodetic_datum", models.TextField(blank=True)),
                ("coordinate_precision", models.TextField(blank=True)),
                ("coordinate_uncertainty_m", models.TextField(blank=True)),
                ("verbatim_coordinates", models.TextField(blank=True)),
                ("verbatim_latitude", models.TextField(blank=True)),
                ("verbatim_longitude", models.TextField(blank=True)),
                ("verbatim_coordinate_system", models.TextField(blank=True)),
                ("verbatim_srs", models.TextField(blank=True)),
                ("footprint_wkt", models.TextField(blank=True)),
                ("footprint_srs", models.TextField(blank=True)),
                ("country_code", models.TextField(blank=True)),
                ("state_province", models.TextField(blank=True)),
                ("location_id", models.TextField(blank=True)),
                ("site_name", models.TextField(blank=True)),
                ("locality", models.TextField(blank=True, verbose_name="locality")),
                ("data_generalizations", models.TextField(blank=True)),
                ("information_withheld", models.TextField(blank=True)),
                ("sampling_protocol", models.TextField(blank=True, verbose_name="methods")),
                ("recorded_by", models.TextField(blank=True, verbose_name="people")),
                ("digest", models.CharField(db_index=True, editable=False, max_length=64)),
                (
                    "reading",
                    models.CharField(
                        choices=[
                            ("run", "Known to the day"),
                            ("vague", "Vague"),
                            ("missing", "Missing"),
                            ("unreadable", "Not readable without guessing"),
                            ("conflict", "In conflict with other columns"),
                        ],
                        editable=False,
                        max_length=10,
                    ),
                ),
                ("earliest_on", models.DateField(editable=False, null=True)),
                ("latest_on", models.DateField(editable=False, null=True)),
                ("longitude_deg", models.FloatField(editable=False, null=True)),
                ("latitude_deg", models.FloatField(editable=False, null=True)),
                ("radius_m", models.FloatField(editable=False, help_text="as stated; null where not known", null=True)),
                ("country", models.CharField(blank=True, db_index=True, editable=False, max_length=2)),
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
                    "site",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="sites.site",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical sampling event",
                "verbose_name_plural": "historical sampling events",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Part",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "letter",
                    models.CharField(help_text="A letter or a short number", max_length=10, verbose_name="part"),
                ),
                ("title", models.CharField(blank=True, max_length=200, verbose_name="title")),
                (
                    "accession",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="parts", to="material.accession"
                    ),
                ),
            ],
            options={
                "verbose_name": "part of an accession",
                "verbose_name_plural": "parts of accessions",
                "ordering": ["accession", "letter"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("accession", "letter"),
                        name="part_letter_once",
                        violation_error_message="The accession already has a part of this name.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("letter", ""), _negated=True),
                        name="part_lettered",
                        violation_error_message="Give the part a letter.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SamplingEvent",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.CharField(blank=True, db_index=True, max_length=200, verbose_name="event number")),
                ("event_date", models.TextField(blank=True, verbose_name="date as written")),
                ("verbatim_event_date", models.TextField(blank=True)),
                ("year", models.TextField(blank=True)),
                ("month", models.TextField(blank=True)),
                ("day", models.TextField(blank=True)),
                ("decimal_latitude", models.TextField(blank=True)),
                ("decimal_longitude", models.TextField(blank=True)),
                ("geodetic_datum", models.TextField(blank=True)),
                ("coordinate_precision", models.TextField(blank=True)),
                ("coordinate_uncertainty_m", models.TextField(blank=True)),
                ("verbatim_coordinates", models.TextField(blank=True)),
                ("verbatim_latitude", models.TextField(blank=True)),
                ("verbatim_longitude", models.TextField(blank=True)),
                ("verbatim_coordinate_system", models.TextField(blank=True)),
                ("verbatim_srs", models.TextField(blank=True)),
                ("footprint_wkt", models.TextField(blank=True)),
                ("footprint_srs", models.TextField(blank=True)),
                ("country_code", models.TextField(blank=True)),
                ("state_province", models.TextField(blank=True)),
                ("location_id", models.TextField(blank=True)),
                ("site_name", models.TextField(blank=True)),
                ("locality", models.TextField(blank=True, verbose_name="locality")),
                ("data_generalizations", models.TextField(blank=True)),
                ("information_withheld", models.TextField(blank=True)),
                ("sampling_protocol", models.TextField(blank=True, verbose_name="methods")),
                ("recorded_by", models.TextField(blank=True, verbose_name="people")),
                ("digest", models.CharField(editable=False, max_length=64, unique=True)),
                (
                    "reading",
                    models.CharField(
                        choices=[
                            ("run", "Known to the day"),
                            ("vague", "Vague"),
                            ("missing", "Missing"),
                            ("unreadable", "Not readable without guessing"),
                            ("conflict", "In conflict with other columns"),
                        ],
                        editable=False,
                        max_length=10,
                    ),
                ),
                ("earliest_on", models.DateField(editable=False, null=True)),
                ("latest_on", models.DateField(editable=False, null=True)),
                ("longitude_deg", models.FloatField(editable=False, null=True)),
                ("latitude_deg", models.FloatField(editable=False, null=True)),
                ("radius_m", models.FloatField(editable=False, help_text="as stated; null where not known", null=True)),
                ("country", models.CharField(blank=True, db_index=True, editable=False, max_length=2)),
                (
                    "site",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="events",
                        to="sites.site",
                    ),
                ),
            ],
            options={
                "verbose_name": "sampling event",
                "verbose_name_plural": "sampling events",
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("earliest_on__isnull", True),
                            ("latest_on__isnull", True),
                            ("latest_on__gte", models.F("earliest_on")),
                            _connector="OR",
                        ),
                        name="event_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("reading__in", ["run", "vague"]),
                            models.Q(("earliest_on__isnull", True), ("latest_on__isnull", True)),
                            _connector="OR",
                        ),
                        name="event_days_only_if_read",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("latitude_deg__isnull", True), ("longitude_deg__isnull", True)),
                            models.Q(
                                ("latitude_deg__isnull", False),
                                ("latitude_deg__range", (-90, 90)),
                                ("longitude_deg__isnull", False),
                                ("longitude_deg__range", (-180, 180)),
                            ),
                            _connector="OR",
                        ),
                        name="event_on_earth",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("radius_m__isnull", True), ("radius_m__gt", 0), _connector="OR"),
                        name="event_radius_positive",
                    ),
                ],
                "indexes": [models.Index(fields=["earliest_on", "id"], name="event_by_day")],
            },
        ),
        migrations.CreateModel(
            name="Specimen",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("catalog_number", models.CharField(blank=True, max_length=200, verbose_name="catalogue number")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("specimen", "Specimen"),
                            ("lot", "Lot"),
                            ("bulk", "Bulk material"),
                            ("part", "Part of a specimen"),
                        ],
                        default="specimen",
                        max_length=10,
                        verbose_name="kind",
                    ),
                ),
                (
                    "preparation",
                    models.CharField(
                        blank=True, help_text="Such as leg, extract", max_length=200, verbose_name="preparation"
                    ),
                ),
                ("individual_count", models.CharField(blank=True, max_length=200, verbose_name="count")),
                ("count_range", models.CharField(blank=True, max_length=200, verbose_name="range of the count")),
                ("unit", models.CharField(blank=True, max_length=50, verbose_name="unit")),
                ("basis_of_record", models.CharField(blank=True, max_length=100, verbose_name="basis of record")),
                ("organism_quantity", models.CharField(blank=True, max_length=200, verbose_name="quantity")),
                ("sex", models.CharField(blank=True, max_length=200, verbose_name="sex")),
                ("life_stage", models.CharField(blank=True, max_length=200, verbose_name="life stage")),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("count_low", models.BigIntegerField(default=1, editable=False)),
                ("count_high", models.BigIntegerField(default=1, editable=False, null=True)),
                ("count_assumed", models.BooleanField(default=False, editable=False)),
                ("digest", models.CharField(blank=True, db_index=True, editable=False, max_length=64)),
                (
                    "accession",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="specimens", to="material.accession"
                    ),
                ),
                (
                    "delivery",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="specimens",
                        to="material.delivery",
                        verbose_name="delivery",
                    ),
                ),
                (
                    "event",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="specimens",
                        to="material.samplingevent",
                    ),
                ),
                (
                    "name",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="specimens", to="names.writtenname"
                    ),
                ),
                (
                    "parent",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="children",
                        to="material.specimen",
                        verbose_name="taken from",
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="specimens",
                        to="material.part",
                        verbose_name="part",
                    ),
                ),
            ],
            options={
                "verbose_name": "specimen",
                "verbose_name_plural": "specimens",
                "ordering": ["catalog_number", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("catalog_number", ""), _negated=True),
                        fields=("catalog_number",),
                        name="specimen_number_once",
                        violation_error_message="Another specimen has this catalogue number.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("count_low__gte", 0),
                            models.Q(
                                ("count_high__isnull", True),
                                ("count_high__gte", models.F("count_low")),
                                _connector="OR",
                            ),
                        ),
                        name="specimen_count_range",
                        violation_error_message="The largest number is below the smallest.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("parent__isnull", True),
                            models.Q(("parent", models.F("id")), _negated=True),
                            _connector="OR",
                        ),
                        name="specimen_not_own_parent",
                        violation_error_message="A specimen cannot be taken from itself.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "part"), _negated=True), ("parent__isnull", False), _connector="OR"
                        ),
                        name="specimen_part_has_parent",
                        violation_error_message="Say which specimen this part was taken from.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["specimen", "lot", "bulk", "part"])),
                        name="specimen_kind_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Determination",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("identified_by", models.CharField(blank=True, max_length=300, verbose_name="identified by")),
                ("date_identified", models.CharField(blank=True, max_length=100, verbose_name="identified on")),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("is_current", models.BooleanField(default=True)),
                (
                    "name",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="determinations",
                        to="names.writtenname",
                    ),
                ),
                (
                    "specimen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="determinations",
                        to="material.specimen",
                    ),
                ),
            ],
            options={
                "verbose_name": "determination",
                "verbose_name_plural": "determinations",
                "ordering": ["specimen", "-is_current", "-pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("is_current", True)),
                        fields=("specimen",),
                        name="determination_one_current",
                        violation_error_message="Another determination is the current one.",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalDetermination",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("identified_by", models.CharField(blank=True, max_length=300, verbose_name="identified by")),
                ("date_identified", models.CharField(blank=True, max_length=100, verbose_name="identified on")),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("is_current", models.BooleanField(default=True)),
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
                    "name",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="names.writtenname",
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
            ],
            options={
                "verbose_name": "historical determination",
                "verbose_name_plural": "historical determinations",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalSpecimen",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("catalog_number", models.CharField(blank=True, max_length=200, verbose_name="catalogue number")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("specimen", "Specimen"),
                            ("lot", "Lot"),
                            ("bulk", "Bulk material"),
                            ("part", "Part of a specimen"),
                        ],
                        default="specimen",
                        max_length=10,
                        verbose_name="kind",
                    ),
                ),
                (
                    "preparation",
                    models.CharField(
                        blank=True, help_text="Such as leg, extract", max_length=200, verbose_name="preparation"
                    ),
                ),
                ("individual_count", models.CharField(blank=True, max_length=200, verbose_name="count")),
                ("count_range", models.CharField(blank=True, max_length=200, verbose_name="range of the count")),
                ("unit", models.CharField(blank=True, max_length=50, verbose_name="unit")),
                ("basis_of_record", models.CharField(blank=True, max_length=100, verbose_name="basis of record")),
                ("organism_quantity", models.CharField(blank=True, max_length=200, verbose_name="quantity")),
                ("sex", models.CharField(blank=True, max_length=200, verbose_name="sex")),
                ("life_stage", models.CharField(blank=True, max_length=200, verbose_name="life stage")),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("count_low", models.BigIntegerField(default=1, editable=False)),
                ("count_high", models.BigIntegerField(default=1, editable=False, null=True)),
                ("count_assumed", models.BooleanField(default=False, editable=False)),
                ("digest", models.CharField(blank=True, db_index=True, editable=False, max_length=64)),
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
                    "delivery",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="material.delivery",
                        verbose_name="delivery",
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
                    "name",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="names.writtenname",
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
                        verbose_name="part",
                    ),
                ),
                (
                    "event",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="material.samplingevent",
                    ),
                ),
                (
                    "parent",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="material.specimen",
                        verbose_name="taken from",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical specimen",
                "verbose_name_plural": "historical specimens",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Touch",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "scope",
                    models.CharField(
                        choices=[
                            ("all", "All"),
                            ("accession", "Accession"),
                            ("part", "Part"),
                            ("delivery", "Delivery"),
                            ("event", "Event"),
                            ("site", "Site"),
                            ("specimen", "Specimen"),
                            ("names", "Names"),
                            ("paper", "Paper"),
                            ("country", "Country"),
                        ],
                        max_length=10,
                    ),
                ),
                ("key", models.BigIntegerField(default=0)),
                ("why", models.CharField(max_length=200)),
                ("at", models.DateTimeField(auto_now_add=True)),
                (
                    "by",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.SET_NULL, to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "ordering": ["pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "scope__in",
                                [
                                    "all",
                                    "accession",
                                    "part",
                                    "delivery",
                                    "event",
                                    "site",
                                    "specimen",
                                    "names",
                                    "paper",
                                    "country",
                                ],
                            )
                        ),
                        name="touch_scope_known",
                    )
                ],
            },
        ),
    ]
