"""Every page of the demo in a language that translates each text to itself in marks: ``python -m tests.unwrapped``.

What stands on a page outside the marks, and is no datum of the register, no translator will ever see. Runs in a process
of its own, with the database that ``DATABASE_URL`` names; prints JSON: by fragment the pages that show it.
"""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import django
from django.urls import reverse

FIXTURES = Path(__file__).resolve().parents[1] / "fixtures"
DELIVERY = "lindmark_with_mistakes.csv"
OPEN, CLOSE = "⟦", "⟧"
_MARKED = re.compile(f"{OPEN}[^{OPEN}{CLOSE}]*{CLOSE}")
_GONE = "\0"
_SHOWN = ("title", "aria-label", "placeholder", "alt")
"""Attributes that people read or hear."""
_VOID = frozenset({"area", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"})
_BETWEEN = re.compile(r"[\0,;:|()/–—›×•→·\n\[\]{}=“”\"°±+*…]| - |\d[\d.\s]*")
_CODE = re.compile(r"[A-ZÅÄÖ]{1,5}(?:[-.]?[A-Z0-9]{1,6})*\.?|[a-z]*[A-Z]\w+|\w*_\w+|[a-f0-9]{1,8}|[a-z]{1,2}")
_LEADING_CODE = re.compile(r"(?:[A-Z](?:-[a-z])?|[A-Z]+[A-Z-]+) ")
_EDGES = " .!?'’%"
_LETTERS = re.compile(r"[^\W\d_]{2}")


def unmarked(text: str) -> str:
    """The text without all that stands in marks, marks in marks included."""
    while (shorter := _MARKED.sub(_GONE, text)) != text:
        text = shorter
    return text


class Shown(HTMLParser):
    """The texts of a page that are in its own language, and not in one of their own, such as the words of a paper."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.texts: list[str] = []
        self._silent = 0
        self._open: list[tuple[str, bool]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        is_silent = tag in ("script", "style", "code", "textarea") or ("lang" in given and tag != "html")
        if not self._silent and not is_silent:
            self.texts += [value for name in _SHOWN if (value := given.get(name))]
        if tag not in _VOID:
            self._open.append((tag, is_silent))
            self._silent += is_silent

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in _VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        while any(name == tag for name, _ in self._open):
            name, is_silent = self._open.pop()
            self._silent -= is_silent
            if name == tag:
                return

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self.texts.append(data)


def fragments(page: str) -> set[str]:
    """The pieces of a page that are in letters, outside the marks."""
    parser = Shown()
    parser.feed(unmarked(page))
    pieces = {piece for text in parser.texts for piece in _BETWEEN.split(" ".join(text.split()))}
    bare = {_LEADING_CODE.sub("", piece.strip(_EDGES)) for piece in pieces}
    return {piece for piece in bare if _LETTERS.search(piece) and not _CODE.fullmatch(piece)}


class Data:
    """What the register holds, as its pages show it: values, and pieces of them. Sentences of ours are none."""

    OURS = {("OutcomeFinding", "sentence")}

    def __init__(self) -> None:
        from governance.papers.countries import countries_known, currency_name

        people = (" ".join(names) for names in self._names_of_people())
        brought_in = re.split(r'[,"\n]', (FIXTURES / DELIVERY).read_text("utf-8"))
        names = (*people, *brought_in, *countries_known(), *map(currency_name, ("EUR", "USD", "SEK")))
        self._values = {" ".join(value.split()).casefold() for value in (*self._columns(), *names)}
        pieces = (piece for value in self._values for piece in _BETWEEN.split(value))
        self._pieces = self._values | {_LEADING_CODE.sub("", piece.strip(_EDGES)) for piece in pieces}
        self._whole = "\n".join(self._values)

    @staticmethod
    def _names_of_people() -> Any:
        from accessions.people.models import User

        return User.objects.values_list("first_name", "last_name")

    def _columns(self) -> Iterator[str]:
        from django.apps import apps
        from django.db import models

        for model in apps.get_models():
            if model._meta.app_label in ("contenttypes", "sessions"):
                continue
            kinds = (models.CharField, models.TextField, models.JSONField, models.FileField)
            names = [
                field.name
                for field in model._meta.concrete_fields
                if isinstance(field, kinds) and (model.__name__, field.name) not in self.OURS
            ]
            for row in model._base_manager.values_list(*names) if names else ():
                yield from (self._text(value) for value in row if value)

    @staticmethod
    def _text(value: Any) -> str:
        return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, default=str)

    def __contains__(self, piece: str) -> bool:
        folded = piece.casefold()
        if folded in self._pieces or (folded.count(" ") >= 2 and folded in self._whole):
            return True
        return all(word in self._values for word in folded.split())


def put_in_marks(language: str) -> None:
    """From now on the language says each text as it is, in marks."""
    from django.utils.translation import trans_real

    class Marked(trans_real.DjangoTranslation):
        def gettext(self, message: str) -> str:
            return f"{OPEN}{message.rpartition(trans_real.CONTEXT_SEPARATOR)[2]}{CLOSE}"

        def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
            return f"{OPEN}{msgid1 if n == 1 else msgid2}{CLOSE}"

    trans_real._translations[language] = Marked(language)  # type: ignore[attr-defined]


def pages() -> Iterator[tuple[str, str]]:
    """Name and text of every page that the demo can show, in Spanish, to a role that may open it."""
    from django.db import connection, transaction
    from django.test import Client

    from accessions.people.models import User
    from tests.browser.site_map import addresses

    class Keys:
        def key(self, table: str, condition: str = "1 = 1") -> int:
            with connection.cursor() as cursor:
                cursor.execute(f"SELECT id FROM {table} WHERE {condition} ORDER BY id")
                row = cursor.fetchone()
            if row is None:
                raise LookupError(f"no row in {table} where {condition}")
            return int(row[0])

    clients = {user.role: Client(headers={"accept-language": "es"}) for user in User.objects.all()}
    for user in User.objects.all():
        clients[user.role].force_login(user)
    keys: Any = Keys()
    _bring_in(clients["registrar"])
    for address in addresses():
        if address.name.endswith(NO_PAGES):
            continue
        with transaction.atomic():
            answer = clients[address.role].get(address.path(keys))
            transaction.set_rollback(True)
        if not answer.streaming and answer["Content-Type"].startswith("text/html"):
            yield address.name, answer.content.decode()


def _bring_in(client: Any) -> None:
    """A delivery with mistakes and a file of papers, which wait for a person to look at them."""
    given = {"intake:batch-new": DELIVERY, "papers:papers-import": "lindmark_papers.json"}
    for address, name in given.items():
        with (FIXTURES / name).open("rb") as file:
            answer = client.post(reverse(address), {"file": file})
        assert answer.status_code == 302, f"{address} did not take {name}"


NO_PAGES = ("-file", "-docx", "-export", "-csv", "-calendar", "-terms", "-areas", "-picture", "-evidence", "-bundle")
"""Ends of the names of addresses that give files."""


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")
    django.setup()
    put_in_marks("es")
    found: dict[str, list[str]] = {}
    for name, page in pages():
        for piece in fragments(page):
            found.setdefault(piece, []).append(name)
    data = Data()
    json.dump({piece: names for piece, names in found.items() if piece not in data}, sys.stdout, ensure_ascii=False)


if __name__ == "__main__":
    main()
