"""Every ready question of the registry, opened as people open it: as a page and as each file, for each role, now and as
known on a past day, on the rows of the sweep with a restricted paper whose words nobody else may meet.

What this cannot show: that an answer is right; each question has tests of its own.
"""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Any
from unittest import mock

import pytest
from django.urls import reverse
from django.utils import timezone

from accessions.material.models import Accession, Specimen
from accessions.people.access import VERBS_OF_ROLE, Verb
from accessions.people.models import Agent, Role
from accessions.sites.models import Site
from governance.audit.asking import Parameter, ParameterKind, Question
from governance.audit.questions import QUESTIONS
from governance.papers.models import Paper
from governance.reports.models import Report
from governance.scans.models import Scan
from tests.integration.test_access_sweep import Rows, files_of_the_module, files_of_the_test, kept, rows, signed_in
from tests.integration.test_access_sweep import rows_of_all as rows_of_now
from tests.integration.test_restricted import CANARY, OTHERS, closed, closed_for_all, words_of

__all__ = ["closed", "closed_for_all", "files_of_the_module", "files_of_the_test", "kept", "rows", "rows_of_now"]

FILES = ("ask-csv", "ask-xlsx", "ask-docx")
KNOWN_DAYS_AGO = 30
