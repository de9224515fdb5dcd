"""Rules that every room of the register keeps, whoever wrote it: swept over all models, modules and templates."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from django.apps import apps
from django.db import models

PROJECT = Path(__file__).resolve().parents[2]
ROOMS = (
    "people", "names", "sites", "material", "intake", "scans", "papers", "verdicts", "plans", "usedesk", "duties",
    "reports", "audit", "guide", "search",
)  # fmt: skip

WITHOUT_HISTORY = {
    "people.SignInFailure": "counts wrong passwords and is gone after some minutes",
    "people.Write": "written once, never changed; sealed itself",
    "people.SealShape": "written once, never changed",
    "people.Seal": "the chain itself, only ever longer",
    "people.SealHead": "the end of the chain",
    "people.PersonalSalt": "part of the chain; a salt goes when a person's data are minimised, which is recorded",
    "names.WrittenName": "known by the hash of its content, never changed",
    "material.Removal": "written once, never changed; says itself who removed what, when and why",
    "material.Touch": "a mark that goes away when it is taken up",
    "intake.ColumnChoice": "a convenience for the next file; says itself by whom and when",
    "papers.PaperLink": "dated by itself: who linked and when, who took it off and when; never deleted",
    "papers.ReceivedFile": "kept as it came; says itself who brought it and who took it, and when",
    "papers.PaperScan": "dated by itself, as a link",
    "papers.AcceptedOffer": "written once, never changed; says itself who accepted it and when",
    "scans.ScanPage": "made by the machine from the content, and made anew at any time",
    "scans.Filing": "dated by itself: who filed it and when, who took it off and when; never deleted",
    "scans.Upload": "a file on its way; says itself who sends it",
    "plans.PlanPaper": "dated by itself, as a link",
    "plans.PlanVersion": "written once, never changed",
    "plans.PlanSignOff": "dated by itself: who signed and when, who withdrew it and when; never deleted",
    "usedesk.ScanLine": "written once, never changed; says itself who read it and when",
    "duties.DutyRun": "never changed; the runs say when duties were worked out",
    "duties.CalendarAddress": "dated by itself: made and ended by whom and when; its secret is never copied",
    "duties.ReminderSent": "written once, never changed",
    "reports.ReportTable": "of a draft made anew at any time, of an issued report never changed",
    "reports.ReportChunk": "part of a table",
    "reports.ReportFile": "written once at the issue, never changed",
    "reports.ShareVisit": "written once, never changed",
    "audit.AnswerTaken": "written once, never changed; says itself who asked and when",
    "audit.EvidenceBundle": "a file on its way to a person, gone after a day; says itself who asked and when",
    "audit.Opening": "written once, never changed",
    "audit.QualityCount": "a count of a day, made anew by whoever counts again",
    "audit.SealCheck": "written once, never changed; says itself who checked and when",
    "verdicts.Run": "never changed once done; the runs are the history of verdicts",
    "verdicts.RunSeal": "written once, never changed",
    "verdicts.Outcome": "known by the hash of its content, never changed",
    "verdicts.OutcomePaper": "part of an outcome",
    "verdicts.OutcomeFinding": "part of an outcome",
    "verdicts.Ruling": "known by the hash of its content, never changed",
    "verdicts.RulingLayer": "part of a ruling",
    "verdicts.Result": "appended, never changed",
    "verdicts.Standing": "repeats the newest result for lists",
}

TIMES_OF_NOBODY = {
    "people.SignInFailure.failed_at": "nobody is signed in when it happens",
    "audit.EvidenceBundle.sign_at": "set by the machine; its person is ``asked_by``",
    "reports.ShareMessage.received_at": "the writer has no account; ``name`` says who it is",
    "verdicts.Run.asked_at": "its person is ``by``",
    "verdicts.Run.started_at": "set by the machine",
    "verdicts.Run.finished_at": "set by the machine",
    "verdicts.Search.recorded_at": "set by the machine; ``searched_by`` says who searched, the history who typed it",
}
"""Columns ``*_at`` without a ``*_by``, each with the reason."""


def models_of_the_register() -> dict[str, type[models.Model]]:
    return {
        model._meta.label: model
        for model in apps.get_models()
        if model._meta.app_label in ROOMS and not model.__name__.startswith("Historical")
    }


def test_every_model_keeps_its_history() -> None:
    """Or is on the list with the reason; a model on the list keeps none."""
    without = {label for label, model in models_of_the_register().items() if not hasattr(model, "history")}
    assert "papers.Paper" in models_of_the_register()
    assert without == set(WITHOUT_HISTORY)


def test_every_time_has_its_person() -> None:
    """``linked_at`` goes with ``linked_by``: nobody does something without a name."""
    lonely = set()
    for label, model in models_of_the_register().items():
        names = {field.name for field in model._meta.concrete_fields}
        lonely |= {
            f"{label}.{name}"
            for name in names
            if name.endswith("_at") and f"{name.removesuffix('_at')}_by" not in names
        }
    assert lonely == set(TIMES_OF_NOBODY)


def test_every_constraint_is_named_after_its_model() -> None:
    """So that an error of the database says where to look."""
    strangers = [
        f"{model._meta.label}: {one.name}"
        for model in models_of_the_register().values()
        for one in model._meta.constraints
        if not one.name.startswith((model._meta.model_name or "", "event_"))
    ]
    assert strangers == []


def modules(*parts: str) -> list[Path]:
    """Python files of the rooms of which a folder or the name is one of these; all of them without names."""
    found = [path for half in ("accessions", "governance") for path in (PROJECT / half).rglob("*.py")]
    return [path for path in found if not parts or {*path.parts, path.stem} & set(parts)]


def shown(path: Path) -> str:
    return str(path.relative_to(PROJECT))


def calls(path: Path) -> Iterator[tuple[int, str]]:
    """Line and dotted end of every call: ``Agent.objects.create(...)`` gives "objects.create"."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            before = node.func.value
            owner = before.attr if isinstance(before, ast.Attribute) else getattr(before, "id", "")
            yield node.lineno, f"{owner}.{node.func.attr}"


WRITES = re.compile(
    r"\.(save|delete|bulk_create|bulk_update)$|^objects\.(create|update|get_or_create|update_or_create)$"
)


def test_views_write_nothing() -> None:
    """Actions alone write: they check the right, keep the history and leave the marks."""
    views = modules("views")
    found = [f"{shown(path)}:{line} {name}" for path in views for line, name in calls(path) if WRITES.search(name)]
    assert len(views) > 5
    assert found == []


def test_queries_write_nothing() -> None:
    queries = modules("queries")
    found = [f"{shown(path)}:{line} {name}" for path in queries for line, name in calls(path) if WRITES.search(name)]
    assert len(queries) > 3
    assert found == []


def test_no_room_listens_to_signals() -> None:
    """What follows from a change is called by the action, where a reader sees it. But for the seal: the library writes
    histories by itself, and its signal is the one place that sees each of them."""
    found = []
    for path in modules():
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import | ast.ImportFrom) else []
            module = getattr(node, "module", "") or ""
            if any("signals" in name.split(".") for name in [module, *names]) or "receiver" in names:
                found.append(shown(path))
    assert set(found) == {"accessions/people/listening.py"}


def templates() -> list[Path]:
    return sorted((PROJECT / "templates").rglob("*.html"))


def is_whole_page(path: Path) -> bool:
    """Components and parts of pages are in ``_`` folders or start with ``_``."""
    return not any(part.startswith("_") for part in path.relative_to(PROJECT / "templates").parts)


@cache
def texts() -> dict[str, str]:
    """Every template with its text, by its name below ``templates``."""
    return {str(path.relative_to(PROJECT / "templates")): path.read_text("utf-8") for path in templates()}


def found_in(pattern: str, text: str) -> str:
    """The first place, with some words after it, or nothing."""
    found = re.search(pattern, text)
    return text[found.start() : found.start() + 120] if found else ""


class TestTemplates:
    """One test a rule, over all files: a failure names each file that breaks it, and where."""

    def test_there_are_templates(self) -> None:
        assert "base.html" in texts()
        assert len(texts()) > 300

    def test_page_has_the_frame(self) -> None:
        whole = {
            name: text for name, text in texts().items()
            if is_whole_page(PROJECT / "templates" / name) and name != "base.html"
        }  # fmt: skip
        extends = r'\{% extends "[a-z_/]+\.html" %\}'
        assert len(whole) > 100
        assert [name for name, text in whole.items() if not re.match(extends, text)] == [], (
            "a page extends base.html or a page that does"
        )
        untitled = [
            name for name, text in whole.items()
            if "{% block title %}" not in text and '{% extends "base.html" %}' in text
        ]  # fmt: skip
        assert untitled == []

    @pytest.mark.parametrize(
        ("pattern", "instead"),
        [
            (r"\sstyle\s*=", "geometry goes into SVG attributes, looks into pages.css"),
            (r"<style\b", "looks go into pages.css"),
            (r"<script\b(?![^>]*\bsrc=)", "scripts are static files"),
            (r"\son[a-z]+\s*=\s*[\"']", "handlers are set by a static script"),
            ("javascript:", "handlers are set by a static script"),
        ],
    )
    def test_nothing_inline(self, pattern: str, instead: str) -> None:
        """The content security policy refuses it, so it would work for nobody."""
        assert {name: at for name, text in texts().items() if (at := found_in(pattern, text))} == {}, instead

    def test_nothing_from_afar(self) -> None:
        """Nothing is loaded from another server; a DOI may be followed, without telling where from."""
        doi, afar = r'<a href="https://doi\.org/[^>]*" rel="noreferrer">', r"(src|href)=[\"']?(https?:)?//"
        assert {name: at for name, text in texts().items() if (at := found_in(afar, re.sub(doi, "", text)))} == {}

    def test_no_markup_is_trusted(self) -> None:
        """What people and files wrote is escaped; drawings are made safe in Python, where tests see it."""
        trusted = r"\|\s*safe\b|\{%\s*autoescape off"
        assert {name: at for name, text in texts().items() if (at := found_in(trusted, text))} == {}

    def test_forms_that_change_are_protected(self) -> None:
        post = re.compile(r"<form\b[^>]*method=[\"']post[\"'].*?</form>", re.DOTALL | re.IGNORECASE)
        forms = [(name, form) for name, text in texts().items() for form in post.findall(text)]
        assert len(forms) > 50
        assert [(name, form[:120]) for name, form in forms if "{% csrf_token %}" not in form] == []

    def test_words_are_for_translation(self) -> None:
        """Text between tags is wrapped: what stays after tags, comments and variables are gone has no two letters."""
        assert {name: words for name, text in texts().items() if (words := plain_words(text))} == {}


NOT_TRANSLATED = {"Fieldwrit", "CSV", "JSON", "XLSX"}


def plain_words(text: str) -> list[str]:
    """Words of a template that no translation tag holds."""
    text = re.sub(r"\{% comment %\}.*?\{% endcomment %\}|\{#.*?#\}", " ", text, flags=re.DOTALL)
    text = re.sub(r"\{% (block(?:translate|trans))\b.*?\{% end\1 %\}", " ", text, flags=re.DOTALL)
    text = re.sub(r"\{%.*?%\}|\{\{.*?\}\}|<!--.*?-->", " ", text, flags=re.DOTALL)
    text = re.sub(r'<(\w+)[^>]*class="[^"]*\bref\b[^"]*"[^>]*>[^<]*</\1>', " ", text)  # numbers and terms of standards
    text = re.sub(r"<[^>]*>", " ", text)
    text = re.sub(r"&[a-z]+;", " ", text)
    return [word for word in re.findall(r"[A-Za-zÀ-ž]{2,}", text) if word not in NOT_TRANSLATED]


def test_plain_words_are_seen() -> None:
    assert plain_words("<p>Save {% translate 'this' %} {{ name }} now</p>") == ["Save", "now"]
    assert plain_words("<a href=\"{% url 'x' %}\">{% blocktranslate %}Go on{% endblocktranslate %}</a>") == []
