"""Files that come in pieces, as the open protocol tus 1.0 has it (``governance/scans/tus.py``)."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from django.http import HttpRequest, HttpResponse, JsonResponse, UnreadablePostError
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.utils.http import http_date
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from accessions.people.access import Verb, person_of, requires
from governance.scans import parts, tus
from governance.scans.actions import uploading as actions
from governance.scans.actions.receiving import RefusedFile, largest_bytes
from governance.scans.models import Upload

Answer = Callable[[], HttpResponse]


@never_cache
@require_http_methods(["OPTIONS", "POST"])
@requires(Verb.ATTACH_SCANS)
def uploads(request: HttpRequest) -> HttpResponse:
    """What the server can, and the announcement of a file."""
    return _answered(request, {"OPTIONS": _abilities, "POST": lambda: _begun(request)})


@never_cache
@require_http_methods(["OPTIONS", "GET", "HEAD", "PATCH", "DELETE", "POST"])
@requires(Verb.ATTACH_SCANS)
def upload(request: HttpRequest, token: str) -> HttpResponse:
    """One file on its way, for its sender alone: how far it is, a piece more, or its end. GET tells a page the same."""
    one = get_object_or_404(Upload, token=token, started_by=person_of(request))
    if request.method == "GET":
        return _told(one)
    return _answered(
        request,
        {
            "OPTIONS": _abilities,
            "HEAD": lambda: _place(one, 200),
            "PATCH": lambda: _appended(request, one),
            "DELETE": lambda: _ended(request, one),
        },
    )


def _answered(request: HttpRequest, answers: dict[str, Answer]) -> HttpResponse:
    method = tus.method_of(request.method or "", request.headers)
    try:
        if method != "OPTIONS":
            tus.check_version(request.headers)
        if method not in answers:
            raise tus.TusError(405, f"Not here: {method}.", {"Allow": ", ".join(answers)})
        answer = answers[method]()
    except tus.TusError as error:
        answer = HttpResponse(error.problem, status=error.status, content_type="text/plain", headers=error.headers)
    answer["Tus-Resumable"] = tus.VERSION
    return answer


def _abilities() -> HttpResponse:
    headers = {
        "Tus-Version": tus.VERSION,
        "Tus-Extension": tus.EXTENSIONS,
        "Tus-Max-Size": str(largest_bytes()),
        "Tus-Checksum-Algorithm": ",".join(tus.CHECKSUMS),
    }
    return HttpResponse(status=204, headers=headers)


def _begun(request: HttpRequest) -> HttpResponse:
    size_bytes = tus.number(request.headers, "Upload-Length")
    name = tus.metadata(request.headers).get("filename", "")
    try:
        one = actions.begin(name=name, size_bytes=size_bytes, by=person_of(request))
    except RefusedFile as refused:
        raise tus.TusError(413, refused.problem) from refused
    return HttpResponse(status=201, headers={"Location": reverse("scans:upload", args=[one.token]), **_expiry()})


def _appended(request: HttpRequest, one: Upload) -> HttpResponse:
    if request.content_type != tus.PIECE:
        raise tus.TusError(415, f"Content-Type: found {request.content_type!r}; expected {tus.PIECE}.")
    offset, expected = tus.number(request.headers, "Upload-Offset"), tus.checksum(request.headers)
    try:
        one = actions.append(upload=one, offset=offset, data=request, by=person_of(request), expected=expected)
    except actions.WrongPlaceError as error:
        place = {"Upload-Offset": str(error.offset)}
        raise tus.TusError(409, f"Upload-Offset: found {offset}; the part ends at {error.offset}.", place) from error
    except actions.TooLongError as error:
        raise tus.TusError(413, f"The file was announced with {one.size_bytes} bytes; more came.") from error
    except actions.WrongChecksumError as error:
        raise tus.TusError(tus.WRONG_CHECKSUM, "The piece does not match its checksum.") from error
    except actions.UploadGoneError as error:
        raise tus.TusError(410, "The upload was ended.") from error
    except UnreadablePostError as error:
        raise tus.TusError(400, "The connection broke; what came before is kept.") from error
    return _place(one, 204)


def _ended(request: HttpRequest, one: Upload) -> HttpResponse:
    actions.abandon(upload=one, by=person_of(request))
    return HttpResponse(status=204)


def _place(one: Upload, status: int) -> HttpResponse:
    headers = {"Upload-Offset": str(actions.received_bytes(one)), "Upload-Length": str(one.size_bytes)}
    return HttpResponse(status=status, headers=headers | ({} if one.is_settled else _expiry()))


def _expiry() -> dict[str, str]:
    """A day from now: the request that is answered was the sign of life ("Expiration")."""
    return {"Upload-Expires": http_date((timezone.now() + timedelta(seconds=parts.ABANDONED_SECONDS)).timestamp())}


def _told(one: Upload) -> JsonResponse:
    return JsonResponse(
        {
            "state": one.state,
            "received_bytes": actions.received_bytes(one),
            "scan": one.scan_id,
            "problem": one.problem,
            "was_known": one.was_known,
        }
    )
