"""Serve files of the store as downloads."""

from django.http import FileResponse, HttpRequest, HttpResponseNotModified
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils.http import parse_etags

from sites.house import storage


def stored_file(request: HttpRequest, sha256: str, media_type: str, name: str) -> HttpResponseBase:
    """Serve a stored file; its digest is the ETag, since stored bytes never change."""
    tag = f'"{sha256}"'
    answer: HttpResponseBase
    if tag in parse_etags(request.headers.get("If-None-Match", "")):
        answer = HttpResponseNotModified()
    else:
        try:
            opened = storage.path_of(sha256).open("rb")
        except OSError:
            return render(request, "house/file_gone.html", {"sha256": sha256}, status=404)
        answer = FileResponse(opened, as_attachment=True, filename=name, content_type=media_type)
    answer["ETag"] = tag
    answer["Cache-Control"] = "private, no-cache"
    answer["X-Content-Type-Options"] = "nosniff"
    return answer
