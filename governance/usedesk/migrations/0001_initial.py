import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("material", "0004_pool_member"),
        ("papers", "0005_terms_of_use"),
        ("people", "0001_initial"),
        ("people", "__first__"),
        ("scans", "0002_words_index"),
    ]

    operations = [
        migrations.CreateModel(
            name="CitesListing",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=200, verbose_name="listed name")),
                ("kingdom", models.CharField(blank=True, max_length=50, verbose_name="kingdom")),
                (
                    "rank",
                    models.CharField(
                        blank=True, help_text="taxonRank, such as species or genus", max_length=20, verbose_name="rank"
                    ),
                ),
                (
                    "higher_classification",
                    models.CharField(
                        blank=True,
                        help_text="Names above it with | between: Animalia | Arthropoda | Insecta | Lepidoptera",
                        max_length=500,
                        verbose_name="belongs to",
                    ),
                ),
                (
                    "appendix",
                    models.CharField(
                        choices=[("I", "I"), ("II", "II"), ("III", "III")], max_length=3, verbose_name="Appendix"
                    ),
                ),
                ("from_on", models.DateField(blank=True, null=True, verbose_name="from")),
                ("to_on", models.DateField(blank=True, null=True, verbose_name="to")),
                ("source", models.CharField(max_length=300, verbose_name="source")),
                ("checked_on", models.DateField(verbose_name="checked on")),
            ],
            options={
                "verbose_name": "listed name",
                "verbose_name_plural": "listed names",
                "ordering": ["name", "from_on"],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("name", ""), _negated=True), name="citeslisting_named"),
                    models.CheckConstraint(
                        condition=models.Q(("source", ""), _negated=True),
                        name="citeslisting_sourced",
                        violation_error_message="Say where the listing stands, and of which day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("appendix__in", ["I", "II", "III"])), name="citeslisting_appendix_known"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("from_on__isnull", True),
                            ("to_on__isnull", True),
                            ("to_on__gte", models.F("from_on")),
                            _connector="OR",
                        ),
                        name="citeslisting_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DeskRules",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("institution", models.CharField(blank=True, max_length=300, verbose_name="institution")),
                ("address", models.TextField(blank=True, verbose_name="address")),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                (
                    "cites_code",
                    models.CharField(
                        blank=True,
                        help_text="Blank: not registered, or not known",
                        max_length=20,
                        verbose_name="number in the CITES register of institutions",
                    ),
                ),
                ("loan_months", models.PositiveSmallIntegerField(default=12, verbose_name="a loan lasts (months)")),
                (
                    "overdue_grace_days",
                    models.PositiveSmallIntegerField(default=0, verbose_name="days before a loan is shown as overdue"),
                ),
            ],
            options={
                "verbose_name": "rules of the desk",
                "verbose_name_plural": "rules of the desk",
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("id", 1)), name="deskrules_one_row"),
                    models.CheckConstraint(
                        condition=models.Q(("country", ""), ("country__regex", "^[A-Z]{2}$"), _connector="OR"),
                        name="deskrules_country_form",
                        violation_error_message="A country is two capital letters (ISO 3166-1).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("loan_months__range", (1, 120))),
                        name="deskrules_loan_months",
                        violation_error_message="A loan lasts between 1 and 120 months.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="FootingRule",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "use",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Study on the spot"),
                            (1, "Loan at home"),
                            (2, "Loan abroad"),
                            (3, "Onward loan"),
                            (4, "Retention by the borrower"),
                            (5, "Gift or exchange"),
                            (6, "Destructive sampling"),
                            (7, "DNA for identification"),
                            (8, "Sequencing"),
                            (9, "Publishing sequences"),
                            (10, "Imaging"),
                            (11, "Publishing images"),
                            (12, "Publishing exact localities"),
                            (13, "Exhibition"),
                            (14, "Teaching"),
                            (15, "Commercial use"),
                            (16, "Disposal"),
                            (17, "Return to the provider"),
                        ],
                        unique=True,
                        verbose_name="use",
                    ),
                ),
                (
                    "if_outside",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Goes like any other"),
                            (2, "The provider is asked first"),
                            (4, "A person decides"),
                            (5, "Stays here"),
                        ],
                        default=4,
                        verbose_name="outside terms, or no paper on file",
                    ),
                ),
                (
                    "if_doubtful",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Goes like any other"),
                            (2, "The provider is asked first"),
                            (4, "A person decides"),
                            (5, "Stays here"),
                        ],
                        default=4,
                        verbose_name="straddles, cannot tell, or not judged",
                    ),
                ),
                ("reason", models.TextField(verbose_name="because")),
            ],
            options={
                "verbose_name": "rule on the footing",
                "verbose_name_plural": "rules on the footing",
                "ordering": ["use"],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("use__lt", 18)), name="footingrule_use_known"),
                    models.CheckConstraint(
                        condition=models.Q(("if_doubtful__in", [0, 2, 4, 5]), ("if_outside__in", [0, 2, 4, 5])),
                        name="footingrule_answers_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True),
                        name="footingrule_reasoned",
                        violation_error_message="Say why.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalCitesListing",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("name", models.CharField(max_length=200, verbose_name="listed name")),
                ("kingdom", models.CharField(blank=True, max_length=50, verbose_name="kingdom")),
                (
                    "rank",
                    models.CharField(
                        blank=True, help_text="taxonRank, such as species or genus", max_length=20, verbose_name="rank"
                    ),
                ),
                (
                    "higher_classification",
                    models.CharField(
                        blank=True,
                        help_text="Names above it with | between: Animalia | Arthropoda | Insecta | Lepidoptera",
                        max_length=500,
                        verbose_name="belongs to",
                    ),
                ),
                (
                    "appendix",
                    models.CharField(
                        choices=[("I", "I"), ("II", "II"), ("III", "III")], max_length=3, verbose_name="Appendix"
                    ),
                ),
                ("from_on", models.DateField(blank=True, null=True, verbose_name="from")),
                ("to_on", models.DateField(blank=True, null=True, verbose_name="to")),
                ("source", models.CharField(max_length=300, verbose_name="source")),
                ("checked_on", models.DateField(verbose_name="checked on")),
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
                "verbose_name": "historical listed name",
                "verbose_name_plural": "historical listed names",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalDeskRules",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("institution", models.CharField(blank=True, max_length=300, verbose_name="institution")),
                ("address", models.TextField(blank=True, verbose_name="address")),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                (
                    "cites_code",
                    models.CharField(
                        blank=True,
                        help_text="Blank: not registered, or not known",
                        max_length=20,
                        verbose_name="number in the CITES register of institutions",
                    ),
                ),
                ("loan_months", models.PositiveSmallIntegerField(default=12, verbose_name="a loan lasts (months)")),
                (
                    "overdue_grace_days",
                    models.PositiveSmallIntegerField(default=0, verbose_name="days before a loan is shown as overdue"),
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
                "verbose_name": "historical rules of the desk",
                "verbose_name_plural": "historical rules of the desk",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalFootingRule",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "use",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Study on the spot"),
                            (1, "Loan at home"),
                            (2, "Loan abroad"),
                            (3, "Onward loan"),
                            (4, "Retention by the borrower"),
                            (5, "Gift or exchange"),
                            (6, "Destructive sampling"),
                            (7, "DNA for identification"),
                            (8, "Sequencing"),
                            (9, "Publishing sequences"),
                            (10, "Imaging"),
                            (11, "Publishing images"),
                            (12, "Publishing exact localities"),
                            (13, "Exhibition"),
                            (14, "Teaching"),
                            (15, "Commercial use"),
                            (16, "Disposal"),
                            (17, "Return to the provider"),
                        ],
                        db_index=True,
                        verbose_name="use",
                    ),
                ),
                (
                    "if_outside",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Goes like any other"),
                            (2, "The provider is asked first"),
                            (4, "A person decides"),
                            (5, "Stays here"),
                        ],
                        default=4,
                        verbose_name="outside terms, or no paper on file",
                    ),
                ),
                (
                    "if_doubtful",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Goes like any other"),
                            (2, "The provider is asked first"),
                            (4, "A person decides"),
                            (5, "Stays here"),
                        ],
                        default=4,
                        verbose_name="straddles, cannot tell, or not judged",
                    ),
                ),
                ("reason", models.TextField(verbose_name="because")),
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
                "verbose_name": "historical rule on the footing",
                "verbose_name_plural": "historical rules on the footing",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalRecipient",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("name", models.CharField(max_length=300, verbose_name="name")),
                (
                    "kind",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        choices=[
                            (0, "Public research institution"),
                            (1, "Private research institution, not for profit"),
                            (2, "Company"),
                            (3, "Private person"),
                            (4, "Authority"),
                        ],
                        null=True,
                        verbose_name="kind",
                    ),
                ),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                ("address", models.TextField(blank=True, verbose_name="address")),
                ("contact", models.TextField(blank=True, verbose_name="contact")),
                (
                    "cites_code",
                    models.CharField(blank=True, max_length=20, verbose_name="number in the CITES register"),
                ),
                ("cites_checked_on", models.DateField(blank=True, null=True, verbose_name="register looked up on")),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
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
            ],
            options={
                "verbose_name": "historical recipient",
                "verbose_name_plural": "historical recipients",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalSilenceRule",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "use",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        choices=[
                            (0, "Study on the spot"),
                            (1, "Loan at home"),
                            (2, "Loan abroad"),
                            (3, "Onward loan"),
                            (4, "Retention by the borrower"),
                            (5, "Gift or exchange"),
                            (6, "Destructive sampling"),
                            (7, "DNA for identification"),
                            (8, "Sequencing"),
                            (9, "Publishing sequences"),
                            (10, "Imaging"),
                            (11, "Publishing images"),
                            (12, "Publishing exact localities"),
                            (13, "Exhibition"),
                            (14, "Teaching"),
                            (15, "Commercial use"),
                            (16, "Disposal"),
                            (17, "Return to the provider"),
                        ],
                        null=True,
                        verbose_name="use",
                    ),
                ),
                (
                    "paper_kind",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "Any paper"),
                            ("none", "No paper on file speaks"),
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
                            ("deed-of-gift", "Deed of gift"),
                            ("bequest", "Bequest"),
                            ("proof-of-purchase", "Proof of purchase"),
                            ("exchange-agreement", "Exchange agreement"),
                            ("salvage-permit", "Salvage permit"),
                            ("exemption", "Exemption"),
                            ("other", "Other"),
                        ],
                        max_length=40,
                        verbose_name="paper",
                    ),
                ),
                (
                    "reading",
                    models.SmallIntegerField(
                        choices=[
                            (-1, "Not expected to speak of it"),
                            (0, "Read as allowed"),
                            (2, "Read as: ask the provider first"),
                            (3, "Not decided: a person decides each time"),
                            (5, "Read as not allowed"),
                        ],
                        verbose_name="silence is",
                    ),
                ),
                ("reason", models.TextField(verbose_name="because")),
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
                "verbose_name": "historical reading of silence",
                "verbose_name_plural": "historical readings of silence",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Recipient",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=300, verbose_name="name")),
                (
                    "kind",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        choices=[
                            (0, "Public research institution"),
                            (1, "Private research institution, not for profit"),
                            (2, "Company"),
                            (3, "Private person"),
                            (4, "Authority"),
                        ],
                        null=True,
                        verbose_name="kind",
                    ),
                ),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                ("address", models.TextField(blank=True, verbose_name="address")),
                ("contact", models.TextField(blank=True, verbose_name="contact")),
                (
                    "cites_code",
                    models.CharField(blank=True, max_length=20, verbose_name="number in the CITES register"),
                ),
                ("cites_checked_on", models.DateField(blank=True, null=True, verbose_name="register looked up on")),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                (
                    "agent",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="receives_as",
                        to="people.agent",
                    ),
                ),
            ],
            options={
                "verbose_name": "recipient",
                "verbose_name_plural": "recipients",
                "ordering": ["name", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("name", ""), _negated=True),
                        name="recipient_named",
                        violation_error_message="Name the recipient.",
                    ),
                    models.UniqueConstraint(
                        fields=("name", "country"),
                        name="recipient_once",
                        violation_error_message="This recipient is on file already.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("kind__isnull", True), ("kind__lt", 5), _connector="OR"),
                        name="recipient_kind_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("country", ""), ("country__regex", "^[A-Z]{2}$"), _connector="OR"),
                        name="recipient_country_form",
                        violation_error_message="A country is two capital letters (ISO 3166-1).",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalUseRequest",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("reference", models.CharField(db_index=True, max_length=60, verbose_name="request number")),
                ("title", models.CharField(max_length=200, verbose_name="what is asked")),
                ("asked_by", models.CharField(blank=True, max_length=200, verbose_name="asked by")),
                ("asked_on", models.DateField(verbose_name="asked on")),
                ("answer_by", models.DateField(blank=True, null=True, verbose_name="answer by")),
                ("uses", models.PositiveIntegerField(verbose_name="uses")),
                ("purpose", models.TextField(blank=True, verbose_name="purpose")),
                (
                    "commercial",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="commercial",
                    ),
                ),
                (
                    "identification_only",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="for identification only",
                    ),
                ),
                ("parts", models.CharField(blank=True, max_length=200, verbose_name="parts to be taken")),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="goes to")),
                ("starts_on", models.DateField(blank=True, null=True, verbose_name="from")),
                ("ends_on", models.DateField(blank=True, null=True, verbose_name="until")),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("answered_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("closed_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("closed_why", models.CharField(blank=True, editable=False, max_length=200)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "answered_by",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "closed_by",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        editable=False,
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
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="scans.scan",
                    ),
                ),
                (
                    "recipient",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.recipient",
                        verbose_name="for",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical request",
                "verbose_name_plural": "historical requests",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="SilenceRule",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "use",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        choices=[
                            (0, "Study on the spot"),
                            (1, "Loan at home"),
                            (2, "Loan abroad"),
                            (3, "Onward loan"),
                            (4, "Retention by the borrower"),
                            (5, "Gift or exchange"),
                            (6, "Destructive sampling"),
                            (7, "DNA for identification"),
                            (8, "Sequencing"),
                            (9, "Publishing sequences"),
                            (10, "Imaging"),
                            (11, "Publishing images"),
                            (12, "Publishing exact localities"),
                            (13, "Exhibition"),
                            (14, "Teaching"),
                            (15, "Commercial use"),
                            (16, "Disposal"),
                            (17, "Return to the provider"),
                        ],
                        null=True,
                        verbose_name="use",
                    ),
                ),
                (
                    "paper_kind",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "Any paper"),
                            ("none", "No paper on file speaks"),
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
                            ("deed-of-gift", "Deed of gift"),
                            ("bequest", "Bequest"),
                            ("proof-of-purchase", "Proof of purchase"),
                            ("exchange-agreement", "Exchange agreement"),
                            ("salvage-permit", "Salvage permit"),
                            ("exemption", "Exemption"),
                            ("other", "Other"),
                        ],
                        max_length=40,
                        verbose_name="paper",
                    ),
                ),
                (
                    "reading",
                    models.SmallIntegerField(
                        choices=[
                            (-1, "Not expected to speak of it"),
                            (0, "Read as allowed"),
                            (2, "Read as: ask the provider first"),
                            (3, "Not decided: a person decides each time"),
                            (5, "Read as not allowed"),
                        ],
                        verbose_name="silence is",
                    ),
                ),
                ("reason", models.TextField(verbose_name="because")),
            ],
            options={
                "verbose_name": "reading of silence",
                "verbose_name_plural": "readings of silence",
                "ordering": [models.OrderBy(models.F("use"), nulls_first=True), "paper_kind"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("use", "paper_kind"),
                        name="silencerule_once",
                        violation_error_message="Silence of this paper on this use has a rule already.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("use__isnull", True)),
                        fields=("paper_kind",),
                        name="silencerule_any_use_once",
                        violation_error_message="Silence of this paper on any use has a rule already.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("use__isnull", True), ("use__lt", 18), _connector="OR"),
                        name="silencerule_use_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reading__in", [-1, 0, 2, 3, 5])), name="silencerule_reading_known"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("paper_kind", "none"), _negated=True),
                            models.Q(("reading", -1), _negated=True),
                            _connector="OR",
                        ),
                        name="silencerule_no_paper_is_heard",
                        violation_error_message="Where no paper speaks, say what that means.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("reason", ""), _negated=True),
                        name="silencerule_reasoned",
                        violation_error_message="Say why silence is read so.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="UseRequest",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("reference", models.CharField(max_length=60, unique=True, verbose_name="request number")),
                ("title", models.CharField(max_length=200, verbose_name="what is asked")),
                ("asked_by", models.CharField(blank=True, max_length=200, verbose_name="asked by")),
                ("asked_on", models.DateField(verbose_name="asked on")),
                ("answer_by", models.DateField(blank=True, null=True, verbose_name="answer by")),
                ("uses", models.PositiveIntegerField(verbose_name="uses")),
                ("purpose", models.TextField(blank=True, verbose_name="purpose")),
                (
                    "commercial",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="commercial",
                    ),
                ),
                (
                    "identification_only",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="for identification only",
                    ),
                ),
                ("parts", models.CharField(blank=True, max_length=200, verbose_name="parts to be taken")),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="goes to")),
                ("starts_on", models.DateField(blank=True, null=True, verbose_name="from")),
                ("ends_on", models.DateField(blank=True, null=True, verbose_name="until")),
                ("remarks", models.TextField(blank=True, verbose_name="remarks")),
                ("answered_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("closed_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("closed_why", models.CharField(blank=True, editable=False, max_length=200)),
                (
                    "answered_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="requests_answered",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "closed_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="requests_closed",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "recipient",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="requests",
                        to="usedesk.recipient",
                        verbose_name="for",
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="use_requests",
                        to="scans.scan",
                    ),
                ),
            ],
            options={
                "verbose_name": "request",
                "verbose_name_plural": "requests",
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("reference", ""), _negated=True),
                        name="userequest_numbered",
                        violation_error_message="Give the request a number.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("title", ""), _negated=True),
                        name="userequest_titled",
                        violation_error_message="Say what is asked.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("uses__range", (1, 262143))),
                        name="userequest_asks_for_a_use",
                        violation_error_message="Choose at least one use.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("commercial__in", ["", "yes", "no"]), ("identification_only__in", ["", "yes", "no"])
                        ),
                        name="userequest_told_words",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("country", ""), ("country__regex", "^[A-Z]{2}$"), _connector="OR"),
                        name="userequest_country_form",
                        violation_error_message="A country is two capital letters (ISO 3166-1).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("starts_on__isnull", True),
                            ("ends_on__isnull", True),
                            ("ends_on__gte", models.F("starts_on")),
                            _connector="OR",
                        ),
                        name="userequest_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("answered_at__isnull", True), ("answered_by__isnull", True)),
                            models.Q(("answered_at__isnull", False), ("answered_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="userequest_answered_by_somebody",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("closed_at__isnull", True), ("closed_by__isnull", True), ("closed_why", "")),
                            models.Q(
                                ("closed_at__isnull", False),
                                ("closed_by__isnull", False),
                                models.Q(("closed_why", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="userequest_closed_for_a_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ScanLine",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("key", models.CharField(max_length=64)),
                ("code", models.CharField(max_length=300, verbose_name="code as read")),
                (
                    "outcome",
                    models.CharField(
                        choices=[
                            ("added", "Added"),
                            ("already-in", "Already in the basket"),
                            ("unknown", "No such number"),
                            ("several", "Several specimens have this number"),
                            ("taken-out", "Taken out again"),
                        ],
                        max_length=12,
                        verbose_name="outcome",
                    ),
                ),
                ("read_at", models.DateTimeField(auto_now_add=True)),
                (
                    "read_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="scan_lines",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "specimen",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="scan_lines",
                        to="material.specimen",
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="scan_lines", to="usedesk.userequest"
                    ),
                ),
            ],
            options={
                "verbose_name": "code read",
                "verbose_name_plural": "codes read",
                "ordering": ["request", "-pk"],
                "constraints": [
                    models.UniqueConstraint(fields=("request", "key"), name="scanline_once"),
                    models.CheckConstraint(
                        condition=models.Q(("outcome__in", ["added", "already-in", "unknown", "several", "taken-out"])),
                        name="scanline_outcome_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("specimen__isnull", False),
                            ("outcome__in", ["unknown", "several", "taken-out"]),
                            _connector="OR",
                        ),
                        name="scanline_of_a_specimen",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="ProviderQuestion",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("uses", models.PositiveIntegerField(verbose_name="uses")),
                ("asked_of", models.CharField(max_length=300, verbose_name="asked of")),
                ("asked_on", models.DateField(verbose_name="asked on")),
                (
                    "reply",
                    models.CharField(
                        blank=True,
                        choices=[("", "No reply yet"), ("agreed", "Agreed"), ("refused", "Refused")],
                        default="",
                        max_length=8,
                        verbose_name="reply",
                    ),
                ),
                ("replied_on", models.DateField(blank=True, null=True, verbose_name="replied on")),
                ("reply_words", models.TextField(blank=True, verbose_name="the reply in its words")),
                ("recorded_at", models.DateTimeField(auto_now_add=True)),
                (
                    "letter",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="use_questions",
                        to="scans.scan",
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="use_questions", to="papers.paper"
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="use_questions",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "reply_scan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="use_replies",
                        to="scans.scan",
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="questions", to="usedesk.userequest"
                    ),
                ),
            ],
            options={
                "verbose_name": "question to a provider",
                "verbose_name_plural": "questions to providers",
                "ordering": ["request", "asked_on", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("uses__range", (1, 262143))),
                        name="providerquestion_asks_for_a_use",
                        violation_error_message="Choose at least one use.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("asked_of", ""), _negated=True),
                        name="providerquestion_of_somebody",
                        violation_error_message="Say who was asked.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("replied_on__isnull", True), ("reply", "")),
                            models.Q(
                                ("replied_on__gte", models.F("asked_on")),
                                ("replied_on__isnull", False),
                                ("reply__in", ["agreed", "refused"]),
                                models.Q(("reply_words", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="providerquestion_reply_whole",
                        violation_error_message="A reply has a day, not before the question, and its words.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalWayDecision",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[(5, "Export"), (6, "Import"), (7, "CITES")], verbose_name="paper"
                    ),
                ),
                ("reason", models.TextField(verbose_name="reason")),
                ("evidence", models.TextField(verbose_name="evidence")),
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
                (
                    "request",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.userequest",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical decision on the way there",
                "verbose_name_plural": "historical decisions on the way there",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalRequestDecision",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("is_approved", models.BooleanField(verbose_name="may go")),
                (
                    "answer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Allowed"),
                            (1, "Allowed with duties"),
                            (2, "Ask the provider first"),
                            (3, "Terms silent"),
                            (4, "Not known"),
                            (5, "Not allowed"),
                        ],
                        verbose_name="answer of the desk",
                    ),
                ),
                ("is_silent", models.BooleanField(default=False)),
                ("reasons", models.JSONField(default=list)),
                ("reason", models.TextField(blank=True, verbose_name="reason")),
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
                (
                    "request",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.userequest",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical decision on a request",
                "verbose_name_plural": "historical decisions on requests",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalProviderQuestion",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("uses", models.PositiveIntegerField(verbose_name="uses")),
                ("asked_of", models.CharField(max_length=300, verbose_name="asked of")),
                ("asked_on", models.DateField(verbose_name="asked on")),
                (
                    "reply",
                    models.CharField(
                        blank=True,
                        choices=[("", "No reply yet"), ("agreed", "Agreed"), ("refused", "Refused")],
                        default="",
                        max_length=8,
                        verbose_name="reply",
                    ),
                ),
                ("replied_on", models.DateField(blank=True, null=True, verbose_name="replied on")),
                ("reply_words", models.TextField(blank=True, verbose_name="the reply in its words")),
                ("recorded_at", models.DateTimeField(blank=True, editable=False)),
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
                    "letter",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="scans.scan",
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
                (
                    "recorded_by",
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
                    "reply_scan",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="scans.scan",
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.userequest",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical question to a provider",
                "verbose_name_plural": "historical questions to providers",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalExchangeLabel",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "non_commercial",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="non-commercial loan, donation or exchange",
                    ),
                ),
                (
                    "sender_code",
                    models.CharField(blank=True, max_length=20, verbose_name="sender’s number in the register"),
                ),
                (
                    "recipient_code",
                    models.CharField(blank=True, max_length=20, verbose_name="recipient’s number in the register"),
                ),
                (
                    "preserved",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "Not told"),
                            ("herbarium", "Herbarium specimens"),
                            ("museum", "Preserved, dried or embedded museum specimens"),
                            ("live-plants", "Live plant material"),
                            ("other", "Anything else"),
                        ],
                        default="",
                        max_length=12,
                        verbose_name="kind of specimen",
                    ),
                ),
                (
                    "label_by_authority",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="label issued or approved by a Management Authority",
                    ),
                ),
                ("label_number", models.CharField(blank=True, max_length=60, verbose_name="number of the label")),
                (
                    "legally_acquired",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="legally acquired",
                    ),
                ),
                ("evidence", models.TextField(blank=True, verbose_name="what shows it")),
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
                (
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="scans.scan",
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.userequest",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical label of a scientific exchange",
                "verbose_name_plural": "historical labels of scientific exchanges",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="ExchangeLabel",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "non_commercial",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="non-commercial loan, donation or exchange",
                    ),
                ),
                (
                    "sender_code",
                    models.CharField(blank=True, max_length=20, verbose_name="sender’s number in the register"),
                ),
                (
                    "recipient_code",
                    models.CharField(blank=True, max_length=20, verbose_name="recipient’s number in the register"),
                ),
                (
                    "preserved",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "Not told"),
                            ("herbarium", "Herbarium specimens"),
                            ("museum", "Preserved, dried or embedded museum specimens"),
                            ("live-plants", "Live plant material"),
                            ("other", "Anything else"),
                        ],
                        default="",
                        max_length=12,
                        verbose_name="kind of specimen",
                    ),
                ),
                (
                    "label_by_authority",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="label issued or approved by a Management Authority",
                    ),
                ),
                ("label_number", models.CharField(blank=True, max_length=60, verbose_name="number of the label")),
                (
                    "legally_acquired",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="legally acquired",
                    ),
                ),
                ("evidence", models.TextField(blank=True, verbose_name="what shows it")),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="exchange_labels",
                        to="papers.paper",
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="exchange_labels",
                        to="scans.scan",
                    ),
                ),
                (
                    "request",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="exchange_label",
                        to="usedesk.userequest",
                    ),
                ),
            ],
            options={
                "verbose_name": "label of a scientific exchange",
                "verbose_name_plural": "labels of scientific exchanges",
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("label_by_authority__in", ["", "yes", "no"]),
                            ("legally_acquired__in", ["", "yes", "no"]),
                            ("non_commercial__in", ["", "yes", "no"]),
                            ("preserved__in", ["", "herbarium", "museum", "live-plants", "other"]),
                        ),
                        name="exchangelabel_words_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("legally_acquired", "yes"), _negated=True),
                            models.Q(("evidence", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="exchangelabel_acquired_by_evidence",
                        violation_error_message="Say what shows that it was legally acquired.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="WayDecision",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "layer",
                    models.PositiveSmallIntegerField(
                        choices=[(5, "Export"), (6, "Import"), (7, "CITES")], verbose_name="paper"
                    ),
                ),
                ("reason", models.TextField(verbose_name="reason")),
                ("evidence", models.TextField(verbose_name="evidence")),
                ("decided_at", models.DateTimeField(auto_now_add=True)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_reason", models.TextField(blank=True)),
                (
                    "decided_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="way_decisions",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="way_decisions",
                        to="papers.paper",
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="way_decisions",
                        to="usedesk.userequest",
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="way_decisions_withdrawn",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "decision on the way there",
                "verbose_name_plural": "decisions on the way there",
                "ordering": ["request", "layer", "-decided_at"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("layer__in", [5, 6, 7])), name="waydecision_layer_known"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("reason", ""), _negated=True), models.Q(("evidence", ""), _negated=True)
                        ),
                        name="waydecision_with_evidence",
                        violation_error_message="Say why, and what shows it.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("withdrawn_at__isnull", True)),
                        fields=("request", "layer"),
                        name="waydecision_one_stands",
                        violation_error_message="A decision on this stands already; withdraw it first.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by__isnull", True)),
                            models.Q(("withdrawn_at__isnull", False), ("withdrawn_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="waydecision_withdrawal_whole",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="MadeUse",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "reference",
                    models.CharField(
                        blank=True, help_text="Such as the loan number", max_length=60, verbose_name="number"
                    ),
                ),
                (
                    "deed",
                    models.CharField(
                        choices=[
                            ("study", "Studied on the spot"),
                            ("loan", "Lent"),
                            ("onward-loan", "Lent on by the borrower"),
                            ("retention", "Kept by the borrower"),
                            ("gift", "Given away"),
                            ("exchange", "Exchanged"),
                            ("sampling", "Sampled destructively"),
                            ("extraction", "DNA extracted"),
                            ("sequencing", "Sequenced"),
                            ("imaging", "Imaged"),
                            ("publication", "Published"),
                            ("data", "Data published"),
                            ("exhibition", "Exhibited"),
                            ("teaching", "Used in teaching"),
                            ("commercial", "Used commercially"),
                            ("loss", "Lost or damaged"),
                            ("disposal", "Disposed of"),
                            ("return", "Returned to the provider"),
                        ],
                        max_length=12,
                        verbose_name="what was done",
                    ),
                ),
                (
                    "use",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        choices=[
                            (0, "Study on the spot"),
                            (1, "Loan at home"),
                            (2, "Loan abroad"),
                            (3, "Onward loan"),
                            (4, "Retention by the borrower"),
                            (5, "Gift or exchange"),
                            (6, "Destructive sampling"),
                            (7, "DNA for identification"),
                            (8, "Sequencing"),
                            (9, "Publishing sequences"),
                            (10, "Imaging"),
                            (11, "Publishing images"),
                            (12, "Publishing exact localities"),
                            (13, "Exhibition"),
                            (14, "Teaching"),
                            (15, "Commercial use"),
                            (16, "Disposal"),
                            (17, "Return to the provider"),
                        ],
                        null=True,
                        verbose_name="kind of use",
                    ),
                ),
                ("title", models.CharField(blank=True, max_length=300, verbose_name="in words")),
                ("on", models.DateField(verbose_name="on")),
                ("until_on", models.DateField(blank=True, null=True, verbose_name="until")),
                ("due_on", models.DateField(blank=True, null=True, verbose_name="due back on")),
                ("citation", models.TextField(blank=True, verbose_name="citation")),
                ("doi", models.CharField(blank=True, max_length=300, verbose_name="DOI")),
                (
                    "acknowledged",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not looked at"), ("yes", "Yes"), ("no", "No")],
                        max_length=3,
                        verbose_name="source acknowledged as the papers ask",
                    ),
                ),
                (
                    "commercial",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="commercial",
                    ),
                ),
                (
                    "identification_only",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="for identification only",
                    ),
                ),
                ("parts", models.CharField(blank=True, max_length=200, verbose_name="parts that were taken")),
                ("note", models.TextField(blank=True, verbose_name="note")),
                (
                    "answer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Allowed"),
                            (1, "Allowed with duties"),
                            (2, "Ask the provider first"),
                            (3, "Terms silent"),
                            (4, "Not known"),
                            (5, "Not allowed"),
                        ],
                        editable=False,
                        null=True,
                        verbose_name="answer of the desk",
                    ),
                ),
                ("is_outside", models.BooleanField(default=False, editable=False, verbose_name="outside the terms")),
                ("recorded_at", models.DateTimeField(auto_now_add=True)),
                ("voided_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("voided_why", models.CharField(blank=True, editable=False, max_length=200)),
                (
                    "parent",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="followed_by",
                        to="usedesk.madeuse",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="uses_recorded",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="made_uses",
                        to="scans.scan",
                    ),
                ),
                (
                    "voided_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="uses_voided",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "recipient",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="made_uses",
                        to="usedesk.recipient",
                        verbose_name="by or to",
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="made_uses",
                        to="usedesk.userequest",
                    ),
                ),
            ],
            options={
                "verbose_name": "use that was made",
                "verbose_name_plural": "uses that were made",
                "ordering": ["-on", "-pk"],
                "indexes": [models.Index(fields=["deed", "due_on"], name="madeuse_due")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            (
                                "deed__in",
                                [
                                    "study",
                                    "loan",
                                    "onward-loan",
                                    "retention",
                                    "gift",
                                    "exchange",
                                    "sampling",
                                    "extraction",
                                    "sequencing",
                                    "imaging",
                                    "publication",
                                    "data",
                                    "exhibition",
                                    "teaching",
                                    "commercial",
                                    "loss",
                                    "disposal",
                                    "return",
                                ],
                            )
                        ),
                        name="madeuse_deed_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("until_on__isnull", True), ("until_on__gte", models.F("on")), _connector="OR"
                        ),
                        name="madeuse_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("due_on__isnull", True),
                            models.Q(("deed__in", ["loan", "onward-loan"]), ("due_on__gte", models.F("on"))),
                            _connector="OR",
                        ),
                        name="madeuse_due_of_a_loan",
                        violation_error_message="Only a loan is due back, and not before it left.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("deed", "publication"), _negated=True),
                            models.Q(("citation", ""), _negated=True),
                            models.Q(("doi", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="madeuse_publication_cited",
                        violation_error_message="Give the citation or the DOI.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("doi", ""), ("doi__regex", "^10\\.[0-9]{4,9}(\\.[0-9]+)*/.+$"), _connector="OR"
                        ),
                        name="madeuse_doi_form",
                        violation_error_message="A DOI begins with 10., a registrant’s number and a slash: 10.1234/abc.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("commercial__in", ["", "yes", "no"]), ("identification_only__in", ["", "yes", "no"])
                        ),
                        name="madeuse_told_words",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("answer__isnull", True), ("answer__lt", 6), _connector="OR"),
                        name="madeuse_answer_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("voided_at__isnull", True), ("voided_by__isnull", True), ("voided_why", "")),
                            models.Q(
                                ("voided_at__isnull", False),
                                ("voided_by__isnull", False),
                                models.Q(("voided_why", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="madeuse_voided_for_a_reason",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("parent__isnull", True),
                            ("deed__in", ["onward-loan", "retention", "sampling", "loss"]),
                            _connector="OR",
                        ),
                        name="madeuse_from_a_loan",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="LoanReturn",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("on", models.DateField(verbose_name="came back on")),
                ("note", models.TextField(blank=True, verbose_name="state, and what is missing")),
                ("recorded_at", models.DateTimeField(auto_now_add=True)),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="loan_returns",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "use",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="returns", to="usedesk.madeuse"
                    ),
                ),
            ],
            options={
                "verbose_name": "return of a loan",
                "verbose_name_plural": "returns of loans",
                "ordering": ["use", "on", "pk"],
            },
        ),
        migrations.CreateModel(
            name="HistoricalRemedy",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("what", models.TextField(verbose_name="what is to be done")),
                ("due_on", models.DateField(blank=True, null=True, verbose_name="by")),
                ("opened_at", models.DateTimeField(blank=True, editable=False)),
                ("done_on", models.DateField(blank=True, null=True, verbose_name="done on")),
                ("done_how", models.TextField(blank=True, verbose_name="how it ended")),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "done_by",
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
                    "opened_by",
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
                (
                    "use",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.madeuse",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical remedy",
                "verbose_name_plural": "historical remedies",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalLoanReturn",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("on", models.DateField(verbose_name="came back on")),
                ("note", models.TextField(blank=True, verbose_name="state, and what is missing")),
                ("recorded_at", models.DateTimeField(blank=True, editable=False)),
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
                    "recorded_by",
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
                    "use",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.madeuse",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical return of a loan",
                "verbose_name_plural": "historical returns of loans",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Remedy",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("what", models.TextField(verbose_name="what is to be done")),
                ("due_on", models.DateField(blank=True, null=True, verbose_name="by")),
                ("opened_at", models.DateTimeField(auto_now_add=True)),
                ("done_on", models.DateField(blank=True, null=True, verbose_name="done on")),
                ("done_how", models.TextField(blank=True, verbose_name="how it ended")),
                (
                    "done_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="remedies_done",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "opened_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="remedies_opened",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="remedies",
                        to="papers.paper",
                    ),
                ),
                (
                    "use",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="remedies", to="usedesk.madeuse"
                    ),
                ),
            ],
            options={
                "verbose_name": "remedy",
                "verbose_name_plural": "remedies",
                "ordering": ["use", "opened_at", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("what", ""), _negated=True),
                        name="remedy_says_what",
                        violation_error_message="Say what is to be done.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("done_by__isnull", True), ("done_how", ""), ("done_on__isnull", True)),
                            models.Q(
                                ("done_by__isnull", False),
                                ("done_on__isnull", False),
                                models.Q(("done_how", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="remedy_done_whole",
                        violation_error_message="Say how it ended, and on which day.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="RequestDecision",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("is_approved", models.BooleanField(verbose_name="may go")),
                (
                    "answer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Allowed"),
                            (1, "Allowed with duties"),
                            (2, "Ask the provider first"),
                            (3, "Terms silent"),
                            (4, "Not known"),
                            (5, "Not allowed"),
                        ],
                        verbose_name="answer of the desk",
                    ),
                ),
                ("is_silent", models.BooleanField(default=False)),
                ("reasons", models.JSONField(default=list)),
                ("reason", models.TextField(blank=True, verbose_name="reason")),
                ("decided_at", models.DateTimeField(auto_now_add=True)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_reason", models.TextField(blank=True)),
                (
                    "decided_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="use_decisions",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="use_decisions_withdrawn",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="decisions", to="usedesk.userequest"
                    ),
                ),
            ],
            options={
                "verbose_name": "decision on a request",
                "verbose_name_plural": "decisions on requests",
                "ordering": ["request", "decided_at", "pk"],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("answer__lt", 6)), name="requestdecision_answer_known"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("is_approved", False),
                            ("answer__lte", 1),
                            models.Q(("reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="requestdecision_beyond_terms_reasoned",
                        violation_error_message="The terms on file do not simply allow this: give the reason.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("is_approved", False), models.Q(("answer", 5), _negated=True), _connector="OR"
                        ),
                        name="requestdecision_not_against_a_no",
                        violation_error_message="The terms do not allow it. A paper that allows it is entered first.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by__isnull", True)),
                            models.Q(("withdrawn_at__isnull", False), ("withdrawn_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="requestdecision_withdrawal_whole",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalUseItem",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("amount", models.CharField(blank=True, max_length=200, verbose_name="taken")),
                ("left", models.CharField(blank=True, max_length=200, verbose_name="left")),
                ("is_used_up", models.BooleanField(default=False, verbose_name="nothing is left")),
                (
                    "answer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Allowed"),
                            (1, "Allowed with duties"),
                            (2, "Ask the provider first"),
                            (3, "Terms silent"),
                            (4, "Not known"),
                            (5, "Not allowed"),
                        ],
                        editable=False,
                        null=True,
                        verbose_name="answer of the desk",
                    ),
                ),
                ("reasons", models.JSONField(default=list, editable=False)),
                ("is_outside", models.BooleanField(default=False, editable=False, verbose_name="outside the terms")),
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
                    "product",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="material.specimen",
                        verbose_name="made",
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
                    "returned",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.loanreturn",
                    ),
                ),
                (
                    "use",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.madeuse",
                    ),
                ),
                (
                    "decision",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.requestdecision",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical specimen of a use",
                "verbose_name_plural": "historical specimens of uses",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="UseItem",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("amount", models.CharField(blank=True, max_length=200, verbose_name="taken")),
                ("left", models.CharField(blank=True, max_length=200, verbose_name="left")),
                ("is_used_up", models.BooleanField(default=False, verbose_name="nothing is left")),
                (
                    "answer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Allowed"),
                            (1, "Allowed with duties"),
                            (2, "Ask the provider first"),
                            (3, "Terms silent"),
                            (4, "Not known"),
                            (5, "Not allowed"),
                        ],
                        editable=False,
                        null=True,
                        verbose_name="answer of the desk",
                    ),
                ),
                ("reasons", models.JSONField(default=list, editable=False)),
                ("is_outside", models.BooleanField(default=False, editable=False, verbose_name="outside the terms")),
                (
                    "decision",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="use_items",
                        to="usedesk.requestdecision",
                    ),
                ),
                (
                    "product",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="made_by",
                        to="material.specimen",
                        verbose_name="made",
                    ),
                ),
                (
                    "returned",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="items",
                        to="usedesk.loanreturn",
                    ),
                ),
                (
                    "specimen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="use_items", to="material.specimen"
                    ),
                ),
                (
                    "use",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="items", to="usedesk.madeuse"
                    ),
                ),
            ],
            options={
                "verbose_name": "specimen of a use",
                "verbose_name_plural": "specimens of uses",
                "ordering": ["use", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("use", "specimen"),
                        name="useitem_once",
                        violation_error_message="This specimen is in the entry already.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("answer__isnull", True), ("answer__lt", 6), _connector="OR"),
                        name="useitem_answer_known",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Sequence",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("accession_number", models.CharField(max_length=30, verbose_name="accession number")),
                ("marker", models.CharField(blank=True, max_length=100, verbose_name="marker or kind")),
                (
                    "item",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="sequences", to="usedesk.useitem"
                    ),
                ),
            ],
            options={
                "verbose_name": "sequence",
                "verbose_name_plural": "sequences",
                "ordering": ["item", "accession_number"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("item", "accession_number"),
                        name="sequence_once",
                        violation_error_message="This accession number is recorded for the specimen already.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("accession_number", ""), _negated=True), name="sequence_numbered"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalSequence",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("accession_number", models.CharField(max_length=30, verbose_name="accession number")),
                ("marker", models.CharField(blank=True, max_length=100, verbose_name="marker or kind")),
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
                    "item",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.useitem",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical sequence",
                "verbose_name_plural": "historical sequences",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="RequestItem",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("note", models.CharField(blank=True, max_length=200, verbose_name="note")),
                ("added_at", models.DateTimeField(auto_now_add=True)),
                (
                    "added_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="request_items",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "decision",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="items",
                        to="usedesk.requestdecision",
                    ),
                ),
                (
                    "specimen",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="request_items",
                        to="material.specimen",
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="items", to="usedesk.userequest"
                    ),
                ),
            ],
            options={
                "verbose_name": "specimen of a request",
                "verbose_name_plural": "specimens of requests",
                "ordering": ["request", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("request", "specimen"),
                        name="requestitem_once",
                        violation_error_message="This specimen is in the request already.",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalRequestItem",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("note", models.CharField(blank=True, max_length=200, verbose_name="note")),
                ("added_at", models.DateTimeField(blank=True, editable=False)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "added_by",
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
                    "decision",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.requestdecision",
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.userequest",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical specimen of a request",
                "verbose_name_plural": "historical specimens of requests",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalMadeUse",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "reference",
                    models.CharField(
                        blank=True, help_text="Such as the loan number", max_length=60, verbose_name="number"
                    ),
                ),
                (
                    "deed",
                    models.CharField(
                        choices=[
                            ("study", "Studied on the spot"),
                            ("loan", "Lent"),
                            ("onward-loan", "Lent on by the borrower"),
                            ("retention", "Kept by the borrower"),
                            ("gift", "Given away"),
                            ("exchange", "Exchanged"),
                            ("sampling", "Sampled destructively"),
                            ("extraction", "DNA extracted"),
                            ("sequencing", "Sequenced"),
                            ("imaging", "Imaged"),
                            ("publication", "Published"),
                            ("data", "Data published"),
                            ("exhibition", "Exhibited"),
                            ("teaching", "Used in teaching"),
                            ("commercial", "Used commercially"),
                            ("loss", "Lost or damaged"),
                            ("disposal", "Disposed of"),
                            ("return", "Returned to the provider"),
                        ],
                        max_length=12,
                        verbose_name="what was done",
                    ),
                ),
                (
                    "use",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        choices=[
                            (0, "Study on the spot"),
                            (1, "Loan at home"),
                            (2, "Loan abroad"),
                            (3, "Onward loan"),
                            (4, "Retention by the borrower"),
                            (5, "Gift or exchange"),
                            (6, "Destructive sampling"),
                            (7, "DNA for identification"),
                            (8, "Sequencing"),
                            (9, "Publishing sequences"),
                            (10, "Imaging"),
                            (11, "Publishing images"),
                            (12, "Publishing exact localities"),
                            (13, "Exhibition"),
                            (14, "Teaching"),
                            (15, "Commercial use"),
                            (16, "Disposal"),
                            (17, "Return to the provider"),
                        ],
                        null=True,
                        verbose_name="kind of use",
                    ),
                ),
                ("title", models.CharField(blank=True, max_length=300, verbose_name="in words")),
                ("on", models.DateField(verbose_name="on")),
                ("until_on", models.DateField(blank=True, null=True, verbose_name="until")),
                ("due_on", models.DateField(blank=True, null=True, verbose_name="due back on")),
                ("citation", models.TextField(blank=True, verbose_name="citation")),
                ("doi", models.CharField(blank=True, max_length=300, verbose_name="DOI")),
                (
                    "acknowledged",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not looked at"), ("yes", "Yes"), ("no", "No")],
                        max_length=3,
                        verbose_name="source acknowledged as the papers ask",
                    ),
                ),
                (
                    "commercial",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="commercial",
                    ),
                ),
                (
                    "identification_only",
                    models.CharField(
                        blank=True,
                        choices=[("", "Not told"), ("yes", "Yes"), ("no", "No")],
                        default="",
                        max_length=3,
                        verbose_name="for identification only",
                    ),
                ),
                ("parts", models.CharField(blank=True, max_length=200, verbose_name="parts that were taken")),
                ("note", models.TextField(blank=True, verbose_name="note")),
                (
                    "answer",
                    models.PositiveSmallIntegerField(
                        choices=[
                            (0, "Allowed"),
                            (1, "Allowed with duties"),
                            (2, "Ask the provider first"),
                            (3, "Terms silent"),
                            (4, "Not known"),
                            (5, "Not allowed"),
                        ],
                        editable=False,
                        null=True,
                        verbose_name="answer of the desk",
                    ),
                ),
                ("is_outside", models.BooleanField(default=False, editable=False, verbose_name="outside the terms")),
                ("recorded_at", models.DateTimeField(blank=True, editable=False)),
                ("voided_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("voided_why", models.CharField(blank=True, editable=False, max_length=200)),
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
                    "recorded_by",
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
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="scans.scan",
                    ),
                ),
                (
                    "voided_by",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
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
                        to="usedesk.madeuse",
                    ),
                ),
                (
                    "recipient",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.recipient",
                        verbose_name="by or to",
                    ),
                ),
                (
                    "request",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.userequest",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical use that was made",
                "verbose_name_plural": "historical uses that were made",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
    ]
