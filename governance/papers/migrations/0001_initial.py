import django.core.validators
import simple_history.models
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Condition",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("text", models.TextField(verbose_name="condition")),
                ("page", models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="page")),
            ],
            options={
                "verbose_name": "condition",
                "verbose_name_plural": "conditions",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="HistoricalCondition",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("text", models.TextField(verbose_name="condition")),
                ("page", models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="page")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical condition",
                "verbose_name_plural": "historical conditions",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalPaper",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "reference",
                    models.CharField(
                        db_index=True, help_text="The number on the paper", max_length=100, verbose_name="reference"
                    ),
                ),
                ("second_number", models.CharField(blank=True, max_length=100, verbose_name="second number")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("landowner-consent", "Landowner’s consent"),
                            ("occupier-consent", "Occupier’s consent"),
                            ("community-consent", "Community consent"),
                            ("collecting-permit", "Collecting permit"),
                            ("research-permit", "Research permit"),
                            ("species-licence", "Species licence"),
                            ("protected-site-consent", "Protected-site consent"),
                            ("prior-informed-consent", "Prior informed consent (PIC)"),
                            ("mutually-agreed-terms", "Mutually agreed terms (MAT)"),
                            ("access-permit", "Access permit (ABS)"),
                            ("certificate-of-compliance", "Certificate of compliance (IRCC)"),
                            ("export-permit", "Export permit"),
                            ("import-permit", "Import permit"),
                            ("cites-export-permit", "CITES export permit"),
                            ("cites-import-permit", "CITES import permit"),
                            ("cites-reexport-certificate", "CITES re-export certificate"),
                            ("cites-certificate-of-origin", "CITES certificate of origin"),
                            ("cites-exchange-label", "CITES label for scientific exchange"),
                            ("phytosanitary-certificate", "Phytosanitary certificate"),
                            ("veterinary-certificate", "Veterinary certificate"),
                            ("material-transfer-agreement", "Material transfer agreement (MTA)"),
                            ("deed-of-transfer", "Deed of transfer"),
                            ("salvage-permit", "Salvage permit"),
                            ("exemption", "Exemption"),
                            ("other", "Other"),
                        ],
                        max_length=40,
                        verbose_name="kind",
                    ),
                ),
                ("layers", models.PositiveSmallIntegerField(verbose_name="layers")),
                ("issuer", models.CharField(blank=True, max_length=300, verbose_name="given by")),
                (
                    "jurisdiction",
                    models.CharField(
                        blank=True,
                        help_text="ISO 3166: CR, or CR-A for a province",
                        max_length=6,
                        verbose_name="jurisdiction",
                    ),
                ),
                ("holder", models.CharField(blank=True, max_length=300, verbose_name="held by")),
                ("issued_on", models.DateField(blank=True, null=True, verbose_name="issued on")),
                (
                    "language",
                    models.CharField(
                        blank=True, help_text="BCP 47, such as es", max_length=20, verbose_name="language"
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
            ],
            options={
                "verbose_name": "historical paper",
                "verbose_name_plural": "historical papers",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalPaperStatus",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("applied", "Applied for"),
                            ("refused", "Refused"),
                            ("granted", "Granted"),
                            ("suspended", "Suspended"),
                            ("revoked", "Revoked"),
                            ("surrendered", "Surrendered"),
                        ],
                        max_length=12,
                        verbose_name="state",
                    ),
                ),
                ("from_on", models.DateField(verbose_name="from")),
                (
                    "to_on",
                    models.DateField(
                        blank=True,
                        help_text="Of a suspension; blank: until told otherwise",
                        null=True,
                        verbose_name="to",
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300, verbose_name="note")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical state of a paper",
                "verbose_name_plural": "historical states of papers",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalPaperVersion",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("in_force_from", models.DateField(blank=True, null=True, verbose_name="valid from")),
                ("in_force_to", models.DateField(blank=True, null=True, verbose_name="valid to")),
                (
                    "assistants",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("not-allowed", "Named people only"),
                            ("supervised", "Others under supervision of a named person"),
                            ("allowed", "Others too"),
                        ],
                        max_length=12,
                        verbose_name="assistants",
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300, verbose_name="what changed")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical version of a paper",
                "verbose_name_plural": "historical versions of papers",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalVersionCap",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("taxon", models.CharField(blank=True, max_length=200, verbose_name="taxon")),
                ("kingdom", models.CharField(blank=True, max_length=50, verbose_name="kingdom")),
                (
                    "each",
                    models.CharField(
                        choices=[("together", "all together"), ("species", "of each species")],
                        default="together",
                        max_length=10,
                        verbose_name="counted",
                    ),
                ),
                (
                    "per",
                    models.CharField(
                        choices=[
                            ("paper", "under the paper"),
                            ("year", "a calendar year"),
                            ("site", "a site"),
                            ("event", "an event"),
                        ],
                        default="paper",
                        max_length=10,
                        verbose_name="per",
                    ),
                ),
                ("limit", models.PositiveBigIntegerField(verbose_name="limit")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical cap",
                "verbose_name_plural": "historical caps",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalVersionPerson",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("name", models.CharField(max_length=200, verbose_name="person")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical person on a version",
                "verbose_name_plural": "historical people on versions",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalVersionPlace",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("excluded", models.BooleanField(default=False, verbose_name="excluded")),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                ("subdivision", models.CharField(blank=True, max_length=6, verbose_name="subdivision")),
                (
                    "site",
                    models.CharField(
                        blank=True, help_text="Code or name of the site", max_length=200, verbose_name="site"
                    ),
                ),
                ("geojson", models.TextField(blank=True, verbose_name="polygon")),
                (
                    "longitude_deg",
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
                (
                    "latitude_deg",
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
                ("radius_m", models.FloatField(blank=True, null=True, verbose_name="radius (m)")),
                (
                    "boundary_error_m",
                    models.FloatField(blank=True, null=True, verbose_name="error of the boundary (m)"),
                ),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical place of a version",
                "verbose_name_plural": "historical places of versions",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalVersionSeason",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                (
                    "from_month",
                    models.PositiveSmallIntegerField(
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(12),
                        ]
                    ),
                ),
                (
                    "from_day",
                    models.PositiveSmallIntegerField(
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(31),
                        ]
                    ),
                ),
                (
                    "to_month",
                    models.PositiveSmallIntegerField(
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(12),
                        ]
                    ),
                ),
                (
                    "to_day",
                    models.PositiveSmallIntegerField(
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(31),
                        ]
                    ),
                ),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical closed season",
                "verbose_name_plural": "historical closed seasons",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalVersionTaxon",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("excluded", models.BooleanField(default=False, verbose_name="excluded")),
                ("name", models.CharField(max_length=200, verbose_name="taxon")),
                ("kingdom", models.CharField(blank=True, max_length=50, verbose_name="kingdom")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical taxon of a version",
                "verbose_name_plural": "historical taxa of versions",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalVersionWord",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                (
                    "subject",
                    models.CharField(
                        choices=[("methods", "Methods"), ("sexes", "Sexes"), ("life_stages", "Life stages")],
                        max_length=12,
                        verbose_name="of",
                    ),
                ),
                ("excluded", models.BooleanField(default=False, verbose_name="excluded")),
                ("word", models.CharField(max_length=100, verbose_name="word")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
            ],
            options={
                "verbose_name": "historical method, sex or life stage of a version",
                "verbose_name_plural": "historical methods, sexes and life stages of versions",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Paper",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "reference",
                    models.CharField(
                        help_text="The number on the paper", max_length=100, unique=True, verbose_name="reference"
                    ),
                ),
                ("second_number", models.CharField(blank=True, max_length=100, verbose_name="second number")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("landowner-consent", "Landowner’s consent"),
                            ("occupier-consent", "Occupier’s consent"),
                            ("community-consent", "Community consent"),
                            ("collecting-permit", "Collecting permit"),
                            ("research-permit", "Research permit"),
                            ("species-licence", "Species licence"),
                            ("protected-site-consent", "Protected-site consent"),
                            ("prior-informed-consent", "Prior informed consent (PIC)"),
                            ("mutually-agreed-terms", "Mutually agreed terms (MAT)"),
                            ("access-permit", "Access permit (ABS)"),
                            ("certificate-of-compliance", "Certificate of compliance (IRCC)"),
                            ("export-permit", "Export permit"),
                            ("import-permit", "Import permit"),
                            ("cites-export-permit", "CITES export permit"),
                            ("cites-import-permit", "CITES import permit"),
                            ("cites-reexport-certificate", "CITES re-export certificate"),
                            ("cites-certificate-of-origin", "CITES certificate of origin"),
                            ("cites-exchange-label", "CITES label for scientific exchange"),
                            ("phytosanitary-certificate", "Phytosanitary certificate"),
                            ("veterinary-certificate", "Veterinary certificate"),
                            ("material-transfer-agreement", "Material transfer agreement (MTA)"),
                            ("deed-of-transfer", "Deed of transfer"),
                            ("salvage-permit", "Salvage permit"),
                            ("exemption", "Exemption"),
                            ("other", "Other"),
                        ],
                        max_length=40,
                        verbose_name="kind",
                    ),
                ),
                ("layers", models.PositiveSmallIntegerField(verbose_name="layers")),
                ("issuer", models.CharField(blank=True, max_length=300, verbose_name="given by")),
                (
                    "jurisdiction",
                    models.CharField(
                        blank=True,
                        help_text="ISO 3166: CR, or CR-A for a province",
                        max_length=6,
                        verbose_name="jurisdiction",
                    ),
                ),
                ("holder", models.CharField(blank=True, max_length=300, verbose_name="held by")),
                ("issued_on", models.DateField(blank=True, null=True, verbose_name="issued on")),
                (
                    "language",
                    models.CharField(
                        blank=True, help_text="BCP 47, such as es", max_length=20, verbose_name="language"
                    ),
                ),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
            ],
            options={
                "verbose_name": "paper",
                "verbose_name_plural": "papers",
                "ordering": ["reference"],
            },
        ),
        migrations.CreateModel(
            name="PaperLink",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("all_accessions", models.BooleanField(default=False)),
                ("linked_at", models.DateTimeField(auto_now_add=True)),
                ("unlinked_at", models.DateTimeField(blank=True, null=True)),
                ("why", models.CharField(blank=True, max_length=200)),
                ("unlinked_why", models.CharField(blank=True, max_length=200)),
            ],
            options={
                "verbose_name": "link of a paper",
                "verbose_name_plural": "links of papers",
                "ordering": ["paper", "pk"],
            },
        ),
        migrations.CreateModel(
            name="PaperStatus",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("applied", "Applied for"),
                            ("refused", "Refused"),
                            ("granted", "Granted"),
                            ("suspended", "Suspended"),
                            ("revoked", "Revoked"),
                            ("surrendered", "Surrendered"),
                        ],
                        max_length=12,
                        verbose_name="state",
                    ),
                ),
                ("from_on", models.DateField(verbose_name="from")),
                (
                    "to_on",
                    models.DateField(
                        blank=True,
                        help_text="Of a suspension; blank: until told otherwise",
                        null=True,
                        verbose_name="to",
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300, verbose_name="note")),
            ],
            options={
                "verbose_name": "state of a paper",
                "verbose_name_plural": "states of papers",
                "ordering": ["paper", "from_on", "pk"],
            },
        ),
        migrations.CreateModel(
            name="PaperVersion",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("in_force_from", models.DateField(blank=True, null=True, verbose_name="valid from")),
                ("in_force_to", models.DateField(blank=True, null=True, verbose_name="valid to")),
                (
                    "assistants",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("not-allowed", "Named people only"),
                            ("supervised", "Others under supervision of a named person"),
                            ("allowed", "Others too"),
                        ],
                        max_length=12,
                        verbose_name="assistants",
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300, verbose_name="what changed")),
            ],
            options={
                "verbose_name": "version of a paper",
                "verbose_name_plural": "versions of papers",
                "ordering": ["paper", models.OrderBy(models.F("in_force_from"), nulls_first=True)],
            },
        ),
        migrations.CreateModel(
            name="ReceivedFile",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("file_name", models.CharField(max_length=255, verbose_name="file")),
                ("data", models.BinaryField()),
                ("sha256", models.CharField(db_index=True, max_length=64)),
                ("received_at", models.DateTimeField(auto_now_add=True)),
                ("taken_at", models.DateTimeField(blank=True, null=True)),
                ("summary", models.JSONField(blank=True, default=dict)),
            ],
            options={
                "verbose_name": "papers file",
                "verbose_name_plural": "papers files",
                "ordering": ["-pk"],
            },
        ),
        migrations.CreateModel(
            name="VersionCap",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("taxon", models.CharField(blank=True, max_length=200, verbose_name="taxon")),
                ("kingdom", models.CharField(blank=True, max_length=50, verbose_name="kingdom")),
                (
                    "each",
                    models.CharField(
                        choices=[("together", "all together"), ("species", "of each species")],
                        default="together",
                        max_length=10,
                        verbose_name="counted",
                    ),
                ),
                (
                    "per",
                    models.CharField(
                        choices=[
                            ("paper", "under the paper"),
                            ("year", "a calendar year"),
                            ("site", "a site"),
                            ("event", "an event"),
                        ],
                        default="paper",
                        max_length=10,
                        verbose_name="per",
                    ),
                ),
                ("limit", models.PositiveBigIntegerField(verbose_name="limit")),
            ],
            options={
                "verbose_name": "cap",
                "verbose_name_plural": "caps",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="VersionPerson",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("name", models.CharField(max_length=200, verbose_name="person")),
            ],
            options={
                "verbose_name": "person on a version",
                "verbose_name_plural": "people on versions",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="VersionPlace",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("excluded", models.BooleanField(default=False, verbose_name="excluded")),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                ("subdivision", models.CharField(blank=True, max_length=6, verbose_name="subdivision")),
                (
                    "site",
                    models.CharField(
                        blank=True, help_text="Code or name of the site", max_length=200, verbose_name="site"
                    ),
                ),
                ("geojson", models.TextField(blank=True, verbose_name="polygon")),
                (
                    "longitude_deg",
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
                (
                    "latitude_deg",
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
                ("radius_m", models.FloatField(blank=True, null=True, verbose_name="radius (m)")),
                (
                    "boundary_error_m",
                    models.FloatField(blank=True, null=True, verbose_name="error of the boundary (m)"),
                ),
            ],
            options={
                "verbose_name": "place of a version",
                "verbose_name_plural": "places of versions",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="VersionSeason",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                (
                    "from_month",
                    models.PositiveSmallIntegerField(
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(12),
                        ]
                    ),
                ),
                (
                    "from_day",
                    models.PositiveSmallIntegerField(
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(31),
                        ]
                    ),
                ),
                (
                    "to_month",
                    models.PositiveSmallIntegerField(
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(12),
                        ]
                    ),
                ),
                (
                    "to_day",
                    models.PositiveSmallIntegerField(
                        validators=[
                            django.core.validators.MinValueValidator(1),
                            django.core.validators.MaxValueValidator(31),
                        ]
                    ),
                ),
            ],
            options={
                "verbose_name": "closed season",
                "verbose_name_plural": "closed seasons",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="VersionTaxon",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("excluded", models.BooleanField(default=False, verbose_name="excluded")),
                ("name", models.CharField(max_length=200, verbose_name="taxon")),
                ("kingdom", models.CharField(blank=True, max_length=50, verbose_name="kingdom")),
            ],
            options={
                "verbose_name": "taxon of a version",
                "verbose_name_plural": "taxa of versions",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="VersionWord",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                (
                    "subject",
                    models.CharField(
                        choices=[("methods", "Methods"), ("sexes", "Sexes"), ("life_stages", "Life stages")],
                        max_length=12,
                        verbose_name="of",
                    ),
                ),
                ("excluded", models.BooleanField(default=False, verbose_name="excluded")),
                ("word", models.CharField(max_length=100, verbose_name="word")),
            ],
            options={
                "verbose_name": "method, sex or life stage of a version",
                "verbose_name_plural": "methods, sexes and life stages of versions",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
            },
        ),
    ]
