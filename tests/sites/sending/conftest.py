"""Cases whose pack is issued and printed, and a mail server that keeps what it takes."""

import pytest

from sites.packs.models import FrozenPack
from sites.packs.writing.printing import print_frozen
from tests.sites.cases.test_writing import fresh, go
from tests.sites.making import make_pack
from tests.sites.sending.mail_server import Taken, mail_server


@pytest.fixture
def case(plain, engineer, quick_print):
    """An application whose pack is issued and printed."""
    go(plain, engineer, "to-engineer")
    pack = make_pack(fresh(plain), by=engineer)
    print_frozen(pack.digest)
    return fresh(plain)


@pytest.fixture
def pack(case) -> FrozenPack:
    return FrozenPack.objects.get(application=case.application)


@pytest.fixture
def server(settings):
    """A mail server of the test's own, to which the settings lead; a list of what it took."""
    taken: list[Taken] = []
    with mail_server(taken) as port:
        settings.MAIL_IS_SET_UP = True
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", port
        settings.DEFAULT_FROM_EMAIL = "Invented Solar <office@firm.example>"
        yield taken
