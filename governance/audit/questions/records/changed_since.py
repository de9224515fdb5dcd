"""What changed in the register since a day: by kind of record and person, and each change of one kind."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import cache
from typing import Any, Final
from urllib.parse import urlencode

from django.db import models
from django.db.models import Count, F, Max, Q, QuerySet, Value
from django.urls import reverse
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.functional import lazy
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from accessions.people.history import CHANGED, CREATED, DELETED
from accessions.people.models import User
from governance.audit.asking import Answer, Asked, Cell, Column, ColumnKind, Group, Linked, ListedRows, Parameter
from governance.audit.asking import ParameterKind, QueriedRows, Question, Row, UnknownValueError
from governance.audit.queries.entries import kinds
from governance.audit.queries.gates import open_entries
from governance.audit.questions.records.overruled import people_named
from governance.audit.resolving import day_of
from governance.papers.models import PaperLink, PaperScan
from governance.scans.models import Filing

_USUAL: Final = timedelta(days=30)
_NOBODY: Final = "0"

_DID: Final = {CREATED: gettext_lazy("added"), CHANGED: gettext_lazy("changed"), DELETED: gettext_lazy("removed")}
