import django.db.models.deletion
import simple_history.models
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("papers", "0005_terms_of_use"),
        ("people", "0002_seal"),
        ("people", "__first__"),
        ("scans", "0002_words_index"),
    ]

    operations = [
        migrations.CreateModel(
            name="HistoricalDisposal",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("rule", models.CharField(help_text="the rule as it stood, in words", max_length=400)),
                ("due_on", models.DateField(help_text="the day from which it could be disposed of")),
                ("files", models.JSONField(default=list)),
                ("why", models.TextField(verbose_name="why")),
                ("disposed_at", models.DateTimeField(blank=True, editable=False)),
                ("history_id", models.AutoField(primary_key=True, serialize=False)),
                ("history_date", models.DateTimeField(db_index=True)),
                ("history_change_reason", models.CharField(max_length=100, null=True)),
                (
                    "history_type",
                    models.CharField(choices=[("+", "Created"), ("~", "Changed"), ("-", "Deleted")], max_length=1),
                ),
                (
                    "disposed_by",
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
            ],
            options={
                "verbose_name": "historical disposal",
                "verbose_name_plural": "historical disposals",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalKeepingRule",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("abs", "Papers and terms of access and benefit-sharing"),
                            ("title", "Title: how the institution came to own material"),
                            ("other", "Other papers"),
                            ("person", "Data of a private person"),
                        ],
                        db_index=True,
                        max_length=10,
                        verbose_name="records",
                    ),
                ),
                (
                    "years",
                    models.PositiveSmallIntegerField(
                        blank=True, help_text="blank: for ever", null=True, verbose_name="years"
                    ),
                ),
                ("source", models.CharField(max_length=300, verbose_name="source")),
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
                "verbose_name": "historical rule of keeping",
                "verbose_name_plural": "historical rules of keeping",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalKeptHead",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("number", models.BigIntegerField(verbose_name="entry")),
                ("sha256", models.CharField(max_length=64)),
                ("where", models.CharField(max_length=300, verbose_name="kept where")),
                ("kept_at", models.DateTimeField(blank=True, editable=False)),
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
                    "kept_by",
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
                "verbose_name": "historical kept head of the seal",
                "verbose_name_plural": "historical kept heads of the seal",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalMinimisation",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("rule", models.CharField(help_text="the rule as it stood, in words", max_length=400)),
                ("why", models.TextField(verbose_name="why")),
                ("changes", models.PositiveIntegerField(default=0)),
                ("minimised_at", models.DateTimeField(blank=True, editable=False)),
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
                    "minimised_by",
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
                "verbose_name": "historical minimisation of a person's data",
                "verbose_name_plural": "historical minimisations of persons' data",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalSavedQuestion",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("title", models.CharField(max_length=200, verbose_name="title")),
                ("ready", models.CharField(blank=True, max_length=60)),
                ("values", models.JSONField(blank=True, default=dict)),
                ("composed", models.JSONField(blank=True, default=dict)),
                ("is_shared", models.BooleanField(default=False, verbose_name="everybody sees it")),
                (
                    "schedule",
                    models.CharField(
                        choices=[
                            ("none", "Only when somebody asks"),
                            ("daily", "Every day"),
                            ("weekly", "Every Monday"),
                            ("monthly", "On the first of the month"),
                        ],
                        default="none",
                        max_length=10,
                        verbose_name="asked again",
                    ),
                ),
                ("saved_at", models.DateTimeField(blank=True, editable=False)),
                ("removed_at", models.DateTimeField(blank=True, null=True)),
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
                    "owner",
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
                    "removed_by",
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
                    "saved_by",
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
                "verbose_name": "historical saved question",
                "verbose_name_plural": "historical saved questions",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="HistoricalUtilisationEnd",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("ended_on", models.DateField(verbose_name="ended on")),
                ("evidence", models.TextField(verbose_name="what shows it")),
                ("recorded_at", models.DateTimeField(blank=True, editable=False)),
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
                "verbose_name": "historical end of utilisation",
                "verbose_name_plural": "historical ends of utilisation",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="KeepingRule",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("abs", "Papers and terms of access and benefit-sharing"),
                            ("title", "Title: how the institution came to own material"),
                            ("other", "Other papers"),
                            ("person", "Data of a private person"),
                        ],
                        max_length=10,
                        unique=True,
                        verbose_name="records",
                    ),
                ),
                (
                    "years",
                    models.PositiveSmallIntegerField(
                        blank=True, help_text="blank: for ever", null=True, verbose_name="years"
                    ),
                ),
                ("source", models.CharField(max_length=300, verbose_name="source")),
            ],
            options={
                "verbose_name": "rule of keeping",
                "verbose_name_plural": "rules of keeping",
                "ordering": ["kind"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("kind__in", ["abs", "title", "other", "person"])),
                        name="keepingrule_kind_known",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("source", ""), _negated=True),
                        name="keepingrule_sourced",
                        violation_error_message="Say where the number comes from: a law, an agreement, a house policy.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("kind", "title"), _negated=True), ("years__isnull", True), _connector="OR"
                        ),
                        name="keepingrule_title_for_ever",
                        violation_error_message="Records of title are kept for ever.",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="SavedQuestion",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("title", models.CharField(max_length=200, verbose_name="title")),
                ("ready", models.CharField(blank=True, max_length=60)),
                ("values", models.JSONField(blank=True, default=dict)),
                ("composed", models.JSONField(blank=True, default=dict)),
                ("is_shared", models.BooleanField(default=False, verbose_name="everybody sees it")),
                (
                    "schedule",
                    models.CharField(
                        choices=[
                            ("none", "Only when somebody asks"),
                            ("daily", "Every day"),
                            ("weekly", "Every Monday"),
                            ("monthly", "On the first of the month"),
                        ],
                        default="none",
                        max_length=10,
                        verbose_name="asked again",
                    ),
                ),
                ("saved_at", models.DateTimeField(auto_now_add=True)),
                ("removed_at", models.DateTimeField(blank=True, null=True)),
                (
                    "owner",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="saved_questions",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "removed_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "saved_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "verbose_name": "saved question",
                "verbose_name_plural": "saved questions",
                "ordering": ["title", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("title", ""), _negated=True),
                        name="savedquestion_titled",
                        violation_error_message="Give it a title.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("schedule__in", ["none", "daily", "weekly", "monthly"])),
                        name="savedquestion_schedule_known",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("removed_at__isnull", True)),
                        fields=("owner", "title"),
                        name="savedquestion_title_once",
                        violation_error_message="You have saved another question under this title.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("removed_at__isnull", True), ("removed_by__isnull", True)),
                            models.Q(("removed_at__isnull", False), ("removed_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="savedquestion_removal_whole",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalFollower",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("is_on_today", models.BooleanField(default=True, verbose_name="show its number on Today")),
                (
                    "is_mailed",
                    models.BooleanField(default=False, verbose_name="send an e-mail when its answer changes"),
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
                (
                    "question",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to="audit.savedquestion",
                    ),
                ),
            ],
            options={
                "verbose_name": "historical follower of a question",
                "verbose_name_plural": "historical followers of questions",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="Follower",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("is_on_today", models.BooleanField(default=True, verbose_name="show its number on Today")),
                (
                    "is_mailed",
                    models.BooleanField(default=False, verbose_name="send an e-mail when its answer changes"),
                ),
                ("told_up_to", models.BigIntegerField(default=0, editable=False)),
                (
                    "user",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="followed_questions",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "question",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="followers", to="audit.savedquestion"
                    ),
                ),
            ],
            options={
                "verbose_name": "follower of a question",
                "verbose_name_plural": "followers of questions",
                "ordering": ["question", "user"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("question", "user"),
                        name="follower_once",
                        violation_error_message="You follow this question already.",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="AnswerTaken",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("role", models.CharField(max_length=20)),
                ("asked_at", models.DateTimeField()),
                ("count", models.PositiveIntegerField()),
                ("sentence", models.TextField()),
                ("rows_sha256", models.CharField(max_length=64)),
                ("changed", models.BooleanField(default=False)),
                ("problem", models.TextField(blank=True, help_text="why it could not be answered")),
                (
                    "asked_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "question",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="answers", to="audit.savedquestion"
                    ),
                ),
            ],
            options={
                "verbose_name": "answer that was taken",
                "verbose_name_plural": "answers that were taken",
                "ordering": ["-asked_at", "-pk"],
                "indexes": [models.Index(fields=["question", "role", "-asked_at"], name="answertaken_newest")],
            },
        ),
        migrations.CreateModel(
            name="EvidenceBundle",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("of", models.CharField(max_length=200)),
                ("values", models.JSONField(default=dict)),
                ("title", models.CharField(max_length=300)),
                ("role", models.CharField(max_length=20)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "Waiting"),
                            ("running", "Being made"),
                            ("done", "Made"),
                            ("failed", "Stopped by an error"),
                        ],
                        default="waiting",
                        max_length=10,
                    ),
                ),
                ("step", models.CharField(blank=True, max_length=200)),
                ("done", models.PositiveIntegerField(default=0)),
                ("total", models.PositiveIntegerField(default=0)),
                ("sign_at", models.DateTimeField(help_text="newest sign of life")),
                ("stored_name", models.CharField(blank=True, max_length=100)),
                ("size_bytes", models.PositiveBigIntegerField(default=0)),
                ("papers", models.JSONField(default=list)),
                ("scans", models.JSONField(default=list)),
                ("asked_at", models.DateTimeField(auto_now_add=True)),
                (
                    "asked_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="evidence_bundles",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "evidence file",
                "verbose_name_plural": "evidence files",
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["waiting", "running", "done", "failed"])),
                        name="evidencebundle_state_known",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SealCheck",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.BigIntegerField(help_text="the last entry that was checked")),
                ("sha256", models.CharField(max_length=64)),
                ("entries", models.BigIntegerField()),
                ("files", models.PositiveIntegerField(default=0)),
                ("problems", models.JSONField(default=list, help_text="what was found, in words, the first hundred")),
                ("problem_count", models.PositiveIntegerField(default=0)),
                ("seconds", models.FloatField()),
                ("checked_at", models.DateTimeField(auto_now_add=True)),
                (
                    "checked_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "check of the seal",
                "verbose_name_plural": "checks of the seal",
                "ordering": ["-pk"],
            },
        ),
        migrations.CreateModel(
            name="UtilisationEnd",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("ended_on", models.DateField(verbose_name="ended on")),
                ("evidence", models.TextField(verbose_name="what shows it")),
                ("recorded_at", models.DateTimeField(auto_now_add=True)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_reason", models.TextField(blank=True)),
                (
                    "paper",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="utilisation_ends", to="papers.paper"
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "end of utilisation",
                "verbose_name_plural": "ends of utilisation",
                "ordering": ["paper", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("evidence", ""), _negated=True),
                        name="utilisationend_evidenced",
                        violation_error_message="Say what shows that utilisation ended.",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("withdrawn_at__isnull", True)),
                        fields=("paper",),
                        name="utilisationend_one_stands",
                        violation_error_message="An end of utilisation stands for this paper already.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by__isnull", True)),
                            models.Q(("withdrawn_at__isnull", False), ("withdrawn_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="utilisationend_withdrawal_whole",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Disposal",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("rule", models.CharField(help_text="the rule as it stood, in words", max_length=400)),
                ("due_on", models.DateField(help_text="the day from which it could be disposed of")),
                ("files", models.JSONField(default=list)),
                ("why", models.TextField(verbose_name="why")),
                ("disposed_at", models.DateTimeField(auto_now_add=True)),
                (
                    "disposed_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="disposals", to="papers.paper"
                    ),
                ),
            ],
            options={
                "verbose_name": "disposal",
                "verbose_name_plural": "disposals",
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("why", ""), _negated=True), name="disposal_reasoned")
                ],
            },
        ),
        migrations.CreateModel(
            name="KeptHead",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.BigIntegerField(verbose_name="entry")),
                ("sha256", models.CharField(max_length=64)),
                ("where", models.CharField(max_length=300, verbose_name="kept where")),
                ("kept_at", models.DateTimeField(auto_now_add=True)),
                (
                    "kept_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "kept head of the seal",
                "verbose_name_plural": "kept heads of the seal",
                "ordering": ["-number", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("where", ""), _negated=True),
                        name="kepthead_somewhere",
                        violation_error_message="Say where it is kept.",
                    ),
                    models.CheckConstraint(condition=models.Q(("number__gt", 0)), name="kepthead_number_positive"),
                    models.CheckConstraint(
                        condition=models.Q(("sha256__regex", "^[0-9a-f]{64}$")), name="kepthead_hash_form"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Minimisation",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("rule", models.CharField(help_text="the rule as it stood, in words", max_length=400)),
                ("why", models.TextField(verbose_name="why")),
                ("changes", models.PositiveIntegerField(default=0)),
                ("minimised_at", models.DateTimeField(auto_now_add=True)),
                (
                    "agent",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to="people.agent"
                    ),
                ),
                (
                    "minimised_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="+", to=settings.AUTH_USER_MODEL
                    ),
                ),
            ],
            options={
                "verbose_name": "minimisation of a person's data",
                "verbose_name_plural": "minimisations of persons' data",
                "ordering": ["-pk"],
                "constraints": [
                    models.CheckConstraint(condition=models.Q(("why", ""), _negated=True), name="minimisation_reasoned")
                ],
            },
        ),
        migrations.CreateModel(
            name="Opening",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("place", models.CharField(max_length=100)),
                ("opened_at", models.DateTimeField(auto_now_add=True)),
                (
                    "opened_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="openings",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "paper",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="openings",
                        to="papers.paper",
                    ),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        null=True, on_delete=django.db.models.deletion.CASCADE, related_name="openings", to="scans.scan"
                    ),
                ),
            ],
            options={
                "verbose_name": "opening of something restricted",
                "verbose_name_plural": "openings of something restricted",
                "ordering": ["-pk"],
                "indexes": [models.Index(fields=["paper", "-opened_at"], name="opening_of_paper")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("paper__isnull", False), ("scan__isnull", False), _connector="OR"),
                        name="opening_of_something",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="HistoricalQualityNote",
            fields=[
                ("id", models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name="ID")),
                ("question", models.CharField(max_length=60)),
                ("row", models.CharField(max_length=200)),
                ("digest", models.CharField(max_length=64)),
                ("said", models.JSONField(default=list)),
                ("why", models.CharField(max_length=300, verbose_name="why it is right as it is")),
                ("noted_at", models.DateTimeField(blank=True, editable=False)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_reason", models.CharField(blank=True, max_length=300)),
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
                    "noted_by",
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
                "verbose_name": "historical note on data quality",
                "verbose_name_plural": "historical notes on data quality",
                "ordering": ("-history_date", "-history_id"),
                "get_latest_by": ("history_date", "history_id"),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.CreateModel(
            name="QualityCount",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("question", models.CharField(max_length=60)),
                ("on", models.DateField()),
                ("count", models.PositiveIntegerField(help_text="without those noted as right")),
                ("noted", models.PositiveIntegerField(default=0, help_text="noted as right")),
            ],
            options={
                "verbose_name": "count of data quality",
                "verbose_name_plural": "counts of data quality",
                "ordering": ["question", "-on"],
                "constraints": [models.UniqueConstraint(fields=("question", "on"), name="qualitycount_once_a_day")],
            },
        ),
        migrations.CreateModel(
            name="QualityNote",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("question", models.CharField(max_length=60)),
                ("row", models.CharField(max_length=200)),
                ("digest", models.CharField(max_length=64)),
                ("said", models.JSONField(default=list)),
                ("why", models.CharField(max_length=300, verbose_name="why it is right as it is")),
                ("noted_at", models.DateTimeField(auto_now_add=True)),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_reason", models.CharField(blank=True, max_length=300)),
                (
                    "noted_by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="quality_notes",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name": "note on data quality",
                "verbose_name_plural": "notes on data quality",
                "ordering": ["question", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("why", ""), _negated=True),
                        name="qualitynote_reasoned",
                        violation_error_message="Say why it is right as it is.",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("digest__regex", "^[0-9a-f]{64}$")), name="qualitynote_digest_form"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("withdrawn_at__isnull", True), ("withdrawn_by__isnull", True)),
                            models.Q(("withdrawn_at__isnull", False), ("withdrawn_by__isnull", False)),
                            _connector="OR",
                        ),
                        name="qualitynote_withdrawal_whole",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("withdrawn_at__isnull", True)),
                        fields=("question", "row"),
                        name="qualitynote_one_stands",
                        violation_error_message="Somebody noted this row as right already.",
                    ),
                ],
            },
        ),
    ]
