#!/usr/bin/env python3
"""Runs the project's commands: ``uv run manage.py COMMAND``."""

import os
import sys
from importlib import import_module


def main() -> None:
    """Hand the command line to Django; say in one line what keeps it from starting."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "governance.config.settings")
    try:
        from django.core.exceptions import ImproperlyConfigured
        from django.core.management import execute_from_command_line
    except ImportError as error:
        sys.exit(f"{error}. Run the command through uv, which installs what it needs: uv run manage.py ...")
    try:
        import_module(os.environ["DJANGO_SETTINGS_MODULE"])
    except ImproperlyConfigured as error:
        sys.exit(f"Settings: {error}")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
