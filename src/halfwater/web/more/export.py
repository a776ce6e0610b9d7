"""The export as one file to download."""

from datetime import datetime
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from zipfile import ZIP_DEFLATED, ZipFile

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from halfwater.book import queries
from halfwater.deeds.clock import local_day
from halfwater.deeds.exports import export_files


def export(request: HttpRequest) -> HttpResponse:
    """The whole book as tables in one zip file."""
    now: datetime = timezone.now()
    day = local_day(now, queries.nursery()).isoformat()
    response = HttpResponse(_zipped(f"halfwater-{day}"), content_type="application/zip")
    response.headers["Content-Disposition"] = f'attachment; filename="halfwater-{day}.zip"'
    return response


def _zipped(name: str) -> bytes:
    packed = BytesIO()
    with TemporaryDirectory() as place:
        folder = Path(place) / name
        folder.mkdir()
        export_files(folder)
        with ZipFile(packed, "w", ZIP_DEFLATED) as archive:
            for file in sorted(folder.rglob("*")):
                if file.is_file():
                    archive.write(file, file.relative_to(place))
    return packed.getvalue()
