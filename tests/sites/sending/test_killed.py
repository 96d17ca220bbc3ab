"""Worker and server killed at random while mails go out: none goes twice, and none is silent."""

import random
import time
from collections import Counter

from tests.sites.sending.mail_processes import (
    deliver_mails,
    how_they_ended,
    make_ready,
    queue_mails,
)
from tests.sites.sending.mail_server import Taken, mail_server


def wait_for(taken: list[Taken], more: int) -> None:
    """Until the server has so many, or for two seconds: a kill then hits a mail half sent."""
    until = time.monotonic() + 2
    while len(taken) < more and time.monotonic() < until:
        time.sleep(0.002)


def trial(own, *, number: int, kills: int, seed: int) -> tuple[Counter[str], int]:
    """Send so many mails under so many kills; the states they end in, and how many were taken."""
    chance, taken = random.Random(seed), list[Taken]()
    for first in range(0, number, 10):
        own.run(make_ready, first, min(10, number - first))
    with mail_server(taken) as port:
        for _ in range(kills):
            running = [own.start(queue_mails, port), own.start(deliver_mails, port)]
            if chance.random() < 0.7:
                wait_for(taken, len(taken) + chance.randint(1, 3))
                time.sleep(chance.uniform(0, 0.04))
            else:
                time.sleep(chance.uniform(0.05, 1.0))
            for each in running:
                each.kill()
            for each in running:
                each.join(20)
        for script in (queue_mails, *[deliver_mails] * 4):
            last = own.start(script, port)
            last.join(600)
            assert last.exitcode == 0
    found = own.run(how_they_ended)
    states, times = found["states"], Counter(mail.message_id for mail in taken)
    assert len(states) == number
    assert set(times) <= set(states)
    assert max(times.values()) == 1
    for message_id, state in states.items():
        assert state in ("accepted", "failed", "unknown")
        assert state == "unknown" or times[message_id] == (state == "accepted")
    assert set(found["tasks"]) <= {"SUCCESSFUL", "FAILED"}
    for message_id, of_case in found["cases"]:
        assert (of_case == "sent") == (states[message_id] == "accepted")
    return Counter(states.values()), len(taken)


def test_none_goes_twice_whenever_worker_and_server_are_killed(own, night):
    if night:
        ended, taken = trial(own, number=100, kills=20, seed=time.time_ns())
        print(f"{dict(ended)}, {taken} taken by the server")
    else:
        trial(own, number=6, kills=2, seed=19)
