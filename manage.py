#!/usr/bin/env python
"""Django's command line for this site. `manage.py demo` sets DEBUG and its own database before settings are read."""

from __future__ import annotations

import os
import secrets
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "husbandry.settings")
    if len(sys.argv) > 1 and sys.argv[1] == "demo":
        # The demo is for one machine: it never needs a secret and never touches the facility's own database.
        os.environ["DEBUG"] = "1"
        os.environ.setdefault("DATABASE_URL", "sqlite:///demo.sqlite3")
        os.environ.setdefault("MEDIA_ROOT", "media/demo")
    elif len(sys.argv) > 1 and sys.argv[1] != "check":
        # Commands sign nothing that must outlive them; only the served site (wsgi.py) and `check` insist on a kept secret.
        os.environ.setdefault("SECRET_KEY", secrets.token_urlsafe(50))
    try:
        from django.core.management import execute_from_command_line
    except ImportError as missing:
        raise SystemExit(
            "Django is not installed in this Python. Run it as .venv/bin/python manage.py, see README.md."
        ) from missing
    from django.core.exceptions import ImproperlyConfigured
    from django.db import OperationalError, ProgrammingError

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as wrong:
        raise SystemExit(str(wrong)) from None
    except (OperationalError, ProgrammingError) as wrong:
        if "no such table" in str(wrong) or "does not exist" in str(wrong):
            raise SystemExit("The database has no tables yet, or old ones. Run: manage.py migrate") from None
        raise


if __name__ == "__main__":
    main()
