"""python -m tests.forecast.other_worlds > tests/forecast/other_worlds_report.json: the report that is kept beside the tests."""

from __future__ import annotations

import json
import os
import secrets
import sys

import django

from .scored import scored_report


def main() -> None:
    """The groups as `manage.py backtest --format json` writes them; a line for each made-up filter would tell nobody anything."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "husbandry.settings")
    os.environ.setdefault("SECRET_KEY", secrets.token_urlsafe(50))
    django.setup()
    from enclosures.management.commands.backtest import report_json

    kept = report_json(scored_report(progress=lambda style: print(f"{style} …", file=sys.stderr)))
    del kept["filters"]
    print(json.dumps(kept, ensure_ascii=False, indent=1))


if __name__ == "__main__":
    main()
