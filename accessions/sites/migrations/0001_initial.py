import django.core.validators
import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("people", "0001_initial"),
        ("people", "__first__"),
    ]

    operations = [
        migrations.CreateModel(
            name="HistoricalSite",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "code",
                    models.CharField(help_text="locationID, such as SE-HAL-1", max_length=100, verbose_name="code"),
                ),
                ("name", models.CharField(blank=True, max_length=200, verbose_name="name")),
                (
                    "country",
                    models.CharField(
                        blank=True, help_text="ISO 3166-1, two letters", max_length=2, verbose_name="country"
                    ),
                ),
                (
                    "subdivision",
                    models.CharField(
                        blank=True, help_text="ISO 3166-2, such as CR-A", max_length=6, verbose_name="subdivision"
                    ),
                ),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("code_key", models.CharField(editable=False, max_length=100)),
                ("name_key", models.CharField(db_index=True, editable=False, max_length=200)),
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
                "verbose_name": "historical site",
                "verbose_name_plural": "historical sites",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Site",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "code",
                    models.CharField(help_text="locationID, such as SE-HAL-1", max_length=100, verbose_name="code"),
                ),
                ("name", models.CharField(blank=True, max_length=200, verbose_name="name")),
                (
                    "country",
                    models.CharField(
                        blank=True, help_text="ISO 3166-1, two letters", max_length=2, verbose_name="country"
                    ),
                ),
                (
                    "subdivision",
                    models.CharField(
                        blank=True, help_text="ISO 3166-2, such as CR-A", max_length=6, verbose_name="subdivision"
                    ),
                ),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("code_key", models.CharField(editable=False, max_length=100)),
                ("name_key", models.CharField(db_index=True, editable=False, max_length=200)),
            ],
            options={
                "verbose_name": "site",
                "verbose_name_plural": "sites",
                "ordering": ["code"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("code_key",),
                        name="site_code_once",
                        violation_error_message="Another site has this code.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("code", ""), _negated=True),
                        name="site_has_code",
                        violation_error_message="Give the site a code.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("country", ""), ("country__regex", "^[A-Z]{2}$"), _connector="OR"),
                        name="site_country_form",
                        violation_error_message="A country is two capital letters (ISO 3166-1).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("subdivision", ""), ("subdivision__regex", "^[A-Z]{2}-[A-Z0-9]{1,3}$"), _connector="OR"
                        ),
                        name="site_subdivision_form",
                        violation_error_message="A subdivision is a code of ISO 3166-2, such as CR-A.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalSiteTenure",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[("owner", "Owner"), ("occupier", "Occupier")],
                        default="owner",
                        max_length=10,
                        verbose_name="as",
                    ),
                ),
                ("held_from", models.DateField(blank=True, null=True, verbose_name="from")),
                ("held_to", models.DateField(blank=True, null=True, verbose_name="to")),
                ("source", models.CharField(blank=True, max_length=300, verbose_name="source")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "agent",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="people.agent",
                        verbose_name="who",
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
                "verbose_name": "historical owner or occupier",
                "verbose_name_plural": "historical owners and occupiers",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalSiteDesignation",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("name", models.CharField(max_length=200, verbose_name="name")),
                (
                    "category",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("Ia", "Ia, strict nature reserve"),
                            ("Ib", "Ib, wilderness area"),
                            ("II", "II, national park"),
                            ("III", "III, natural monument or feature"),
                            ("IV", "IV, habitat or species management area"),
                            ("V", "V, protected landscape or seascape"),
                            ("VI", "VI, protected area with sustainable use of natural resources"),
                        ],
                        max_length=3,
                        verbose_name="IUCN category",
                    ),
                ),
                ("authority", models.CharField(blank=True, max_length=200, verbose_name="authority")),
                ("held_from", models.DateField(blank=True, null=True, verbose_name="from")),
                ("held_to", models.DateField(blank=True, null=True, verbose_name="to")),
                ("source", models.CharField(blank=True, max_length=300, verbose_name="source")),
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
                "verbose_name": "historical designation",
                "verbose_name_plural": "historical designations",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalSiteBoundary",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("held_from", models.DateField(blank=True, null=True, verbose_name="held from")),
                ("held_to", models.DateField(blank=True, null=True, verbose_name="held to")),
                (
                    "polygon",
                    models.TextField(blank=True, help_text="GeoJSON, longitude first, WGS84", verbose_name="polygon"),
                ),
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
                ("error_m", models.FloatField(blank=True, null=True, verbose_name="error of the boundary (m)")),
                ("source", models.CharField(blank=True, max_length=300, verbose_name="source")),
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
                "verbose_name": "historical boundary of a site",
                "verbose_name_plural": "historical boundaries of sites",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="SiteBoundary",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("held_from", models.DateField(blank=True, null=True, verbose_name="held from")),
                ("held_to", models.DateField(blank=True, null=True, verbose_name="held to")),
                (
                    "polygon",
                    models.TextField(blank=True, help_text="GeoJSON, longitude first, WGS84", verbose_name="polygon"),
                ),
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
                ("error_m", models.FloatField(blank=True, null=True, verbose_name="error of the boundary (m)")),
                ("source", models.CharField(blank=True, max_length=300, verbose_name="source")),
                (
                    "site",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="boundaries", to="sites.site"
                    ),
                ),
            ],
            options={
                "verbose_name": "boundary of a site",
                "verbose_name_plural": "boundaries of sites",
                "ordering": ["site", models.OrderBy(models.F("held_from"), nulls_first=True)],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("held_from__isnull", True),
                            ("held_to__isnull", True),
                            ("held_to__gte", models.F("held_from")),
                            _connector="OR",
                        ),
                        name="siteboundary_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                    models.UniqueConstraint(
                        fields=("site", "held_from"),
                        name="siteboundary_start_once",
                        violation_error_message="Another boundary of this site starts on the same day.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("held_from__isnull", True)),
                        fields=("site",),
                        name="siteboundary_unknown_start_once",
                        violation_error_message="Another boundary of this site starts on an unknown day, too.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("latitude_deg__isnull", True),
                                ("longitude_deg__isnull", True),
                                ("radius_m__isnull", True),
                                models.Q(("polygon", ""), _negated=True),
                            ),
                            models.Q(
                                ("latitude_deg__isnull", False),
                                ("longitude_deg__isnull", False),
                                ("polygon", ""),
                                ("radius_m__gte", 0),
                                ("radius_m__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="siteboundary_polygon_or_disc",
                        violation_error_message="Give either a polygon, or a point with its radius in metres.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("longitude_deg__isnull", True),
                            models.Q(("latitude_deg__range", (-90, 90)), ("longitude_deg__range", (-180, 180))),
                            _connector="OR",
                        ),
                        name="siteboundary_on_earth",
                        violation_error_message="Longitude is from -180 to 180 degrees, latitude from -90 to 90.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("error_m__isnull", True), ("error_m__gte", 0), _connector="OR"),
                        name="siteboundary_error_positive",
                        violation_error_message="The error of a boundary is zero or more metres.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SiteDesignation",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=200, verbose_name="name")),
                (
                    "category",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("Ia", "Ia, strict nature reserve"),
                            ("Ib", "Ib, wilderness area"),
                            ("II", "II, national park"),
                            ("III", "III, natural monument or feature"),
                            ("IV", "IV, habitat or species management area"),
                            ("V", "V, protected landscape or seascape"),
                            ("VI", "VI, protected area with sustainable use of natural resources"),
                        ],
                        max_length=3,
                        verbose_name="IUCN category",
                    ),
                ),
                ("authority", models.CharField(blank=True, max_length=200, verbose_name="authority")),
                ("held_from", models.DateField(blank=True, null=True, verbose_name="from")),
                ("held_to", models.DateField(blank=True, null=True, verbose_name="to")),
                ("source", models.CharField(blank=True, max_length=300, verbose_name="source")),
                (
                    "site",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="designations", to="sites.site"
                    ),
                ),
            ],
            options={
                "verbose_name": "designation",
                "verbose_name_plural": "designations",
                "ordering": ["site", models.OrderBy(models.F("held_from"), nulls_first=True)],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("held_from__isnull", True),
                            ("held_to__isnull", True),
                            ("held_to__gte", models.F("held_from")),
                            _connector="OR",
                        ),
                        name="sitedesignation_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("category__in", ["", "Ia", "Ib", "II", "III", "IV", "V", "VI"])),
                        name="sitedesignation_category_known",
                        violation_error_message="Choose one of the IUCN categories, or none.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SiteTenure",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[("owner", "Owner"), ("occupier", "Occupier")],
                        default="owner",
                        max_length=10,
                        verbose_name="as",
                    ),
                ),
                ("held_from", models.DateField(blank=True, null=True, verbose_name="from")),
                ("held_to", models.DateField(blank=True, null=True, verbose_name="to")),
                ("source", models.CharField(blank=True, max_length=300, verbose_name="source")),
                (
                    "agent",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tenures",
                        to="people.agent",
                        verbose_name="who",
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="tenures", to="sites.site"
                    ),
                ),
            ],
            options={
                "verbose_name": "owner or occupier",
                "verbose_name_plural": "owners and occupiers",
                "ordering": ["site", "kind", models.OrderBy(models.F("held_from"), nulls_first=True)],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("held_from__isnull", True),
                            ("held_to__isnull", True),
                            ("held_to__gte", models.F("held_from")),
                            _connector="OR",
                        ),
                        name="sitetenure_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["owner", "occupier"])), name="sitetenure_kind_known"
                    ),
                ],
            },
        ),
    ]
