"""The interface in Spanish: nothing is left out, nothing breaks, and each person chooses.

The unknown language of ``tests/unwrapped.py`` finds what no translator would see; the catalogue is held against the
source by GNU gettext itself, where the machine has it.
"""

from __future__ import annotations

import gettext
import json
import os
import re
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.contrib.humanize.templatetags.humanize import intcomma
from django.test import Client
from django.utils.formats import date_format
from django.utils.translation import override

from accessions.intake.problem_words import said_problem
from accessions.material.hints import said_hint
from accessions.people.models import Role
from governance.audit.queries.changed import kinds_that_change
from governance.engine.explain import TEMPLATES
from governance.guide.models import SkippedStep
from governance.papers.countries import country_name, currency_name
from governance.papers.measures import distance, quantity
from governance.verdicts.actions.sheets import start_sheet
from governance.verdicts.shown_days import long_span
from governance.verdicts.spoken import ALL, spoken
from tests.conftest import copy_database
from tests.factories import register

PROJECT = Path(__file__).resolve().parents[2]
CATALOGUE = PROJECT / "governance/config/locale/es/LC_MESSAGES/django.po"
COMPILED = CATALOGUE.with_suffix(".mo")
HOLDER = re.compile(r"%\([a-z_A-Z0-9]+\)[sdrf]|%[sd]|\{\w*\}|</?[a-z]+[^>]*>|&[a-z]+;")
"""What a translation must keep: places for values, tags, entities."""


@pytest.fixture(scope="module")
def translated() -> dict[Any, str]:
    """The compiled texts: by text, or by text and number of its form."""
    with COMPILED.open("rb") as file:
        texts: dict[Any, str] = vars(gettext.GNUTranslations(file))["_catalog"]
    return {text: said for text, said in texts.items() if text}


class TestCatalogue:
    def test_translations_keep_every_value_and_tag(self, translated: dict[Any, str]) -> None:
        forms: dict[str, list[str]] = {}
        for key, said in translated.items():
            forms.setdefault(key[0] if isinstance(key, tuple) else key, []).append(said)
        broken = []
        for text, said_in_forms in forms.items():
            for said in said_in_forms:
                if len(said_in_forms) == 1 and sorted(HOLDER.findall(text)) != sorted(HOLDER.findall(said)):
                    broken.append((text, said))
                if (text[:1] == " ", text[-1:] == " ") != (said[:1] == " ", said[-1:] == " "):
                    broken.append((text, said))
        assert len(forms) > 9_000
        assert not broken

    def test_nothing_is_missing_and_nothing_is_left_over(self, tmp_path: Path) -> None:
        """The texts of the source are collected anew: the catalogue must say each of them, and no other."""
        if not shutil.which("xgettext"):
            pytest.skip("no GNU gettext on this machine")
        tree = tmp_path / "tree"
        for part in ("accessions", "governance", "templates"):
            kept = shutil.ignore_patterns("__pycache__", "static", "*.png", "data", "docs", "*.md")
            shutil.copytree(PROJECT / part, tree / part, ignore=kept)
        shutil.copytree(PROJECT / "governance/jurisdictions/data", tree / "governance/jurisdictions/data")
        shutil.copy(PROJECT / "manage.py", tree)
        copied = tree / CATALOGUE.relative_to(PROJECT)
        subprocess.run(
            [sys.executable, "manage.py", "makemessages", "-l", "es", "-v", "0"], cwd=tree, check=True, timeout=120
        )
        assert texts_in(copied) == texts_in(CATALOGUE)
        counted = subprocess.run(
            ["msgfmt", "--check-format", "--statistics", "-o", str(tmp_path / "new.mo"), str(copied)],
            capture_output=True, text=True, env=os.environ | {"LC_ALL": "C"}, check=False,
        )  # fmt: skip
        assert re.fullmatch(r"\d+ translated messages\.\n", counted.stderr), counted.stderr
        with (tmp_path / "new.mo").open("rb") as new, COMPILED.open("rb") as old:
            texts = [dict(vars(gettext.GNUTranslations(file))["_catalog"]) | {"": ""} for file in (new, old)]
        assert texts[0] == texts[1], "compile the catalogue: manage.py compilemessages"  # whatever its head says


def texts_in(catalogue: Path) -> set[str]:
    """What is to be translated, as the catalogue writes it."""
    return set(re.findall(r"^(?:msgctxt|msgid|msgid_plural) .*(?:\n\".*)*", catalogue.read_text("utf-8"), re.MULTILINE))


@pytest.fixture(scope="module")
def stored(small_demo: Path) -> list[str]:
    """The sentences of the demo, their words open, as the register keeps them."""
    with closing(sqlite3.connect(small_demo)) as connection:
        return [row[0] for row in connection.execute("SELECT DISTINCT sentence FROM verdicts_outcomefinding")]


class TestFindings:
    def test_english_comes_out_to_the_letter(self, stored: list[str]) -> None:
        with override("en"):
            assert len(stored) > 100
            assert [ALL.again(sentence) for sentence in stored] == stored
            assert all(ALL.knows(sentence) for sentence in stored)

    def test_in_english_days_alone_are_said_anew(self, stored: list[str]) -> None:
        with override("en"):
            said = {sentence: spoken(sentence) for sentence in stored}
            changed = {sentence: shown for sentence, shown in said.items() if sentence != shown}
            assert len(changed) >= 5
            for sentence, shown in changed.items():
                day = re.search(r"(?<= )\d{4}-\d\d-\d\d(?:/\S+)?(?=[ ,;])", sentence)
                assert day is not None, sentence
                first, _, last = day[0].partition("/")
                days = long_span(date.fromisoformat(first), date.fromisoformat(last or first))
                assert shown == sentence.replace(day[0], days)

    def test_spanish_says_every_stored_sentence(self, stored: list[str]) -> None:
        with override("es"):
            said = {sentence: spoken(sentence) for sentence in stored}
        assert not [sentence for sentence, spanish in said.items() if sentence == spanish]
        for sentence, spanish in said.items():
            assert sorted(re.findall(r"\{\w+\}", sentence)) == sorted(re.findall(r"\{\w+\}", spanish))

    @pytest.mark.parametrize("code", TEMPLATES)
    def test_every_code_is_said_with_its_words(self, code: str) -> None:
        words = {
            "paper": "COL-1", "covers": "covers", "did": "Exported", "when": "2024-07-18", "measure": "12.3 km",
            "inside": "2", "against": "4 days", "nearest": ", 3 days from the nearest valid day",
            "day": "day of export", "hint": "", "where": '"0, 0"', "country": "GE", "reach": "±61 m", "depth": "",
            "side": "outside",
            "boundary": ", the boundary to ±20 m", "name": "Aeshna", "methods": "gun", "people": "J. Ek",
            "sexes": "male", "stages": "larva",
        }  # fmt: skip
        sentence = TEMPLATES[code].format_map(words)
        with override("en"):
            assert ALL.again(sentence) == sentence
        with override("es"):
            assert spoken(sentence) != sentence

    def test_a_sentence_by_hand(self) -> None:
        with override("es"):
            assert spoken("Collected 2023-10-03, 3 days after the end date of COL-2023-014.") == (
                "Recolectado con fecha 3 de octubre de 2023, 3 días después de la fecha de fin de COL-2023-014."
            )
            assert spoken("COL-1 and COL-2 together cover it.") == "COL-1 y COL-2 lo cubren en conjunto."
            assert said_hint("there is no month 13") == "no existe el mes 13"

    @pytest.mark.parametrize(
        ("english", "spanish"),
        [
            # one paper's own "and" is no list of papers
            ("Permits 3 and 4 covers it.", "Permits 3 and 4 lo cubre."),
            # a reference that holds the words of another sentence: which was meant cannot be told
            ("Aeshna is excluded by COL-1 covers it.", "Aeshna is excluded by COL-1 covers it."),
            (
                "A name on x stands under two kingdoms, and y stands under two kingdoms, and z could be meant by it.",
                "A name on x stands under two kingdoms, and y stands under two kingdoms, and z could be meant by it.",
            ),
            # the paper is the whole of its name, not the end of it
            (
                "Collected 2024-07-18 after Permit after appeal was revoked, withdrawn or given up.",
                "Recolectado con fecha 18 de julio de 2024, después de que Permit after appeal fuera revocado, "
                "retirado o renunciado.",
            ),
            # no number of the engine, which writes whole days
            (
                'Collected "x", 1.5 days after the end date of COL-1.',
                'Collected "x", 1.5 days after the end date of COL-1.',
            ),
        ],
    )
    def test_names_that_hold_words_of_sentences_change_no_meaning(self, english: str, spanish: str) -> None:
        with override("es"):
            assert spoken(english) == spanish

    def test_numbers_of_readers_of_files(self) -> None:
        """A comma would make 1,204 a number below two. Spaces: see ``TestDaysAndNumbers``."""
        with override("es"):
            assert said_problem("the file is 1,204,000 bytes long") == (
                "el archivo tiene 1\N{NO-BREAK SPACE}204\N{NO-BREAK SPACE}000 bytes"
            )
            assert said_problem('"a" stands in rows 3, 5 too') == '"a" está también en las filas 3, 5'

    def test_what_nobody_knows_stays_as_it_is(self) -> None:
        with override("es"):
            assert spoken("A sentence of another version.") == "A sentence of another version."


class TestDaysAndNumbers:
    """Order and marks by the Real Academia Española, Ortografía (2010): 17 de junio de 2024; 12 418; 12,3 km."""

    def test_spanish(self) -> None:
        with override("es"):
            assert date_format(date(2024, 6, 17), "j F Y") == "17 de junio de 2024"
            assert date_format(date(2024, 6, 17), "j M Y") == "17 jun 2024"
            assert intcomma(12418) == "12\N{NO-BREAK SPACE}418"
            assert (distance(12_345.0), quantity(3, "days")) == ("12,3 km", "3 días")
            assert (country_name("SE"), currency_name("EUR")) == ("Suecia", "Euro")

    def test_english(self) -> None:
        with override("en"):
            assert date_format(date(2024, 6, 17), "j F Y") == "17 June 2024"
            assert (intcomma(12418), distance(12_345.0), country_name("SE")) == ("12,418", "12.3 km", "Sweden")


@pytest.mark.django_db
class TestChoice:
    def test_a_stranger_reads_the_language_of_the_browser(self) -> None:
        page = Client(headers={"accept-language": "es-CR,es;q=0.9"}).get("/sign-in/").content.decode()
        assert '<html lang="es"' in page and "Iniciar sesión" in page
        assert '<html lang="en"' in Client(headers={"accept-language": "fi"}).get("/sign-in/").content.decode()

    def test_what_is_chosen_counts_before_the_browser_and_is_kept(self) -> None:
        client = Client(headers={"accept-language": "en"})
        client.force_login(register.person())
        answer = client.post("/account/language/", {"language": "es", "next": "/account/"})
        assert (answer.status_code, answer["Location"]) == (302, "/account/")
        cookie = client.cookies[settings.LANGUAGE_COOKIE_NAME]
        assert cookie["httponly"] and cookie["samesite"] == "Lax" and int(cookie["max-age"]) == 365 * 24 * 3600
        page = client.get("/account/").content.decode()
        assert '<html lang="es"' in page and "Su cuenta" in page and "en español" in page

    @pytest.mark.parametrize("language", ["fi", "", "es'; x"])
    def test_another_language_is_not_taken(self, language: str) -> None:
        client = Client()
        assert client.post("/account/language/", {"language": language})["Location"] == "/sign-in/"
        assert settings.LANGUAGE_COOKIE_NAME not in client.cookies

    def test_it_leads_to_no_other_site(self) -> None:
        answer = Client().post("/account/language/", {"language": "es", "next": "https://elsewhere.example/"})
        assert answer["Location"] == "/"

    def test_a_link_changes_nothing(self) -> None:
        assert Client().get("/account/language/").status_code == 405


CITED = "citations and names of sources stand as they were written"
AS_TAKEN = "how a column may be headed: the words that the reader of the table takes"
LEFT = {
    **dict.fromkeys(
        (
            "Common practice", "no source", "Our choice", "as long as papers of access", "it names no number",
            "so that one calendar holds for all", "no longer than is necessary",
            "twenty years after the end of the period of utilisation",
            "what shows how material came to be owned is kept as long as the institution", "Bergh and others",
            "Collection Forum", "Conserve Gram", "National Park Service", "Norfolk Museums", "Taxacom mailing list",
            "a curator of a museum in London", "larvae of dermestid beetles and clothes moths", "leps-l mailing list",
            "staff of the Royal British Columbia Museum", "Party in SDG", "not a Party in SDG", "TRE-",
            "computed from the deposit dates of TRE-",
        ),
        CITED,
    ),
    **dict.fromkeys(
        (
            "Malaise trap x", "belongs to", "first day", "last day", "groups", "latitude", "longitude", "radius",
            "preparations",
        ),
        AS_TAKEN,
    ),
    **dict.fromkeys(
        ("audit", "guide", "plans", "reports", "scans", "search", "usedesk"), "rooms by their word in addresses"
    ),
    **dict.fromkeys(("none-found", "radius-unknown"), "codes of findings"),
    "planned": "the end of the number of an event, which is stored",
    "for": "a treatment as somebody wrote it: -30 °C for 72 h",
}  # fmt: skip
"""What pages show in English on purpose, each with the reason."""


@pytest.mark.slow
def test_no_text_is_left_out(small_demo: Path, tmp_path: Path) -> None:
    """Every page in a language that marks what is translated: the rest is data of the register, or stands in LEFT."""
    copy_database(small_demo, tmp_path / "copy.sqlite3")
    (small_demo.parent / "files").mkdir(exist_ok=True)
    shutil.copytree(small_demo.parent / "files", tmp_path / "files")
    ran = subprocess.run(
        [sys.executable, "-m", "tests.unwrapped"],
        cwd=PROJECT, capture_output=True, text=True, timeout=300, check=False,
        env=os.environ | {
            "DATABASE_URL": f"sqlite:///{tmp_path / 'copy.sqlite3'}", "FIELDWRIT_FILES": str(tmp_path / "files"),
            "FIELDWRIT_SECRET_KEY": "languages " * 8, "FIELDWRIT_HOSTS": "testserver", "FIELDWRIT_WORKER": "separate",
        },
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    found: dict[str, list[str]] = json.loads(ran.stdout)
    assert not {text: pages for text, pages in found.items() if text not in LEFT}


@pytest.mark.django_db
class TestWhatIsKept:
    """What the register keeps is in English, in whatever language its maker reads: what is kept is compared, searched
    and shown to others."""

    def test_reasons_of_the_history(self) -> None:
        client = Client(headers={"accept-language": "es"})
        client.force_login(register.person(Role.REGISTRAR))
        client.post("/start/plan/skip/")
        assert [one.history_change_reason for one in SkippedStep.history.all()] == ["left out"]

    def test_facts_on_a_country_sheet(self) -> None:
        with override("es"):
            in_spanish = start_sheet("SE", by=register.person(Role.REGISTRAR), why="x", today=date(2026, 11, 26))
        assert "Nagoya" in in_spanish.remarks
        assert "looked up" in in_spanish.remarks or "from memory" in in_spanish.remarks

    def test_names_of_kinds_are_not_those_of_the_first_reader(self) -> None:
        with override("es"):
            spanish = kinds_that_change()
        with override("en"):
            assert kinds_that_change()["papers.paper"] == "Paper" != spanish["papers.paper"]
