from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET


@never_cache
@require_GET
@login_not_required
def health(request: HttpRequest) -> HttpResponse:
    """Answers "ok" when the database answers; for a watchdog, so it says nothing else."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
    return HttpResponse("ok", content_type="text/plain")
