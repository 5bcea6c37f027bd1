from __future__ import annotations

import tempfile
from pathlib import Path

from django.http import FileResponse, HttpResponse
from django.template.response import TemplateResponse
from django.views.decorators.http import require_http_methods

from enclosures.boards.program import build_program
from enclosures.exports.record_tables import TABLES
from enclosures.roles import PACKERS, for_role
from enclosures.views.clock import FacilityRequest


@require_http_methods(["GET", "POST"])
@for_role(PACKERS)
def program(request: FacilityRequest) -> HttpResponse:
    if request.method == "POST":
        return _download(request)
    board = build_program(facility=request.facility, tables=TABLES)
    return TemplateResponse(request, "coordinator/program/page.html", {"board": board})


def _download(request: FacilityRequest) -> FileResponse:
    """The file is made whole before the first byte leaves, so a broken package is never sent; the folder goes with the answer."""
    from enclosures.actions.packages import build_package

    folder = tempfile.TemporaryDirectory(prefix="package-")
    path = Path(folder.name) / f"{request.facility.code}-records-{request.today.isoformat()}.zip"
    build_package(
        facility=request.facility,
        out=path,
        made_at=request.now,
        made_by=request.user.initials,  # type: ignore[union-attr]
        with_photo_files=not request.POST.get("without_photos"),
    )
    response = FileResponse(path.open("rb"), as_attachment=True, filename=path.name)
    response._resource_closers.append(folder.cleanup)  # type: ignore[attr-defined]
    return response
