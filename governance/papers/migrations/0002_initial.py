import django.core.validators
import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("material", "0002_initial"),
        ("papers", "0001_initial"),
        ("people", "0001_initial"),
        ("people", "__first__"),
        ("sites", "0001_initial"),
    ]

    operations = [
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
                    "issuer_agent",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="people.agent",
                    ),
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
                (
                    "issuer_agent",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="issued_papers",
                        to="people.agent",
                    ),
                ),
            ],
            options={
                "verbose_name": "paper",
                "verbose_name_plural": "papers",
                "ordering": ["reference"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("reference", ""), _negated=True),
                        name="paper_has_reference",
                        violation_error_message="Write its number.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("layers__range", (1, 511))),
                        name="paper_serves_a_layer",
                        violation_error_message="Choose at least one layer that the paper answers.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "kind__in",
                                [
                                    "landowner-consent",
                                    "occupier-consent",
                                    "community-consent",
                                    "collecting-permit",
                                    "research-permit",
                                    "species-licence",
                                    "protected-site-consent",
                                    "prior-informed-consent",
                                    "mutually-agreed-terms",
                                    "access-permit",
                                    "certificate-of-compliance",
                                    "export-permit",
                                    "import-permit",
                                    "cites-export-permit",
                                    "cites-import-permit",
                                    "cites-reexport-certificate",
                                    "cites-certificate-of-origin",
                                    "cites-exchange-label",
                                    "phytosanitary-certificate",
                                    "veterinary-certificate",
                                    "material-transfer-agreement",
                                    "deed-of-transfer",
                                    "salvage-permit",
                                    "exemption",
                                    "other",
                                ],
                            )
                        ),
                        name="paper_kind_known",
                        violation_error_message="Choose one of the kinds.",
                    ),
                ],
            },
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
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paper",
                    ),
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
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paper",
                    ),
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
            name="PaperLink",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("all_accessions", models.BooleanField(default=False)),
                ("linked_at", models.DateTimeField(auto_now_add=True)),
                ("unlinked_at", models.DateTimeField(blank=True, null=True)),
                ("why", models.CharField(blank=True, max_length=200)),
                ("unlinked_why", models.CharField(blank=True, max_length=200)),
                (
                    "accession",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="paper_links",
                        to="material.accession",
                    ),
                ),
                (
                    "event",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="paper_links",
                        to="material.samplingevent",
                    ),
                ),
                (
                    "linked_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="links_made",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="links", to="papers.paper"
                    ),
                ),
                (
                    "part",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="paper_links",
                        to="material.part",
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="paper_links",
                        to="sites.site",
                    ),
                ),
                (
                    "specimen",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="paper_links",
                        to="material.specimen",
                    ),
                ),
                (
                    "unlinked_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="links_ended",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "link of a paper",
                "verbose_name_plural": "links of papers",
                "ordering": ["paper", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("accession__isnull", True),
                                ("all_accessions", False),
                                ("event__isnull", True),
                                ("part__isnull", True),
                                ("site__isnull", True),
                                ("specimen__isnull", False),
                            ),
                            models.Q(
                                ("accession__isnull", True),
                                ("all_accessions", False),
                                ("event__isnull", True),
                                ("part__isnull", False),
                                ("site__isnull", True),
                                ("specimen__isnull", True),
                            ),
                            models.Q(
                                ("accession__isnull", False),
                                ("all_accessions", False),
                                ("event__isnull", True),
                                ("part__isnull", True),
                                ("site__isnull", True),
                                ("specimen__isnull", True),
                            ),
                            models.Q(
                                ("accession__isnull", True),
                                ("all_accessions", False),
                                ("event__isnull", False),
                                ("part__isnull", True),
                                ("site__isnull", True),
                                ("specimen__isnull", True),
                            ),
                            models.Q(
                                ("accession__isnull", True),
                                ("all_accessions", False),
                                ("event__isnull", True),
                                ("part__isnull", True),
                                ("site__isnull", False),
                                ("specimen__isnull", True),
                            ),
                            models.Q(
                                ("accession__isnull", True),
                                ("all_accessions", True),
                                ("event__isnull", True),
                                ("part__isnull", True),
                                ("site__isnull", True),
                                ("specimen__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="paperlink_one_target",
                        violation_error_message="A link has exactly one target.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("unlinked_at__isnull", False), ("unlinked_by__isnull", True), _connector="OR"
                        ),
                        name="paperlink_end_has_time",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("unlinked_at__isnull", True)),
                        fields=("paper", "specimen"),
                        name="paperlink_specimen_once",
                        violation_error_message="The paper is already linked to it.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("unlinked_at__isnull", True)),
                        fields=("paper", "part"),
                        name="paperlink_part_once",
                        violation_error_message="The paper is already linked to it.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("unlinked_at__isnull", True)),
                        fields=("paper", "accession"),
                        name="paperlink_accession_once",
                        violation_error_message="The paper is already linked to it.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("unlinked_at__isnull", True)),
                        fields=("paper", "event"),
                        name="paperlink_event_once",
                        violation_error_message="The paper is already linked to it.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("unlinked_at__isnull", True)),
                        fields=("paper", "site"),
                        name="paperlink_site_once",
                        violation_error_message="The paper is already linked to it.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("all_accessions", True), ("unlinked_at__isnull", True)),
                        fields=("paper",),
                        name="paperlink_all_once",
                    ),
                ],
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
                (
                    "paper",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="statuses", to="papers.paper"
                    ),
                ),
            ],
            options={
                "verbose_name": "state of a paper",
                "verbose_name_plural": "states of papers",
                "ordering": ["paper", "from_on", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("to_on__isnull", True),
                            models.Q(("state", "suspended"), ("to_on__gte", models.F("from_on"))),
                            _connector="OR",
                        ),
                        name="paperstatus_period",
                        violation_error_message="Only a suspension has a last day, and it is not before its first.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("state__in", ["applied", "refused", "granted", "suspended", "revoked", "surrendered"])
                        ),
                        name="paperstatus_state_known",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("state__in", ["revoked", "surrendered"])),
                        fields=("paper",),
                        name="paperstatus_ends_once",
                        violation_error_message="The paper was already revoked or surrendered.",
                    ),
                ],
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
                (
                    "paper",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="versions", to="papers.paper"
                    ),
                ),
            ],
            options={
                "verbose_name": "version of a paper",
                "verbose_name_plural": "versions of papers",
                "ordering": ["paper", models.OrderBy(models.F("in_force_from"), nulls_first=True)],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("paper", "in_force_from"),
                        name="paperversion_start_once",
                        violation_error_message="Another version of this paper starts on the same day.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("in_force_from__isnull", True)),
                        fields=("paper",),
                        name="paperversion_unknown_start_once",
                        violation_error_message="Another version of this paper starts on an unknown day, too.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("in_force_from__isnull", True),
                            ("in_force_to__isnull", True),
                            ("in_force_to__gte", models.F("in_force_from")),
                            _connector="OR",
                        ),
                        name="paperversion_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("assistants__in", ["", "not-allowed", "supervised", "allowed"])),
                        name="paperversion_assistants_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Condition",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("text", models.TextField(verbose_name="condition")),
                ("page", models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="page")),
                (
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
                    ),
                ),
            ],
            options={
                "verbose_name": "condition",
                "verbose_name_plural": "conditions",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("text", ""), _negated=True), name="condition_written"),
                    models.CheckConstraint(
                        condition=models.Q(("page__isnull", True), ("page__gte", 1), _connector="OR"),
                        name="condition_page_from_one",
                    ),
                ],
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
                    "version",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paperversion",
                    ),
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
                    "version",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paperversion",
                    ),
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
                (
                    "agent",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="people.agent",
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
                    "version",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paperversion",
                    ),
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
                    "version",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paperversion",
                    ),
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
                    "version",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paperversion",
                    ),
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
                    "version",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paperversion",
                    ),
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
                    "version",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paperversion",
                    ),
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
            name="ReceivedFile",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("file_name", models.CharField(max_length=255, verbose_name="file")),
                ("data", models.BinaryField()),
                ("sha256", models.CharField(db_index=True, max_length=64)),
                ("received_at", models.DateTimeField(auto_now_add=True)),
                ("taken_at", models.DateTimeField(blank=True, null=True)),
                ("summary", models.JSONField(blank=True, default=dict)),
                (
                    "received_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="paper_files",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "taken_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="paper_files_taken",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "papers file",
                "verbose_name_plural": "papers files",
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("taken_at__isnull", True), ("taken_by__isnull", True)),
                            models.Q(("taken_at__isnull", False), ("taken_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="receivedfile_taken_by_somebody",
                    )
                ],
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
                (
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
                    ),
                ),
            ],
            options={
                "verbose_name": "cap",
                "verbose_name_plural": "caps",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("each__in", ["together", "species"]), ("per__in", ["paper", "year", "site", "event"])
                        ),
                        name="versioncap_words_known",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="VersionPerson",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("name", models.CharField(max_length=200, verbose_name="person")),
                (
                    "agent",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="named_on",
                        to="people.agent",
                    ),
                ),
                (
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
                    ),
                ),
            ],
            options={
                "verbose_name": "person on a version",
                "verbose_name_plural": "people on versions",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="versionperson_named")
                ],
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
                (
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
                    ),
                ),
            ],
            options={
                "verbose_name": "place of a version",
                "verbose_name_plural": "places of versions",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("country", ""),
                            ("geojson", ""),
                            ("longitude_deg__isnull", True),
                            ("site", ""),
                            ("subdivision", ""),
                            _negated=True,
                        ),
                        name="versionplace_says_something",
                        violation_error_message="Name a country, a subdivision or a site, or give an area.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("latitude_deg__isnull", True),
                                ("longitude_deg__isnull", True),
                                ("radius_m__isnull", True),
                            ),
                            models.Q(
                                ("geojson", ""),
                                ("latitude_deg__isnull", False),
                                ("latitude_deg__range", (-90, 90)),
                                ("longitude_deg__isnull", False),
                                ("longitude_deg__range", (-180, 180)),
                                ("radius_m__gte", 0),
                                ("radius_m__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="versionplace_whole_disc",
                        violation_error_message="A point has a longitude, a latitude and a radius in metres.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("boundary_error_m__isnull", True), ("boundary_error_m__gte", 0), _connector="OR"
                        ),
                        name="versionplace_error_positive",
                        violation_error_message="The error of a boundary is zero or more metres.",
                    ),
                ],
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
                (
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
                    ),
                ),
            ],
            options={
                "verbose_name": "closed season",
                "verbose_name_plural": "closed seasons",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("from_day__range", (1, 31)),
                            ("from_month__range", (1, 12)),
                            ("to_day__range", (1, 31)),
                            ("to_month__range", (1, 12)),
                        ),
                        name="versionseason_in_calendar",
                        violation_error_message="A season runs from a day and month to a day and month.",
                    )
                ],
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
                (
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
                    ),
                ),
            ],
            options={
                "verbose_name": "taxon of a version",
                "verbose_name_plural": "taxa of versions",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="versiontaxon_named")
                ],
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
                (
                    "version",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="%(class)ss", to="papers.paperversion"
                    ),
                ),
            ],
            options={
                "verbose_name": "method, sex or life stage of a version",
                "verbose_name_plural": "methods, sexes and life stages of versions",
                "ordering": ["version", "position", "pk"],
                "abstract": False,
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("word", ""), _negated=True), name="versionword_written"),
                    models.CheckConstraint(
                        condition=models.Q(("subject__in", ["methods", "sexes", "life_stages"])),
                        name="versionword_subject_known",
                    ),
                ],
            },
        ),
    ]
