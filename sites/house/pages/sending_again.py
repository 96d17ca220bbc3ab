"""Give a refused form back, to be sent again."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

SAYS = "You have been signed out. Sign in in another window, then come back to this one."


def ask_to_send_again(request: HttpRequest, *, status: int) -> HttpResponse:
    """A page that holds the boxes of a refused form, with a fresh token and a button to send them.

    Passwords are not given back, and files can't be: the page asks to choose them again.
    """
    boxes = [
        (name, value)
        for name, values in request.POST.lists()
        if name != "csrfmiddlewaretoken" and "password" not in name
        for value in values
    ]
    return render(
        request,
        "house/errors/send_again.html",
        {"boxes": boxes, "files": list(request.FILES), "signed_out": status == 401},
        status=status,
    )
