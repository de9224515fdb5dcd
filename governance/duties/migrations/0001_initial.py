import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("material", "0004_pool_member"),
        ("papers", "0005_terms_of_use"),
        ("people", "__first__"),
        ("plans", "0001_initial"),
        ("scans", "0002_words_index"),
        ("usedesk", "0001_initial"),
    ]

    operations = [
        migrations.CreateModel(
            name="BenefitPromise",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "code",
                    models.CharField(help_text="Nagoya Protocol, Annex", max_length=3, verbose_name="kind of benefit"),
                ),
                ("what", models.CharField(max_length=300, verbose_name="in words")),
                ("beneficiary", models.CharField(blank=True, max_length=300, verbose_name="for whom")),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                (
                    "amount",
                    models.DecimalField(blank=True, decimal_places=2, max_digits=14, null=True, verbose_name="amount"),
                ),
                (
                    "currency",
                    models.CharField(
                        blank=True, help_text="ISO 4217, such as EUR", max_length=3, verbose_name="currency"
                    ),
                ),
                (
                    "quantity",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=12, null=True, verbose_name="quantity"
                    ),
                ),
                (
                    "unit",
                    models.CharField(
                        blank=True, help_text="Such as days, copies, people", max_length=60, verbose_name="of what"
                    ),
                ),
                ("note", models.TextField(blank=True, verbose_name="note")),
                ("clause", models.TextField(blank=True, verbose_name="clause, in the words of the paper")),
                ("clause_number", models.CharField(blank=True, max_length=40, verbose_name="clause number")),
                ("page", models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="page")),
                ("is_deposit", models.BooleanField(default=False, verbose_name="a deposit of material")),
                (
                    "share_percent",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=5, null=True, verbose_name="share of the material (%)"
                    ),
                ),
                ("due_on", models.DateField(blank=True, null=True, verbose_name="by")),
                ("closed_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("closed_why", models.CharField(blank=True, editable=False, max_length=300)),
                (
                    "closed_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="promises_closed",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="benefit_promises",
                        to="papers.paper",
                        verbose_name="paper",
                    ),
                ),
            ],
            options={
                "verbose_name": "promised benefit",
                "verbose_name_plural": "promised benefits",
                "ordering": [models.OrderBy(models.F("due_on"), nulls_last=True), "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("code__regex", "^(M-[a-j]|N-[a-q])$")),
                        name="benefitpromise_code_known",
                        violation_error_message="A benefit is M-a to M-j or N-a to N-q (Nagoya Protocol, Annex).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("what", ""), _negated=True), name="benefitpromise_says_what"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("country", ""), ("country__regex", "^[A-Z]{2}$"), _connector="OR"),
                        name="benefitpromise_country_form",
                        violation_error_message="A country is two capital letters (ISO 3166-1).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                models.Q(("amount__isnull", True), ("currency", "")),
                                models.Q(("amount__isnull", False), ("currency__regex", "^[A-Z]{3}$")),
                                _connector="OR",
                            ),
                            models.Q(("amount__isnull", True), ("amount__gt", 0), _connector="OR"),
                        ),
                        name="benefitpromise_amount_with_currency",
                        violation_error_message="An amount is above 0 and has a currency of three capital letters.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                models.Q(("quantity__isnull", True), ("unit", "")),
                                models.Q(("quantity__isnull", False), models.Q(("unit", ""), _negated=True)),
                                _connector="OR",
                            ),
                            models.Q(("quantity__isnull", True), ("quantity__gt", 0), _connector="OR"),
                        ),
                        name="benefitpromise_quantity_with_unit",
                        violation_error_message="A quantity is above 0, and says of what.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("amount__isnull", True), ("quantity__isnull", True), _connector="OR"),
                        name="benefitpromise_money_or_quantity",
                        violation_error_message="Give an amount or a quantity, not both.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("share_percent__isnull", True),
                            models.Q(("is_deposit", True), ("share_percent__gt", 0), ("share_percent__lte", 100)),
                            _connector="OR",
                        ),
                        name="benefitpromise_share_of_a_deposit",
                        violation_error_message="Only a deposit has a share, above 0 and up to 100 percent.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("page__isnull", True), ("page__gte", 1), _connector="OR"),
                        name="benefitpromise_page_from_one",
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
                        name="benefitpromise_closed_for_a_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="BenefitGiven",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "code",
                    models.CharField(help_text="Nagoya Protocol, Annex", max_length=3, verbose_name="kind of benefit"),
                ),
                ("what", models.CharField(max_length=300, verbose_name="in words")),
                ("beneficiary", models.CharField(blank=True, max_length=300, verbose_name="for whom")),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                (
                    "amount",
                    models.DecimalField(blank=True, decimal_places=2, max_digits=14, null=True, verbose_name="amount"),
                ),
                (
                    "currency",
                    models.CharField(
                        blank=True, help_text="ISO 4217, such as EUR", max_length=3, verbose_name="currency"
                    ),
                ),
                (
                    "quantity",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=12, null=True, verbose_name="quantity"
                    ),
                ),
                (
                    "unit",
                    models.CharField(
                        blank=True, help_text="Such as days, copies, people", max_length=60, verbose_name="of what"
                    ),
                ),
                ("note", models.TextField(blank=True, verbose_name="note")),
                ("on", models.DateField(verbose_name="on")),
                ("until_on", models.DateField(blank=True, null=True, verbose_name="until")),
                (
                    "evidence",
                    models.TextField(
                        help_text="Where the proof is: receipt, letter, list of people", verbose_name="evidence"
                    ),
                ),
                ("recorded_at", models.DateTimeField(auto_now_add=True)),
                ("voided_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("voided_why", models.CharField(blank=True, editable=False, max_length=200)),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="benefits_given",
                        to="papers.paper",
                        verbose_name="paper",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="benefits_recorded",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="benefits_given",
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
                        related_name="benefits_voided",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "promise",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="given",
                        to="duties.benefitpromise",
                        verbose_name="promise that it answers",
                    ),
                ),
            ],
            options={
                "verbose_name": "benefit that was given",
                "verbose_name_plural": "benefits that were given",
                "ordering": ["-on", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("code__regex", "^(M-[a-j]|N-[a-q])$")),
                        name="benefitgiven_code_known",
                        violation_error_message="A benefit is M-a to M-j or N-a to N-q (Nagoya Protocol, Annex).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("what", ""), _negated=True), name="benefitgiven_says_what"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("country", ""), ("country__regex", "^[A-Z]{2}$"), _connector="OR"),
                        name="benefitgiven_country_form",
                        violation_error_message="A country is two capital letters (ISO 3166-1).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                models.Q(("amount__isnull", True), ("currency", "")),
                                models.Q(("amount__isnull", False), ("currency__regex", "^[A-Z]{3}$")),
                                _connector="OR",
                            ),
                            models.Q(("amount__isnull", True), ("amount__gt", 0), _connector="OR"),
                        ),
                        name="benefitgiven_amount_with_currency",
                        violation_error_message="An amount is above 0 and has a currency of three capital letters.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                models.Q(("quantity__isnull", True), ("unit", "")),
                                models.Q(("quantity__isnull", False), models.Q(("unit", ""), _negated=True)),
                                _connector="OR",
                            ),
                            models.Q(("quantity__isnull", True), ("quantity__gt", 0), _connector="OR"),
                        ),
                        name="benefitgiven_quantity_with_unit",
                        violation_error_message="A quantity is above 0, and says of what.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("amount__isnull", True), ("quantity__isnull", True), _connector="OR"),
                        name="benefitgiven_money_or_quantity",
                        violation_error_message="Give an amount or a quantity, not both.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("until_on__isnull", True), ("until_on__gte", models.F("on")), _connector="OR"
                        ),
                        name="benefitgiven_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("evidence", ""), _negated=True),
                        name="benefitgiven_with_evidence",
                        violation_error_message="Say where the proof is.",
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
                        name="benefitgiven_voided_for_a_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="CalendarAddress",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("secret_sha256", models.CharField(max_length=64, unique=True)),
                ("is_all", models.BooleanField(default=False, verbose_name="all duties, not only one's own")),
                ("made_at", models.DateTimeField(auto_now_add=True)),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
                ("read_on", models.DateField(blank=True, help_text="last read by a calendar program", null=True)),
                (
                    "ended_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "made_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "user",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="calendar_addresses",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "address of a calendar",
                "verbose_name_plural": "addresses of calendars",
                "ordering": ["-pk"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("ended_at__isnull", True)),
                        fields=("user",),
                        name="calendaraddress_one_at_a_time",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("ended_at__isnull", True), ("ended_by__isnull", True)),
                            models.Q(("ended_at__isnull", False), ("ended_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="calendaraddress_ended_by",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Deposit",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("country", models.CharField(max_length=2, verbose_name="country")),
                ("depository", models.CharField(max_length=300, verbose_name="where")),
                ("on", models.DateField(verbose_name="on")),
                (
                    "specimens",
                    models.PositiveIntegerField(
                        blank=True, null=True, verbose_name="specimens that were never entered here"
                    ),
                ),
                (
                    "what",
                    models.CharField(
                        blank=True, help_text="Such as holotypes, duplicates", max_length=300, verbose_name="what"
                    ),
                ),
                ("receipt", models.CharField(blank=True, max_length=200, verbose_name="number of the receipt")),
                ("receipt_on", models.DateField(blank=True, null=True, verbose_name="receipt of")),
                ("note", models.TextField(blank=True, verbose_name="note")),
                ("recorded_at", models.DateTimeField(auto_now_add=True)),
                ("voided_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("voided_why", models.CharField(blank=True, editable=False, max_length=200)),
                (
                    "accession",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits",
                        to="material.accession",
                        verbose_name="accession",
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits",
                        to="papers.paper",
                        verbose_name="paper",
                    ),
                ),
                (
                    "promise",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits",
                        to="duties.benefitpromise",
                        verbose_name="promise that it answers",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits_recorded",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits",
                        to="scans.scan",
                    ),
                ),
                (
                    "use",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposit",
                        to="usedesk.madeuse",
                        verbose_name="entry of uses",
                    ),
                ),
                (
                    "voided_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits_voided",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "deposit in the country",
                "verbose_name_plural": "deposits in the country",
                "ordering": ["-on", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("country__regex", "^[A-Z]{2}$")),
                        name="deposit_country_form",
                        violation_error_message="A country is two capital letters (ISO 3166-1).",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("depository", ""), _negated=True),
                        name="deposit_says_where",
                        violation_error_message="Say where it was deposited.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("specimens__isnull", True), ("use__isnull", False)),
                            models.Q(("specimens__gt", 0), ("specimens__isnull", False), ("use__isnull", True)),
                            _connector="OR",
                        ),
                        name="deposit_counted_once",
                        violation_error_message="Name the entry of uses, or how many specimens were never entered here.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("receipt_on__isnull", True),
                            models.Q(("receipt_on__gte", models.F("on")), models.Q(("receipt", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="deposit_receipt_whole",
                        violation_error_message="A receipt has a number, and is not of a day before the deposit.",
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
                        name="deposit_voided_for_a_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DutyHouse",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "follow_from",
                    models.DateField(
                        help_text="What was due before this day is not known here", verbose_name="followed from"
                    ),
                ),
                (
                    "ahead_days",
                    models.PositiveSmallIntegerField(default=30, verbose_name="due from so many days before"),
                ),
            ],
            options={
                "verbose_name": "how duties are followed",
                "verbose_name_plural": "how duties are followed",
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("id", 1)), name="dutyhouse_one_row"),
                    models.CheckConstraint(
                        condition=models.Q(("ahead_days__lte", 366)),
                        name="dutyhouse_ahead",
                        violation_error_message="At most 366 days before.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DutyRule",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("report", "Send a report"),
                            ("return", "Send a return of numbers taken"),
                            ("notice", "Give notice"),
                            ("deposit", "Deposit material"),
                            ("copy", "Send a publication"),
                            ("payment", "Pay"),
                            ("training", "Train or include partners"),
                            ("records", "Send records or data"),
                            ("site", "Restore the site, take traps away"),
                            ("paper", "Give back, renew or close the paper"),
                            ("benefit", "Share a benefit"),
                            ("other", "Something else"),
                        ],
                        max_length=10,
                        verbose_name="what is to be done",
                    ),
                ),
                ("what", models.CharField(max_length=300, verbose_name="in words")),
                ("to_whom", models.CharField(blank=True, max_length=300, verbose_name="to whom")),
                ("clause", models.TextField(blank=True, verbose_name="clause, in the words of the paper")),
                ("clause_number", models.CharField(blank=True, max_length=40, verbose_name="clause number")),
                ("page", models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="page")),
                (
                    "when",
                    models.CharField(
                        choices=[
                            ("each-year", "by a day each year"),
                            ("twice-a-year", "after each half-year"),
                            ("each-quarter", "after each quarter"),
                            ("after-issue", "after the issue"),
                            ("after-expiry", "after the last day of validity"),
                            ("after-collection", "after each day of collecting"),
                            ("after-last-field-day", "after the last day in the field"),
                            ("after-publication", "after each publication"),
                            ("after-use", "after each use"),
                            ("before-entry", "before the first day in the field"),
                            ("before-leaving", "before leaving"),
                            ("on-a-day", "once, by a day"),
                        ],
                        max_length=20,
                        verbose_name="when",
                    ),
                ),
                (
                    "month_day",
                    models.CharField(
                        blank=True, help_text="MM-DD, such as 01-31", max_length=5, verbose_name="day of each year"
                    ),
                ),
                ("number", models.PositiveSmallIntegerField(default=0, verbose_name="how long after or before")),
                (
                    "unit",
                    models.CharField(
                        choices=[("days", "days"), ("months", "months"), ("years", "years")],
                        default="days",
                        max_length=6,
                        verbose_name="unit",
                    ),
                ),
                ("on", models.DateField(blank=True, null=True, verbose_name="on")),
                (
                    "about",
                    models.CharField(
                        blank=True,
                        choices=[
                            (
                                "",
                                "By custom: due by June, the calendar year before; later, the twelve months up to the day",
                            ),
                            ("year-before", "The calendar year before"),
                            ("up-to-the-day", "The twelve months up to the day"),
                        ],
                        default="",
                        max_length=15,
                        verbose_name="the time it is about",
                    ),
                ),
                (
                    "deeds",
                    models.JSONField(blank=True, default=list, help_text="None: every use", verbose_name="which uses"),
                ),
                (
                    "if_nothing",
                    models.BooleanField(default=True, verbose_name="also where nothing was taken (nil return)"),
                ),
                ("held_from", models.DateField(blank=True, null=True, verbose_name="asked since")),
                ("held_to", models.DateField(blank=True, null=True, verbose_name="asked until")),
                ("ended_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("ended_why", models.CharField(blank=True, editable=False, max_length=200)),
                (
                    "assignee",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duty_rules",
                        to=settings.AUTH_USER_MODEL,
                        verbose_name="who sees to it",
                    ),
                ),
                (
                    "ended_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duty_rules_ended",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duty_rules",
                        to="papers.paper",
                        verbose_name="paper",
                    ),
                ),
            ],
            options={
                "verbose_name": "rule of a duty",
                "verbose_name_plural": "rules of duties",
                "ordering": ["paper__reference", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("what", ""), _negated=True),
                        name="dutyrule_says_what",
                        violation_error_message="Say what is to be done.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("about__in", ["", "year-before", "up-to-the-day"]),
                            (
                                "kind__in",
                                [
                                    "report",
                                    "return",
                                    "notice",
                                    "deposit",
                                    "copy",
                                    "payment",
                                    "training",
                                    "records",
                                    "site",
                                    "paper",
                                    "benefit",
                                    "other",
                                ],
                            ),
                            ("unit__in", ["days", "months", "years"]),
                            (
                                "when__in",
                                [
                                    "each-year",
                                    "twice-a-year",
                                    "each-quarter",
                                    "after-issue",
                                    "after-expiry",
                                    "after-collection",
                                    "after-last-field-day",
                                    "after-publication",
                                    "after-use",
                                    "before-entry",
                                    "before-leaving",
                                    "on-a-day",
                                ],
                            ),
                        ),
                        name="dutyrule_words_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("month_day__regex", "^(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$"),
                                ("when", "each-year"),
                            ),
                            models.Q(models.Q(("when", "each-year"), _negated=True), ("month_day", "")),
                            _connector="OR",
                        ),
                        name="dutyrule_day_of_each_year",
                        violation_error_message="A duty each year, and no other, has a month and a day, such as 01-31.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("on__isnull", False), ("when", "on-a-day")),
                            models.Q(models.Q(("when", "on-a-day"), _negated=True), ("on__isnull", True)),
                            _connector="OR",
                        ),
                        name="dutyrule_day_of_once",
                        violation_error_message="A duty on one day, and no other, has that day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("paper__isnull", False),
                            ("when__in", ["each-year", "twice-a-year", "each-quarter", "on-a-day"]),
                            _connector="OR",
                        ),
                        name="dutyrule_counted_from_a_paper",
                        violation_error_message="Without a paper only days of the calendar are known.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("held_from__isnull", True),
                            ("held_to__isnull", True),
                            ("held_to__gte", models.F("held_from")),
                            _connector="OR",
                        ),
                        name="dutyrule_period",
                        violation_error_message="The last day is before the first day.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("page__isnull", True), ("page__gte", 1), _connector="OR"),
                        name="dutyrule_page_from_one",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("ended_at__isnull", True), ("ended_by__isnull", True), ("ended_why", "")),
                            models.Q(
                                ("ended_at__isnull", False),
                                ("ended_by__isnull", False),
                                models.Q(("ended_why", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="dutyrule_ended_for_a_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Duty",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("source", models.CharField(max_length=60)),
                ("occurrence", models.CharField(max_length=120)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("report", "Send a report"),
                            ("return", "Send a return of numbers taken"),
                            ("notice", "Give notice"),
                            ("deposit", "Deposit material"),
                            ("copy", "Send a publication"),
                            ("payment", "Pay"),
                            ("training", "Train or include partners"),
                            ("records", "Send records or data"),
                            ("site", "Restore the site, take traps away"),
                            ("paper", "Give back, renew or close the paper"),
                            ("benefit", "Share a benefit"),
                            ("other", "Something else"),
                        ],
                        max_length=10,
                        verbose_name="what is to be done",
                    ),
                ),
                ("what", models.TextField(verbose_name="in words")),
                ("to_whom", models.CharField(blank=True, max_length=300, verbose_name="to whom")),
                ("label", models.CharField(blank=True, max_length=300)),
                ("due_on", models.DateField(blank=True, null=True, verbose_name="due on")),
                ("counted_from", models.DateField(blank=True, null=True)),
                ("about_from", models.DateField(blank=True, null=True, verbose_name="about the time from")),
                ("about_to", models.DateField(blank=True, null=True, verbose_name="to")),
                ("because", models.JSONField(default=dict)),
                ("moved_why", models.CharField(blank=True, max_length=300)),
                ("note", models.TextField(blank=True, verbose_name="note")),
                ("done_on", models.DateField(blank=True, null=True, verbose_name="done on")),
                ("done_how", models.TextField(blank=True, verbose_name="how, and where the proof is")),
                ("is_nil", models.BooleanField(default=False, verbose_name="nil return: nothing was taken")),
                ("done_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("accepted_on", models.DateField(blank=True, null=True, verbose_name="accepted on")),
                ("accepted_how", models.TextField(blank=True, verbose_name="by whom, and how")),
                ("accepted_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("waived_on", models.DateField(blank=True, null=True, verbose_name="waived on")),
                ("waived_why", models.TextField(blank=True, verbose_name="because")),
                ("waived_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("dropped_on", models.DateField(blank=True, editable=False, null=True)),
                ("dropped_why", models.CharField(blank=True, editable=False, max_length=300)),
                (
                    "accepted_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duties_accepted",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "accepted_scan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duties_accepted",
                        to="scans.scan",
                    ),
                ),
                (
                    "accession",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duties",
                        to="material.accession",
                    ),
                ),
                (
                    "assignee",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duties",
                        to=settings.AUTH_USER_MODEL,
                        verbose_name="who sees to it",
                    ),
                ),
                (
                    "done_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duties_done",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "done_scan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duties_done",
                        to="scans.scan",
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duties",
                        to="papers.paper",
                    ),
                ),
                (
                    "plan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="duties",
                        to="plans.fieldplan",
                    ),
                ),
                (
                    "promise",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duties",
                        to="duties.benefitpromise",
                    ),
                ),
                (
                    "use",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duties_after",
                        to="usedesk.madeuse",
                    ),
                ),
                (
                    "waived_by",
                    models.ForeignKey(
                        blank=True,
                        editable=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duties_waived",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "rule",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="duties",
                        to="duties.dutyrule",
                    ),
                ),
            ],
            options={
                "verbose_name": "duty",
                "verbose_name_plural": "duties",
                "ordering": [models.OrderBy(models.F("due_on"), nulls_last=True), "pk"],
                "indexes": [models.Index(fields=["due_on", "id"], name="duty_by_day")],
                "constraints": [
                    models.UniqueConstraint(fields=("source", "occurrence"), name="duty_once"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("about_from__isnull", True),
                            ("about_to__isnull", True),
                            ("about_to__gte", models.F("about_from")),
                            _connector="OR",
                        ),
                        name="duty_about_period",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("done_at__isnull", True),
                                ("done_how", ""),
                                ("done_on__isnull", True),
                                ("is_nil", False),
                            ),
                            models.Q(
                                ("done_at__isnull", False),
                                ("done_on__isnull", False),
                                models.Q(("done_how", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="duty_done_with_evidence",
                        violation_error_message="Say how it was done, and where the proof is.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("accepted_at__isnull", True),
                                ("accepted_by__isnull", True),
                                ("accepted_how", ""),
                                ("accepted_on__isnull", True),
                            ),
                            models.Q(
                                ("accepted_at__isnull", False),
                                ("accepted_by__isnull", False),
                                ("accepted_on__gte", models.F("done_on")),
                                ("accepted_on__isnull", False),
                                ("done_on__isnull", False),
                                models.Q(("accepted_how", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="duty_accepted_after_done",
                        violation_error_message="Only what was done is accepted, and not before that day; say by whom.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("waived_at__isnull", True),
                                ("waived_by__isnull", True),
                                ("waived_on__isnull", True),
                                ("waived_why", ""),
                            ),
                            models.Q(
                                ("done_on__isnull", True),
                                ("waived_at__isnull", False),
                                ("waived_by__isnull", False),
                                ("waived_on__isnull", False),
                                models.Q(("waived_why", ""), _negated=True),
                            ),
                            _connector="OR",
                        ),
                        name="duty_waived_for_a_reason",
                        violation_error_message="Say why it is waived; what was done cannot be waived.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("dropped_on__isnull", True), ("dropped_why", "")),
                            models.Q(("dropped_on__isnull", False), models.Q(("dropped_why", ""), _negated=True)),
                            _connector="OR",
                        ),
                        name="duty_dropped_for_a_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="DutyRun",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("at", models.DateTimeField(auto_now_add=True)),
                ("why", models.CharField(max_length=200)),
                ("mark", models.CharField(help_text="SHA-256 of what the duties were worked out from", max_length=64)),
                ("made", models.PositiveIntegerField(default=0)),
                ("moved", models.PositiveIntegerField(default=0)),
                ("dropped", models.PositiveIntegerField(default=0)),
                (
                    "by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="duty_runs",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "run over the duties",
                "verbose_name_plural": "runs over the duties",
                "ordering": ["-pk"],
            },
        ),
        migrations.CreateModel(
            name="HistoricalBenefitGiven",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "code",
                    models.CharField(help_text="Nagoya Protocol, Annex", max_length=3, verbose_name="kind of benefit"),
                ),
                ("what", models.CharField(max_length=300, verbose_name="in words")),
                ("beneficiary", models.CharField(blank=True, max_length=300, verbose_name="for whom")),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                (
                    "amount",
                    models.DecimalField(blank=True, decimal_places=2, max_digits=14, null=True, verbose_name="amount"),
                ),
                (
                    "currency",
                    models.CharField(
                        blank=True, help_text="ISO 4217, such as EUR", max_length=3, verbose_name="currency"
                    ),
                ),
                (
                    "quantity",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=12, null=True, verbose_name="quantity"
                    ),
                ),
                (
                    "unit",
                    models.CharField(
                        blank=True, help_text="Such as days, copies, people", max_length=60, verbose_name="of what"
                    ),
                ),
                ("note", models.TextField(blank=True, verbose_name="note")),
                ("on", models.DateField(verbose_name="on")),
                ("until_on", models.DateField(blank=True, null=True, verbose_name="until")),
                (
                    "evidence",
                    models.TextField(
                        help_text="Where the proof is: receipt, letter, list of people", verbose_name="evidence"
                    ),
                ),
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
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paper",
                        verbose_name="paper",
                    ),
                ),
                (
                    "promise",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="duties.benefitpromise",
                        verbose_name="promise that it answers",
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
            ],
            options={
                "verbose_name": "historical benefit that was given",
                "verbose_name_plural": "historical benefits that were given",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalBenefitPromise",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "code",
                    models.CharField(help_text="Nagoya Protocol, Annex", max_length=3, verbose_name="kind of benefit"),
                ),
                ("what", models.CharField(max_length=300, verbose_name="in words")),
                ("beneficiary", models.CharField(blank=True, max_length=300, verbose_name="for whom")),
                ("country", models.CharField(blank=True, max_length=2, verbose_name="country")),
                (
                    "amount",
                    models.DecimalField(blank=True, decimal_places=2, max_digits=14, null=True, verbose_name="amount"),
                ),
                (
                    "currency",
                    models.CharField(
                        blank=True, help_text="ISO 4217, such as EUR", max_length=3, verbose_name="currency"
                    ),
                ),
                (
                    "quantity",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=12, null=True, verbose_name="quantity"
                    ),
                ),
                (
                    "unit",
                    models.CharField(
                        blank=True, help_text="Such as days, copies, people", max_length=60, verbose_name="of what"
                    ),
                ),
                ("note", models.TextField(blank=True, verbose_name="note")),
                ("clause", models.TextField(blank=True, verbose_name="clause, in the words of the paper")),
                ("clause_number", models.CharField(blank=True, max_length=40, verbose_name="clause number")),
                ("page", models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="page")),
                ("is_deposit", models.BooleanField(default=False, verbose_name="a deposit of material")),
                (
                    "share_percent",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=5, null=True, verbose_name="share of the material (%)"
                    ),
                ),
                ("due_on", models.DateField(blank=True, null=True, verbose_name="by")),
                ("closed_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("closed_why", models.CharField(blank=True, editable=False, max_length=300)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
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
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paper",
                        verbose_name="paper",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical promised benefit",
                "verbose_name_plural": "historical promised benefits",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalDeposit",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("country", models.CharField(max_length=2, verbose_name="country")),
                ("depository", models.CharField(max_length=300, verbose_name="where")),
                ("on", models.DateField(verbose_name="on")),
                (
                    "specimens",
                    models.PositiveIntegerField(
                        blank=True, null=True, verbose_name="specimens that were never entered here"
                    ),
                ),
                (
                    "what",
                    models.CharField(
                        blank=True, help_text="Such as holotypes, duplicates", max_length=300, verbose_name="what"
                    ),
                ),
                ("receipt", models.CharField(blank=True, max_length=200, verbose_name="number of the receipt")),
                ("receipt_on", models.DateField(blank=True, null=True, verbose_name="receipt of")),
                ("note", models.TextField(blank=True, verbose_name="note")),
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
                    "accession",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="material.accession",
                        verbose_name="accession",
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
                        verbose_name="paper",
                    ),
                ),
                (
                    "promise",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="duties.benefitpromise",
                        verbose_name="promise that it answers",
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
                    "use",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="usedesk.madeuse",
                        verbose_name="entry of uses",
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
            ],
            options={
                "verbose_name": "historical deposit in the country",
                "verbose_name_plural": "historical deposits in the country",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalDuty",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("source", models.CharField(max_length=60)),
                ("occurrence", models.CharField(max_length=120)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("report", "Send a report"),
                            ("return", "Send a return of numbers taken"),
                            ("notice", "Give notice"),
                            ("deposit", "Deposit material"),
                            ("copy", "Send a publication"),
                            ("payment", "Pay"),
                            ("training", "Train or include partners"),
                            ("records", "Send records or data"),
                            ("site", "Restore the site, take traps away"),
                            ("paper", "Give back, renew or close the paper"),
                            ("benefit", "Share a benefit"),
                            ("other", "Something else"),
                        ],
                        max_length=10,
                        verbose_name="what is to be done",
                    ),
                ),
                ("what", models.TextField(verbose_name="in words")),
                ("to_whom", models.CharField(blank=True, max_length=300, verbose_name="to whom")),
                ("label", models.CharField(blank=True, max_length=300)),
                ("due_on", models.DateField(blank=True, null=True, verbose_name="due on")),
                ("counted_from", models.DateField(blank=True, null=True)),
                ("about_from", models.DateField(blank=True, null=True, verbose_name="about the time from")),
                ("about_to", models.DateField(blank=True, null=True, verbose_name="to")),
                ("because", models.JSONField(default=dict)),
                ("moved_why", models.CharField(blank=True, max_length=300)),
                ("note", models.TextField(blank=True, verbose_name="note")),
                ("done_on", models.DateField(blank=True, null=True, verbose_name="done on")),
                ("done_how", models.TextField(blank=True, verbose_name="how, and where the proof is")),
                ("is_nil", models.BooleanField(default=False, verbose_name="nil return: nothing was taken")),
                ("done_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("accepted_on", models.DateField(blank=True, null=True, verbose_name="accepted on")),
                ("accepted_how", models.TextField(blank=True, verbose_name="by whom, and how")),
                ("accepted_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("waived_on", models.DateField(blank=True, null=True, verbose_name="waived on")),
                ("waived_why", models.TextField(blank=True, verbose_name="because")),
                ("waived_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("dropped_on", models.DateField(blank=True, editable=False, null=True)),
                ("dropped_why", models.CharField(blank=True, editable=False, max_length=300)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "accepted_by",
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
                    "accepted_scan",
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
                    "assignee",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                        verbose_name="who sees to it",
                    ),
                ),
                (
                    "done_by",
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
                    "done_scan",
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
                    "plan",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="plans.fieldplan",
                    ),
                ),
                (
                    "promise",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="duties.benefitpromise",
                    ),
                ),
                (
                    "rule",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="duties.dutyrule",
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
                    "waived_by",
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
            ],
            options={
                "verbose_name": "historical duty",
                "verbose_name_plural": "historical duties",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalDutyHouse",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "follow_from",
                    models.DateField(
                        help_text="What was due before this day is not known here", verbose_name="followed from"
                    ),
                ),
                (
                    "ahead_days",
                    models.PositiveSmallIntegerField(default=30, verbose_name="due from so many days before"),
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
                "verbose_name": "historical how duties are followed",
                "verbose_name_plural": "historical how duties are followed",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalDutyRule",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("report", "Send a report"),
                            ("return", "Send a return of numbers taken"),
                            ("notice", "Give notice"),
                            ("deposit", "Deposit material"),
                            ("copy", "Send a publication"),
                            ("payment", "Pay"),
                            ("training", "Train or include partners"),
                            ("records", "Send records or data"),
                            ("site", "Restore the site, take traps away"),
                            ("paper", "Give back, renew or close the paper"),
                            ("benefit", "Share a benefit"),
                            ("other", "Something else"),
                        ],
                        max_length=10,
                        verbose_name="what is to be done",
                    ),
                ),
                ("what", models.CharField(max_length=300, verbose_name="in words")),
                ("to_whom", models.CharField(blank=True, max_length=300, verbose_name="to whom")),
                ("clause", models.TextField(blank=True, verbose_name="clause, in the words of the paper")),
                ("clause_number", models.CharField(blank=True, max_length=40, verbose_name="clause number")),
                ("page", models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="page")),
                (
                    "when",
                    models.CharField(
                        choices=[
                            ("each-year", "by a day each year"),
                            ("twice-a-year", "after each half-year"),
                            ("each-quarter", "after each quarter"),
                            ("after-issue", "after the issue"),
                            ("after-expiry", "after the last day of validity"),
                            ("after-collection", "after each day of collecting"),
                            ("after-last-field-day", "after the last day in the field"),
                            ("after-publication", "after each publication"),
                            ("after-use", "after each use"),
                            ("before-entry", "before the first day in the field"),
                            ("before-leaving", "before leaving"),
                            ("on-a-day", "once, by a day"),
                        ],
                        max_length=20,
                        verbose_name="when",
                    ),
                ),
                (
                    "month_day",
                    models.CharField(
                        blank=True, help_text="MM-DD, such as 01-31", max_length=5, verbose_name="day of each year"
                    ),
                ),
                ("number", models.PositiveSmallIntegerField(default=0, verbose_name="how long after or before")),
                (
                    "unit",
                    models.CharField(
                        choices=[("days", "days"), ("months", "months"), ("years", "years")],
                        default="days",
                        max_length=6,
                        verbose_name="unit",
                    ),
                ),
                ("on", models.DateField(blank=True, null=True, verbose_name="on")),
                (
                    "about",
                    models.CharField(
                        blank=True,
                        choices=[
                            (
                                "",
                                "By custom: due by June, the calendar year before; later, the twelve months up to the day",
                            ),
                            ("year-before", "The calendar year before"),
                            ("up-to-the-day", "The twelve months up to the day"),
                        ],
                        default="",
                        max_length=15,
                        verbose_name="the time it is about",
                    ),
                ),
                (
                    "deeds",
                    models.JSONField(blank=True, default=list, help_text="None: every use", verbose_name="which uses"),
                ),
                (
                    "if_nothing",
                    models.BooleanField(default=True, verbose_name="also where nothing was taken (nil return)"),
                ),
                ("held_from", models.DateField(blank=True, null=True, verbose_name="asked since")),
                ("held_to", models.DateField(blank=True, null=True, verbose_name="asked until")),
                ("ended_at", models.DateTimeField(blank=True, editable=False, null=True)),
                ("ended_why", models.CharField(blank=True, editable=False, max_length=200)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "assignee",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                        verbose_name="who sees to it",
                    ),
                ),
                (
                    "ended_by",
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
                    "paper",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="papers.paper",
                        verbose_name="paper",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical rule of a duty",
                "verbose_name_plural": "historical rules of duties",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalReminderWish",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "wish",
                    models.CharField(
                        choices=[
                            ("own", "My duties, and those nobody sees to"),
                            ("all", "All duties"),
                            ("none", "Nothing"),
                        ],
                        default="own",
                        max_length=4,
                        verbose_name="daily digest",
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
                    "user",
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
                "verbose_name": "historical wish for reminders",
                "verbose_name_plural": "historical wishes for reminders",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="ReminderSent",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("on", models.DateField()),
                ("duties", models.PositiveIntegerField()),
                (
                    "user",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="reminders_sent",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "digest that was sent",
                "verbose_name_plural": "digests that were sent",
                "ordering": ["-on", "user"],
                "constraints": [models.UniqueConstraint(fields=("user", "on"), name="remindersent_once_a_day")],
            },
        ),
        migrations.CreateModel(
            name="ReminderWish",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "wish",
                    models.CharField(
                        choices=[
                            ("own", "My duties, and those nobody sees to"),
                            ("all", "All duties"),
                            ("none", "Nothing"),
                        ],
                        default="own",
                        max_length=4,
                        verbose_name="daily digest",
                    ),
                ),
                (
                    "user",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="reminder_wish",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "wish for reminders",
                "verbose_name_plural": "wishes for reminders",
                "ordering": ["user"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("wish__in", ["own", "all", "none"])), name="reminderwish_known"
                    )
                ],
            },
        ),
    ]
