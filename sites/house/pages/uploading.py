"""Posts with a file: one that is too large is answered before it is read in."""

from collections.abc import Callable
from functools import wraps

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.views.decorators.csrf import csrf_exempt, csrf_protect

from sites.house.examining import MOST_BYTES
from sites.house.uploads import too_large

MOST_POSTED = MOST_BYTES + 200_000
"""Largest post: a file and the boxes around it."""
MOST_LET_THROUGH = 200_000_000

View = Callable[..., HttpResponse]


def takes_files(most_bytes: int, says: Callable[[int], str]) -> Callable[[View], View]:
    """Let a view take files, and check the size of the post first.

    Above `most_bytes` the view gets `too_large`, a sentence that `says` makes of the size; it must
    then change nothing. The token check would read the whole post in, so it runs here, after the
    size.
    """

    def taking(view: View) -> View:
        checked = csrf_protect(view)

        @csrf_exempt
        @wraps(view)
        def weighed(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
            size = _posted_bytes(request)
            if size <= most_bytes:
                return checked(request, *args, **kwargs)
            # Read on: a browser still sending would show a broken connection, not our answer.
            left = min(size, MOST_LET_THROUGH)
            while left > 0 and (piece := request.read(min(left, 65536))):
                left -= len(piece)
            return view(request, *args, too_large=says(size), **kwargs)

        return weighed

    return taking


takes_a_file = takes_files(MOST_POSTED, too_large)
"""Lets a view take one attachment."""


def _posted_bytes(request: HttpRequest) -> int:
    try:
        return int(request.META.get("CONTENT_LENGTH") or 0)
    except ValueError:
        return 0


def sent_file(request: HttpRequest, name: str = "file") -> UploadedFile[bytes] | None:
    """The file that came in the box `name`, if one was chosen."""
    found = request.FILES.get(name)
    return found if isinstance(found, UploadedFile) else None
