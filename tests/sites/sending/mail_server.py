"""A real mail server (aiosmtpd) for tests."""

import asyncio
import socket
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from email import message_from_bytes
from typing import Any, NamedTuple

from aiosmtpd.controller import Controller


class Taken(NamedTuple):
    """A mail as the server took it: from whom, to whom, and its bytes."""

    sender: str
    to: list[str]
    content: bytes

    @property
    def message_id(self) -> str:
        return str(message_from_bytes(self.content)["Message-ID"])


class Keeping:
    """Keeps what it takes; an address that begins so is refused or makes the server break off."""

    def __init__(self, taken: list[Taken], file: str = "") -> None:
        self.taken, self.file = taken, file

    async def handle_RCPT(  # noqa: N802 - a name of the library
        self, server: Any, session: Any, envelope: Any, address: str, options: Any
    ) -> str:
        if address.startswith("nobody"):
            return "550 5.1.1 no such mailbox"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(  # noqa: N802 - a name of the library
        self, server: Any, session: Any, envelope: Any
    ) -> str:
        content = bytes(envelope.content)
        self.taken.append(Taken(envelope.mail_from, list(envelope.rcpt_tos), content))
        if self.file:
            with open(self.file, "a") as log:
                log.write(f"{self.taken[-1].message_id}\n")
        if envelope.rcpt_tos[0].startswith("slow"):
            await asyncio.sleep(0.05)
        if envelope.rcpt_tos[0].startswith("breaks"):
            server.transport.abort()
        if envelope.rcpt_tos[0].startswith("full"):
            return "452 4.2.2 mailbox full"
        return "250 2.0.0 taken"


@contextmanager
def mail_server(taken: list[Taken], file: str = "") -> Iterator[int]:
    """Run a server on a free port; yields the port."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    running = Controller(Keeping(taken, file), hostname="127.0.0.1", port=port)
    running.start()
    try:
        yield port
    finally:
        with suppress(Exception):
            running.stop()
