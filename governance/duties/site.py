"""Where people open the register, for links in mails and identifiers in calendars: no request is there to tell it."""

from __future__ import annotations

from django.conf import settings


def site_address() -> str:
    """ "https://register.example.org", without a slash at its end: as set, or from the first host that is served."""
    if settings.FIELDWRIT_ADDRESS:
        return str(settings.FIELDWRIT_ADDRESS)
    scheme = "https" if settings.PRODUCTION else "http"
    return f"{scheme}://{_first_host()}"


def site_name() -> str:
    """The host of ``site_address``: what makes identifiers unique in the world."""
    return site_address().partition("://")[2]


def _first_host() -> str:
    named = (host.lstrip(".") for host in settings.ALLOWED_HOSTS if "*" not in host)
    return next(named, "localhost")
