"""Posts that carry a file: one that weighs too much is answered before it is read in."""

from collections.abc import Callable
from functools import wraps

from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.views.decorators.csrf import csrf_exempt, csrf_protect

from sites.house.examining import MOST_BYTES
from sites.house.uploads import too_large

MOST_POSTED = MOST_BYTES + 200_000
"""A file and the boxes round it."""
MOST_LET_THROUGH = 200_000_000

View = Callable[..., HttpResponse]


def takes_files(most_bytes: int, says: Callable[[int], str]) -> Callable[[View], View]:
    """For a view that files are posted to: it gets `too_large`, a sentence that `says` makes of the
    size, where the post weighs more than `most_bytes`, and then must not change anything.

    Looking for the token would read the whole post in, so that is done here, after the size.
    """

    def taking(view: View) -> View:
        checked = csrf_protect(view)

        @csrf_exempt
        @wraps(view)
        def weighed(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
            size = _posted_bytes(request)
            if size <= most_bytes:
                return checked(request, *args, **kwargs)
            # A browser that is still sending would show a broken connection, not our answer.
            left = min(size, MOST_LET_THROUGH)
            while left > 0 and (piece := request.read(min(left, 65536))):
                left -= len(piece)
            return view(request, *args, too_large=says(size), **kwargs)

        return weighed

    return taking


takes_a_file = takes_files(MOST_POSTED, too_large)
"""For a view that one attachment is posted to."""


def _posted_bytes(request: HttpRequest) -> int:
    try:
        return int(request.META.get("CONTENT_LENGTH") or 0)
    except ValueError:
        return 0


def sent_file(request: HttpRequest, name: str = "file") -> UploadedFile[bytes] | None:
    """The file that came in the box `name`, if one was chosen."""
    found = request.FILES.get(name)
    return found if isinstance(found, UploadedFile) else None
