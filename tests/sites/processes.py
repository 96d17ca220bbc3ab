"""Scripts that tests run in processes of their own, with `own_database`."""

import random
import threading
import time
from typing import Any


def set_up() -> None:
    """Make the tables, an engineer and a premises whose pack can be issued."""
    from django.core.management import call_command

    from tests.sites.making import make_person, make_premises

    call_command("migrate", verbosity=0)
    make_person("engineer")
    make_person("engineer")
    make_premises()


def issue_at_once(threads: int) -> dict[str, Any]:
    """Several engineers press the button on the same preview in the same moment."""
    from django.db import connection

    from sites.cases.models import Case
    from sites.packs.writing.issuing import IssuedMeanwhileError, issue_pack
    from sites.people.models import Person
    from tests.sites.review.making import preview_of

    case = Case.objects.select_related("application").get()
    seen = preview_of(case)
    people = list(Person.objects.order_by("pk"))
    for person in people:
        assert person.is_engineer
    together = threading.Barrier(threads)
    ends: list[str] = []

    def press(number: int) -> None:
        application = Case.objects.get().application
        together.wait()
        try:
            pack = issue_pack(
                application=application,
                seen=seen,
                declaration=None,
                by=people[number % len(people)],
            )
            ends.append(f"issued {pack.revision}")
        except IssuedMeanwhileError as refused:
            ends.append(f"was issued as {refused.pack.revision}")
        except Exception as fault:
            ends.append(repr(fault))
        finally:
            connection.close()

    _all_at_once(press, threads)
    return {"ends": sorted(ends), **counts()}


def enter_at_once(threads: int) -> dict[str, Any]:
    """Several engineers enter the same local entry in the same moment."""
    from django.db import connection

    from connections.rulebook.rulebook_errors import RulebookError
    from sites.house.models import Event
    from sites.house.refusals import RefusedError
    from sites.looks.writing.local_entries import add_entry
    from sites.people.models import Person
    from sites.rulebook.models import LocalEntry
    from sites.rulebook.reading.local_entries import local_parts
    from tests.sites.rulebook.making import balance

    engineers = list(Person.objects.filter(roles__key="engineer"))
    together = threading.Barrier(threads)
    ends: list[str] = []

    def enter(number: int) -> None:
        # Each enters its own amount for the same days, so that they are not one and the same.
        entry = balance(f"{number + 1} A")
        together.wait()
        try:
            add_entry(area="gb-12", entry=entry, reason="Told.", by=engineers[0])
            ends.append("entered")
        except (RefusedError, RulebookError) as refused:
            ends.append(type(refused).__name__)
        finally:
            connection.close()

    started = [threading.Thread(target=enter, args=(n,)) for n in range(threads)]
    for thread in started:
        thread.start()
    for thread in started:
        thread.join()
    return {
        "ends": sorted(ends),
        "rows": LocalEntry.objects.count(),
        "parts": len(local_parts()),
        "events": Event.objects.filter(act="local.entered").count(),
    }


def save_and_issue() -> dict[str, Any]:
    """One saves the sheet again and again while another issues what was seen: a pack that is issued
    holds what was seen and nothing of a half-saved sheet."""
    from django.db import connection, transaction
    from django.db.models import F

    from sites.cases.models import Case
    from sites.house.refusals import RefusedError
    from sites.packs.models import FrozenPack
    from sites.packs.reading.packs import pack_of
    from sites.packs.writing.issuing import issue_pack
    from sites.people.models import Person
    from sites.premises.models import Array, Cells, Premises, Unit
    from tests.sites.review.making import preview_of

    case = Case.objects.select_related("application", "premises").get()
    engineer = Person.objects.order_by("pk").first()
    assert engineer is not None
    ends: list[str] = []
    done = threading.Event()

    def save() -> None:
        watts = 3000
        while not done.is_set():
            watts = 3000 + (watts + 1) % 600
            with transaction.atomic():
                Premises.objects.filter(pk=case.premises_id).update(version=F("version") + 1)
                Unit.objects.filter(premises=case.premises_id).update(rated_w=watts)
                Array.objects.filter(premises=case.premises_id).update(peak_w=watts)
                Cells.objects.filter(premises=case.premises_id).update(discharge_w=watts)
            time.sleep(random.uniform(0, 0.15))
        connection.close()

    def press() -> None:
        until = time.monotonic() + 20
        while ends.count("issued") < 4 and time.monotonic() < until:
            try:
                seen = preview_of(Case.objects.select_related("application").get())
                issue_pack(
                    application=Case.objects.get().application,
                    seen=seen,
                    declaration=None,
                    by=engineer,
                )
                ends.append("issued")
            except RefusedError as refused:
                ends.append(type(refused).__name__)
        done.set()
        connection.close()

    _threads([threading.Thread(target=save), threading.Thread(target=press)])
    halves = 0
    for pack in FrozenPack.objects.select_related("personal"):
        site = pack_of(pack).technical.site
        watts: set[Any] = {unit.rated_w for unit in site.units}
        watts |= {array.peak_w for array in site.arrays}
        watts |= {cells.discharge_w for cells in site.storage}
        # The first revision may hold the premises as it was before the first save.
        halves += len(watts) != 1 and watts != {3600, 4400}
    return {"issued": ends.count("issued"), "halves": halves, "ends": sorted(set(ends))}


def issue_one() -> dict[str, Any]:
    """Issue what can be issued; its print waits for a worker."""
    from sites.cases.models import Case
    from sites.people.models import Person
    from tests.sites.making import make_pack

    case = Case.objects.select_related("application", "premises", "design").get()
    engineer = Person.objects.order_by("pk").first()
    assert engineer is not None
    return {"digest": make_pack(case, by=engineer).digest}


def work() -> None:
    """A worker that ends when nothing waits."""
    from django.core.management import call_command

    call_command("db_worker", batch=True, startup_delay=False, verbosity=0, reload=False)


def reap() -> None:
    """Take up again what was left; no worker runs."""
    from django.core.management import call_command

    call_command("reap_tasks", minutes=0, verbosity=0)


def wait_until_running() -> dict[str, Any]:
    """Wait until a worker has begun the print."""
    from django_tasks_db.models import DBTaskResult

    until = time.monotonic() + 60
    while time.monotonic() < until:
        if DBTaskResult.objects.filter(status="RUNNING").exists():
            return counts()
        time.sleep(0.01)
    raise SystemExit("no worker began the print")


def begin_screening(lines: int, beginners: int) -> dict[str, Any]:
    """Several engineers begin the same look at so many premises in one moment; parts of one."""
    from django.db import connection

    from sites.looks.writing import looking as screening
    from sites.looks.writing.looking import start_screening
    from sites.people.models import Person
    from sites.premises.reading.site_rows import today
    from tests.sites.looks.cases import wider_text
    from tests.sites.making import make_premises

    for number in range(lines - 1):  # one is there
        make_premises(reference=f"SCR-{number}")
    screening.LINES_OF_A_PART = 1
    engineer = Person.objects.order_by("pk").first()
    assert engineer is not None
    assert engineer.is_engineer
    together = threading.Barrier(beginners)
    ends: list[str] = []
    connection.close()

    def press(_number: int) -> None:
        together.wait()
        try:
            day = today()
            run = start_screening(on=day, local=[wider_text(day)], by=engineer)
            ends.append(str(run.key))
        except Exception as fault:
            ends.append(repr(fault))
        finally:
            connection.close()

    _all_at_once(press, beginners)
    return {"ends": ends, **screened()}


def screen_slowly(quick: int, seconds: float) -> None:
    """A worker that does so many parts and then takes so long over the next one, so that it can be
    killed in the middle of it."""
    from sites.looks.reading.looking import look_at_lines
    from sites.looks.writing import working_out_look

    looked: list[int] = []

    def slow(*asked: Any) -> Any:
        looked.append(1)
        if len(looked) == quick + 1:
            time.sleep(seconds)
        return look_at_lines(*asked)

    vars(working_out_look)["look_at_lines"] = slow
    work()


def wait_until_screening(parts: int) -> dict[str, Any]:
    """Wait until so many parts are done and another is begun."""
    from django_tasks_db.models import DBTaskResult

    until = time.monotonic() + 60
    while time.monotonic() < until:
        found = screened()
        running = DBTaskResult.objects.filter(status="RUNNING").exists()
        if found["done"] >= parts and running:
            return found
        time.sleep(0.01)
    raise SystemExit("no worker did the parts")


def screened() -> dict[str, Any]:
    """How far the look is."""
    from django_tasks_db.models import DBTaskResult

    from sites.house.models import Event
    from sites.looks.models import ScreeningRow, ScreeningRun

    run = ScreeningRun.objects.order_by("pk").first()
    assert run is not None
    statuses = list(DBTaskResult.objects.values_list("status", flat=True))
    return {
        "runs": ScreeningRun.objects.count(),
        "done": run.done,
        "total": run.total,
        "ended": run.ended_at is not None,
        "rows": ScreeningRow.objects.count(),
        "cases": ScreeningRow.objects.values("case").distinct().count(),
        "tasks": {status: statuses.count(status) for status in set(statuses)},
        "begun": Event.objects.filter(act="screening.begun").count(),
    }


def counts() -> dict[str, Any]:
    """What is in the database now."""
    from django_tasks_db.models import DBTaskResult

    from sites.house.models import Event
    from sites.packs.models import FrozenPack

    packs = FrozenPack.objects.order_by("revision")
    return {
        "revisions": [pack.revision for pack in packs],
        "pdfs": [pack.pdf_sha256 for pack in packs],
        "tasks": sorted(DBTaskResult.objects.values_list("status", flat=True)),
        "events": sorted(
            Event.objects.filter(act__startswith="pack.").values_list("act", flat=True)
        ),
    }


def _all_at_once(act: Any, number: int) -> None:
    _threads([threading.Thread(target=act, args=(n,)) for n in range(number)])


def _threads(threads: list[threading.Thread]) -> None:
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=100)


def move_at_once(people: int, cases: int, acts: int) -> dict[str, Any]:
    """So many people do random acts on the same few cases: moves, caps, hand-overs.

    Tells how many acts of each kind were done, and what is wrong afterwards.
    """
    from django.db import connection

    from sites.cases.models import Case, Move
    from sites.cases.moves import ACTS, replay
    from sites.cases.writing import hand_over, move
    from sites.house.refusals import RefusedError
    from sites.people.models import Person
    from sites.people.writing import role
    from sites.review.writing.nightly import differences
    from sites.review.writing.replies import Answered, enter_reply
    from tests.sites.making import make_premises

    engineers = []
    for number in range(people):
        person = Person(email=f"together{number}@fennhaven.example", name=f"Invented {number}")
        person.set_unusable_password()
        person.save()
        person.roles.add(role("engineer"))
        engineers.append(person)
    keys = [make_premises(reference=f"TOG-{number}").pk for number in range(cases)]
    done: dict[str, int] = {"moved": 0, "capped": 0, "handed": 0, "refused": 0}
    faults: list[str] = []
    counting = threading.Lock()
    each_does = acts // people
    connection.close()

    def act(number: int) -> None:
        chance, by = random.Random(number), engineers[number]
        try:
            for _ in range(each_does):
                kind = _one(chance, by)
                with counting:
                    done[kind] += 1
        except Exception as fault:
            faults.append(repr(fault))
        finally:
            connection.close()

    def _one(chance: random.Random, by: Person) -> str:
        case = Case.objects.select_related("application", "premises", "design").get(
            pk=chance.choice(keys)
        )
        try:
            if chance.random() < 0.05:
                hand_over(case=case, to=by, by=by)
                return "handed"
            if chance.random() < 0.1:
                day = case.premises.created_at.date()
                answered = Answered(
                    kind="cap-export", received_on=day, written="9 kW", value=9000, basis="w_total"
                )
                enter_reply(case=case, answered=answered, by=by)
                return "capped"
            fits = [key for key, row in ACTS.items() if case.state in row.to]
            name = chance.choice(fits)
            # What follows from other acts is done here as if by hand.
            move(case=case, act=name, by=by, reason="Invented.", on=case.premises.created_at.date())
        except RefusedError:
            return "refused"
        return "moved"

    _all_at_once(act, people)
    wrong = list(faults)
    for case in Case.objects.filter(pk__in=keys).select_related("application", "kept"):
        moves = list(case.moves.order_by("number").values_list("act", "from_state", "to_state"))
        follows = replay(moves)  # raises for a pair that the table does not have
        if (follows.state, follows.way, follows.early) != (case.state, case.way, case.early):
            wrong.append(f"{case}: {case.state} is not {follows.state}")
        if case.move_number != len(moves):
            wrong.append(f"{case}: {case.move_number} moves, {len(moves)} rows")
        wrong += [f"{case}: kept {name}" for name in differences(case)]
    moved = Move.objects.filter(case__in=keys).exclude(act="begin").count()
    return {"done": done, "moved": moved, "wrong": wrong}
