"""The text of mails, documents and plain texts: pages without places. Runs in the child process."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import Any, Final

from governance.scans.checking.kinds import Kind
from governance.scans.reading.child import FILE, PageWords

LONGEST_PAGE: Final = 20_000
"""Characters: a text without pages of its own is cut at the end of a paragraph or line before so many."""

MOST_CHARACTERS: Final = 4_000_000
"""Of a whole file, some 2,000 pages of print; what stands beyond is not searched."""

_MAIL_FIELDS: Final = ("From", "To", "Cc", "Date", "Subject")
_UNWANTED = re.compile(r"[\x00-\x08\x0b\x0e-\x1f\x7f\ud800-\udfff]")


def written_pages(path: Path, media_type: str) -> Iterator[PageWords]:
    """All pages of a file that has text and no picture; one at least."""
    text = {
        Kind.MAIL: _mail,
        Kind.OUTLOOK: _outlook,
        Kind.DOCX: _document,
    }.get(media_type, _plain)(path)  # type: ignore[call-overload]  # the keys are texts
    for number, page in enumerate(cut(text[:MOST_CHARACTERS]), start=1):
        yield PageWords(number, page, source=FILE)


def cut(text: str) -> list[str]:
    """The text by its own form feeds, and where a page is too long by paragraphs, lines, or wherever it must be.

    >>> cut("one\\ftwo\\n")
    ['one', 'two']
    >>> cut("")
    ['']
    """
    clean = _UNWANTED.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
    return [part for page in clean.split("\f") for part in _not_too_long(page.strip("\n"))]


def _not_too_long(page: str) -> Iterator[str]:
    while len(page) > LONGEST_PAGE:
        end = next((at for mark in ("\n\n", "\n", " ") if (at := page.rfind(mark, 1, LONGEST_PAGE)) > 0), LONGEST_PAGE)
        yield page[:end]
        page = page[end:].lstrip("\n ")
    yield page


def _plain(path: Path) -> str:
    from governance.scans.checking.texts import decode

    return decode(path.read_bytes())[0]


def _mail(path: Path) -> str:
    from email import policy
    from email.parser import BytesParser

    with path.open("rb") as file:
        mail = BytesParser(policy=policy.default).parse(file)
    names = [part.get_filename() or "" for part in mail.iter_attachments()] if mail.is_multipart() else []
    fields = [(name, str(mail.get(name, ""))) for name in _MAIL_FIELDS]
    return _letter(fields, _body_of(mail), names)


def _body_of(mail: Any) -> str:
    """The plain body, or the words of the HTML one; "" if what it says it is cannot be read."""
    part = mail.get_body(preferencelist=("plain", "html"))
    if part is None:
        return ""
    try:
        content = part.get_content()
    except (LookupError, KeyError, ValueError):  # an encoding that does not exist
        content = (part.get_payload(decode=True) or b"").decode("utf-8", "replace")
    return words_of_html(content) if part.get_content_subtype() == "html" else str(content)


def _outlook(path: Path) -> str:
    from oxmsg import Message

    message = Message.load(str(path))
    headers = message.message_headers
    recipients = ", ".join(f"{one.name} <{one.email_address}>" for one in message.recipients)
    fields = [
        ("From", message.sender or ""), ("To", headers.get("To") or recipients), ("Cc", headers.get("Cc") or ""),
        ("Date", str(message.sent_date or "")), ("Subject", message.subject or ""),
    ]  # fmt: skip
    body = message.body or words_of_html(message.html_body or "")
    return _letter(fields, body, [one.file_name or "" for one in message.attachments])


def _letter(fields: list[tuple[str, str]], body: str, attached: list[str]) -> str:
    lines = [f"{name}: {' '.join(value.split())}" for name, value in fields if value.strip()]
    names = [name for name in attached if name]
    if names:
        lines.append(f"Attached: {', '.join(names)}")
    return "\n".join(lines) + "\n\n" + body.strip()


class _Words(HTMLParser):
    """The words of HTML; what is not shown (scripts, styles, comments) is left out. Nothing is loaded or run."""

    _BLOCKS = frozenset({"p", "div", "br", "tr", "li", "table", "ul", "ol", "hr", "blockquote", "pre",
                         "h1", "h2", "h3", "h4", "h5", "h6", "title", "section", "article"})  # fmt: skip
    _SILENT = frozenset({"script", "style", "template", "noscript"})

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.parts: list[str] = []
        self._silent = 0

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self._silent += tag in self._SILENT
        self._part(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag in self._SILENT and self._silent:
            self._silent -= 1
        self._part(tag)

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self.parts.append(re.sub(r"\s+", " ", data))

    def _part(self, tag: str) -> None:
        if tag in self._BLOCKS:
            self.parts.append("\n")
        elif tag in ("td", "th"):
            self.parts.append(" ")


def words_of_html(html: str) -> str:
    """The text that a mail in HTML shows, line by line.

    >>> words_of_html("<p>Dear <b>Ms Ek</b>,</p><script>alert(1)</script><p>granted.</p>")
    'Dear Ms Ek,\\ngranted.'
    """
    reader = _Words()
    reader.feed(html[:MOST_CHARACTERS])
    reader.close()
    lines = (" ".join(line.split()) for line in "".join(reader.parts).split("\n"))
    return "\n".join(line for line in lines if line)


def _document(path: Path) -> str:
    """Paragraphs and tables in their order; a break of pages that somebody set starts a page."""
    import docx

    document = docx.Document(str(path))
    return "\n".join([*_lines_of_edges(document, "header"), *_blocks(document), *_lines_of_edges(document, "footer")])


def _blocks(holder: Any) -> Iterator[str]:
    from docx.table import Table

    for block in holder.iter_inner_content():
        if isinstance(block, Table):
            yield from _rows(block)
        else:
            yield _paragraph(block)


def _rows(table: Any) -> Iterator[str]:
    """One line a row. A cell that goes over several columns is one, and so counts once."""
    for row in table.rows:
        cells = {id(cell._tc): cell for cell in row.cells}
        yield "\t".join(" ".join(part for part in _blocks(cell) if part) for cell in cells.values())


def _paragraph(paragraph: Any) -> str:
    """Its text with that of links; a break of pages is a form feed."""
    text = str(paragraph.text)
    breaks = paragraph._p.xpath(".//w:br[@w:type='page']")
    return f"\f{text}" if breaks and "\f" not in text else text


def _lines_of_edges(document: Any, edge: str) -> list[str]:
    """Heads or feet of all sections, each once."""
    lines = [line for section in document.sections for line in _blocks(getattr(section, edge)) if line.strip()]
    return list(dict.fromkeys(lines))
