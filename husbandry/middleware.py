"""One header on every answer: scripts, styles and pictures come from this server and nowhere else. And pages made small on their way."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.middleware.gzip import GZipMiddleware


def content_security_policy(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    def add_header(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", settings.SECURE_CSP)
        return response

    return add_header


class CompressedPages(GZipMiddleware):
    """A round of fourteen stops is 65 kB of HTML and 6 kB compressed: at the edge of the network that is the difference.

    Pages only; files are compressed once (static) or are archives already. Django pads at random against guessing secrets by size.
    """

    def process_response(self, request: HttpRequest, response: HttpResponse) -> HttpResponse:
        if not response.headers.get("Content-Type", "").startswith("text/html"):
            return response
        return super().process_response(request, response)
