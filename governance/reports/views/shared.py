"""The shared page itself, for readers without an account, and what search engines are told.

Whatever is wrong with an address (mistyped, another register's, revoked, ended, a file that is not offered), the answer
is one page that tells nothing; only of links that exist it is written down that they were refused.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any, Final

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST, require_safe

from accessions.people.entry_forms import posted
from accessions.people.paging import paged
from governance.papers.printed.language import PrintedLanguage, language_in
from governance.reports.actions import sharing as actions
from governance.reports.forms.sharing import MessageForm
from governance.reports.models import ReportLanguage, ShareLink, ShareVisit
from governance.reports.queries import shared_page as queries
from governance.reports.queries.shared_secrecy import of_names, secrecy
from governance.reports.queries.shares import LinkState, state_of
from governance.reports.queries.told_papers import is_restricted_since
from governance.reports.shared_tokens import digest_of
from governance.reports.views.files import answer

_WORDS: Final = Path(__file__).parents[1] / "shared_words"
_QUIET: Final = {
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    # Nothing to other sites; to our own, or browsers send "Origin: null" and the message would be refused (CSRF).
    "Referrer-Policy": "same-origin",
    "Cache-Control": "private, no-store",
}
"""No engine lists the page, no other site learns its address, no cache on the way keeps it."""

View = Callable[..., HttpResponseBase]


def words_of(code: str) -> PrintedLanguage:
    """The words of shared pages in a language."""
    return language_in(_WORDS, code)


def _quietly(view: View) -> View:
    @wraps(view)
    def quiet(request: HttpRequest, *args: Any, **more: Any) -> HttpResponseBase:
        response = view(request, *args, **more)
        for name, value in _QUIET.items():
            response[name] = value
        return response

    return quiet


def _opened(token: str) -> ShareLink | None:
    """The link of a token if it is open today; that a known one is not is written down."""
    digest = digest_of(token)
    rows = ShareLink.objects.select_related("paper", "agent")
    link = rows.filter(secret_sha256=digest).first() if digest else None
    if link is not None and (state_of(link, timezone.localdate()) != LinkState.OPEN or _is_shut(link)):
        actions.log_visit(link, ShareVisit.What.REFUSED)
        return None
    return link


def _is_shut(link: ShareLink) -> bool:
    """Whether its paper was restricted since the link was made."""
    return link.paper is not None and is_restricted_since(link.paper, link.made_at)


def _refused(request: HttpRequest) -> HttpResponse:
    told = [(code, words_of(code).groups["words"]) for code in ReportLanguage.values]
    return render(request, "reports/shared_closed.html", {"languages": told, "code": told[0][0]}, status=404)


@require_safe
@_quietly
def shared(request: HttpRequest, token: str) -> HttpResponseBase:
    """The page of a link."""
    link = _opened(token)
    if link is None:
        return _refused(request)
    if request.method == "GET":
        actions.log_visit(link, ShareVisit.What.PAGE)
    return _page(request, token, link, MessageForm(None, words=words_of(link.language)))


@require_safe
@_quietly
def shared_file(request: HttpRequest, token: str, pk: int, format: str) -> HttpResponseBase:
    """A file of an issued report that the link offers, byte for byte."""
    link = _opened(token)
    if link is None:
        return _refused(request)
    file = queries.shared_file(link, pk, format)
    if file is None:
        actions.log_visit(link, ShareVisit.What.REFUSED)
        return _refused(request)
    if request.method == "GET":
        actions.log_visit(link, ShareVisit.What.FILE, report=file.report, form=file.format)
    return answer(file.name, file.format, bytes(file.data))


@require_POST
@_quietly
def shared_message(request: HttpRequest, token: str) -> HttpResponseBase:
    """Leave a message. What cannot be taken is shown again with its reason, and nothing that was written is lost."""
    link = _opened(token)
    if link is None or not link.takes_messages:
        return _refused(request)
    words = words_of(link.language)
    form = MessageForm(posted(request), words=words)
    try:
        is_left = form.is_valid() and _left(link, form, words)
    except actions.ClosedPageError:
        return _refused(request)
    if is_left:
        return redirect(f"{request.path.removesuffix('message/')}?sent=1#message")
    return _page(request, token, link, form, status=422)


def _left(link: ShareLink, form: MessageForm, words: PrintedLanguage) -> bool:
    try:
        actions.leave_message(link, **form.values())
    except actions.TooManyMessagesError:
        form.add_error(None, words("too_many"))
        return False
    except ValidationError as error:
        form.refuse(error)
        return False
    return True


def _page(request: HttpRequest, token: str, link: ShareLink, form: MessageForm, status: int = 200) -> HttpResponse:
    context: dict[str, Any] = {
        "link": link, "token": token, "code": link.language, "words": words_of(link.language),
        "today": timezone.localdate(), "form": form, "offered": queries.offered_reports(link),
        "institution": queries.institution(), "is_sent": request.GET.get("sent") == "1",
    }  # fmt: skip
    if link.shows_material:
        context |= _material(request, link)
    return render(request, "reports/shared.html", context, status=status)


def _material(request: HttpRequest, link: ShareLink) -> dict[str, Any]:
    material = queries.material_of(link)
    pages = paged(request, queries.accession_numbers(material))
    listed = list(pages["page"].object_list)
    cited, more_cited = queries.publications(material)
    kept = secrecy(link, material, [row["accession"] for row in listed], cited)
    return pages | {
        "counts": queries.counts(material), "undated": queries.undated_of(link),
        "deposited": queries.deposited(link, kept), "named": queries.named(material, of_names(kept, link)),
        "cited": queries.masked(cited, kept),
        "more_cited": more_cited, "rows": queries.accession_rows(material, listed, kept),
    }  # fmt: skip


@require_GET
def robots(_request: HttpRequest) -> HttpResponse:
    """Nothing of the register is for search engines."""
    return HttpResponse("User-agent: *\nDisallow: /\n", content_type="text/plain; charset=utf-8")
