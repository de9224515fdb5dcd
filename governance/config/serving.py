"""A register served on this machine alone, by the commands ``demo`` and ``start``."""

from __future__ import annotations

import errno
import socket

from django.core.management import call_command

HOST = "127.0.0.1"


class PortTakenError(Exception):
    """Something else listens on the port."""


def check_port(port: int, *, command: str) -> None:
    """Raise if the port cannot be listened on, before any work is done for it. command: the one to give another.

    Raises:
        PortTakenError: with what to do.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError as error:
            if error.errno not in (errno.EADDRINUSE, errno.EACCES):
                raise
            why = "is taken by another program" if error.errno == errno.EADDRINUSE else "is not open to you"
            raise PortTakenError(f"Port {port} {why}. Choose another: {command} --port {free_port()}") from error


def free_port() -> int:
    """A port on which nothing listens now."""
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.bind((HOST, 0))
        found: int = probe.getsockname()[1]
        return found


def serve(port: int) -> None:
    """Serve until stopped; assessments in the background run in the same process."""
    call_command("runserver", f"{HOST}:{port}", use_reloader=False, skip_checks=True, verbosity=0)
