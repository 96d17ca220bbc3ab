"""Django's templates for prints, from this folder alone, in any program."""

import os
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from connections.documents.print_error import PrintError

if TYPE_CHECKING:
    from django.template import Engine

TEMPLATES = Path(__file__).with_name("templates")


def filled(template: str, values: Mapping[str, object]) -> str:
    """A print template filled with values; text in them is escaped.

    Raises PrintError where Django is missing, or set up by another program in a way that would
    change what is printed.
    """
    engine = _engine()
    from django.template import Context

    return str(engine.get_template(template).render(Context(dict(values))))


@cache
def _engine() -> "Engine":
    """An engine of our own. Templates also read a few settings of the process, made here once."""
    try:
        from django.conf import settings
        from django.template import Engine
    except ImportError:
        raise PrintError(
            "A print needs the extra packages: pip install 'meterside[pdf]'."
        ) from None
    if not settings.configured and not os.environ.get("DJANGO_SETTINGS_MODULE"):
        settings.configure(USE_I18N=False, USE_TZ=True, LANGUAGE_CODE="en-gb")
    if settings.USE_I18N or settings.USE_THOUSAND_SEPARATOR:
        raise PrintError(
            "Another Django is set up in this process, which writes numbers in a local way. "
            "Print in a process of its own, or turn USE_I18N and USE_THOUSAND_SEPARATOR off."
        )
    return Engine(dirs=[str(TEMPLATES)])
