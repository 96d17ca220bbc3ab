"""Looking at all cases again: one task for some 200, each done once, however often it is begun."""

import datetime as dt

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction
from django.db.models import F
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from django_tasks_db.models import DBTaskResult
from msgspec import structs

from connections.rules.engineering import with_checks
from sites.cases.models import Application, Case
from sites.deciding.reading.deciding import assessor, decide_case
from sites.desk.writing.demonstration import load_demo
from sites.house.models import Event, Work
from sites.house.refusals import NotAllowedError, RefusedError
from sites.house.writing.working_out import note_fault, work_out
from sites.looks.models import NotedRules, ScreeningRow, ScreeningRun
from sites.looks.reading import looking as screening_lines
from sites.looks.reading.differing_lines import decided_on, facts_of
from sites.looks.reading.found_by_looks import (
    progress_of,
    rows_of,
    run_words,
    touched,
    touched_premises,
)
from sites.looks.writing import looking as screening
from sites.looks.writing import working_out_look
from sites.looks.writing.local_entries import end_entry
from sites.looks.writing.looking import (
    ask_for_rest,
    look_for_changes,
    mark_all_looked,
    mark_looked,
    start_screening,
)
from sites.premises.models import Premises, Unit
from sites.premises.reading.site_rows import rows_for
from sites.rulebook.models import KeptRulebook
from tests.sites.looks.cases import (
    NOTIFY,
    SHORT,
    enter,
    enter_wider,
    slower,
    value_entry,
    wider_text,
)
from tests.sites.making import home, make_pack, make_premises

TODAY = timezone.localdate()
DAY = dt.timedelta(days=1)


@pytest.fixture
def parts_of_two(monkeypatch):
    monkeypatch.setattr(screening, "LINES_OF_A_PART", 2)


def do_part(run, place):
    """One part, as a worker does it."""
    part = run.parts.get(place=place)
    return work_out(str(part.key), part.digest)


def do(run):
    """Every part, as a worker does them."""
    for place in range(run.parts.count()):
        do_part(run, place)
    run.refresh_from_db()
    return run


def look():
    return do(look_for_changes())


def five():
    return [make_premises(on_date=TODAY.isoformat()) for _ in range(5)]


def bare():
    """A premises whose sheet has nothing on it yet: it can't be decided."""
    case = make_premises()
    Unit.objects.filter(premises=case.premises).delete()
    return case


class TestBeginning:
    def test_some_lines_are_one_task(self, engineer, parts_of_two):
        cases = five()
        run = start_screening(on=TODAY, by=engineer)
        assert [part.asked for part in run.parts.all()] == [
            [cases[0].pk, cases[1].pk], [cases[2].pk, cases[3].pk], [cases[4].pk],
        ]  # fmt: skip
        assert (run.total, run.done, run.ended_at) == (5, 0, None)
        assert DBTaskResult.objects.count() == 3

    def test_without_any_line_it_has_ended(self, engineer):
        run = start_screening(on=TODAY, by=engineer)
        assert run.ended_at is not None
        assert DBTaskResult.objects.count() == 0

    def test_the_same_question_comes_to_the_run_under_way(self, engineer):
        make_premises()
        first = start_screening(on=TODAY, by=engineer)
        assert start_screening(on=TODAY, by=engineer) == first
        assert DBTaskResult.objects.count() == 1
        assert Event.objects.filter(act="screening.begun").count() == 1

    def test_another_question_is_another_run(self, engineer):
        make_premises()
        first = start_screening(on=TODAY, by=engineer)
        asked = [
            start_screening(on=TODAY + DAY, by=engineer),
            start_screening(on=TODAY, local=[wider_text(TODAY)], by=engineer),
            look_for_changes(),
        ]
        assert len({first.pk, *(run.pk for run in asked)}) == 4

    def test_after_its_end_the_question_is_asked_anew(self, engineer):
        make_premises()
        first = do(start_screening(on=TODAY, by=engineer))
        assert start_screening(on=TODAY, by=engineer) != first

    def test_the_database_refuses_two_runs_of_one_question(self, engineer):
        make_premises()
        run = start_screening(on=TODAY, by=engineer)
        with pytest.raises(IntegrityError), transaction.atomic():
            ScreeningRun.objects.create(
                kind=run.kind, on=run.on, today=run.today, asked=run.asked, total=1,
                asked_at=timezone.now(),
            )  # fmt: skip

    def test_an_engineer_begins_it(self, office):
        with pytest.raises(NotAllowedError):
            start_screening(on=TODAY, by=office)
        assert not ScreeningRun.objects.exists()

    def test_a_local_file_that_cannot_be_read_is_refused(self, engineer):
        with pytest.raises(RefusedError, match=r"half\.toml"):
            start_screening(on=TODAY, local=[("half.toml", "[book")], by=engineer)
        assert not ScreeningRun.objects.exists()


class TestParts:
    def test_a_part_is_done_once(self, engineer, parts_of_two):
        five()
        run = start_screening(on=TODAY, local=[wider_text(TODAY)], by=engineer)
        ends = [(do_part(run, place), run.rows.count()) for place in (0, 0, 1, 1, 2)]
        assert ends == [(True, 2), (False, 2), (True, 4), (False, 4), (True, 5)]
        run.refresh_from_db()
        assert (run.done, run.rows.count()) == (5, 5)
        assert run.ended_at is not None

    def test_of_two_workers_on_one_part_the_first_is_noted(self, engineer, monkeypatch):
        make_premises()
        run = start_screening(on=TODAY, local=[wider_text(TODAY)], by=engineer)
        slow = screening_lines.look_at_lines

        def overtaken(*asked):
            monkeypatch.undo()
            found = slow(*asked)
            assert do_part(run, 0)
            return found

        monkeypatch.setattr(working_out_look, "look_at_lines", overtaken)
        assert not do_part(run, 0)
        run.refresh_from_db()
        assert (run.done, run.rows.count()) == (1, 1)

    def test_a_part_of_a_run_that_is_gone_does_nothing(self, engineer):
        make_premises()
        run = start_screening(on=TODAY, by=engineer)
        part = run.parts.get()
        run.delete()
        assert not work_out(str(part.key), part.digest)

    def test_a_failure_is_noted_and_the_run_goes_on_to_its_end(
        self, engineer, parts_of_two, monkeypatch
    ):
        five()
        run = start_screening(on=TODAY, by=engineer)

        def fails(*_args):
            raise ZeroDivisionError("/home/somebody/secret")

        with monkeypatch.context() as patched:
            patched.setattr(working_out_look, "look_at_lines", fails)
            with pytest.raises(ZeroDivisionError):
                do_part(run, 1)
        do(run)
        assert run.ended_at is not None
        (fault,) = progress_of(run).faults
        assert fault == "2 sites: Something in the program failed; its log says what."

    def test_a_line_that_is_gone_is_left_out(self, engineer, parts_of_two):
        cases = five()
        run = start_screening(on=TODAY, local=[wider_text(TODAY)], by=engineer)
        cases[0].delete()
        do(run)
        assert {row.case_id for row in run.rows.all()} == {case.pk for case in cases[1:]}
        assert (run.done, run.total) == (5, 5)

    def test_the_queries_do_not_grow_with_lines(self, engineer):
        def queries():
            run = start_screening(on=TODAY, local=[wider_text(TODAY)], by=engineer)
            with CaptureQueriesContext(connection) as captured:
                assert do_part(run, 0)
            assert run.rows.count() == run.total
            return len(captured)

        make_premises()
        one = queries()
        for _ in range(9):
            make_premises()
        assert queries() == one

    def test_nor_do_those_of_a_look_for_changes(self, engineer):
        def queries():
            # The first comes to the run that ending the entry began, without the new cases.
            look(), look()
            entry = enter_wider(engineer, TODAY)
            run = look_for_changes()
            with CaptureQueriesContext(connection) as captured:
                assert do_part(run, 0)
            assert run.rows.count() == run.total
            end_entry(row=entry, last_day=TODAY - DAY, reason="Again.", by=engineer)
            return len(captured)

        make_premises(on_date=TODAY.isoformat())
        queries()
        one = queries()
        for _ in range(9):
            make_premises(on_date=TODAY.isoformat())
        assert queries() == one

    def test_the_rest_is_asked_for_again(self, engineer, office, parts_of_two):
        five()
        run = start_screening(on=TODAY, by=engineer)
        do_part(run, 0)
        DBTaskResult.objects.all().delete()
        with pytest.raises(NotAllowedError):
            ask_for_rest(run=run, by=office)
        ask_for_rest(run=run, by=engineer)
        queued = {task.args_kwargs["args"][0] for task in DBTaskResult.objects.all()}
        assert queued == {str(run.parts.get(place=place).key) for place in (1, 2)}
        do(run)
        with pytest.raises(RefusedError, match="looked at already"):
            ask_for_rest(run=run, by=engineer)

    def test_what_took_three_workers_down_is_noted_on_its_part(self, engineer):
        make_premises()
        run = start_screening(on=TODAY, by=engineer)
        DBTaskResult.objects.update(
            status="RUNNING", started_at=timezone.now() - DAY, worker_ids=["a", "b", "c"]
        )
        call_command("reap_tasks", minutes=0)
        run.refresh_from_db()
        assert run.ended_at is not None
        assert "begun 3 times" in progress_of(run).faults[0]

    def test_a_part_that_was_done_is_not_given_up(self, engineer):
        make_premises()
        run = do(start_screening(on=TODAY, by=engineer))
        part = run.parts.get()
        note_fault(part.key, part.digest, "It was begun 3 times.")
        assert progress_of(run).faults == ()
        assert ScreeningRun.objects.get().done == 1


@pytest.mark.django_db(transaction=True)
def test_a_worker_does_it(engineer):
    make_premises()
    run = start_screening(on=TODAY, local=[wider_text(TODAY)], by=engineer)
    call_command("db_worker", batch=True, startup_delay=False, verbosity=0, reload=False)
    assert DBTaskResult.objects.get().status == "SUCCESSFUL"
    run.refresh_from_db()
    assert run.ended_at is not None
    assert run.rows.count() == 1


class TestWhatIsCompared:
    def test_a_change_under_test(self, engineer):
        case = make_premises()
        bare()
        run = do(start_screening(on=TODAY, local=[wider_text(TODAY)], by=engineer))
        (row,) = run.rows.all()
        assert (row.case, row.was, row.now) == (case, SHORT, NOTIFY)
        assert row.changes[0] == {
            "kind": "procedure",
            "about": "procedure",
            "before": SHORT,
            "after": NOTIFY,
            "sentence": f"Procedure: {NOTIFY} instead of {SHORT}.",
        }
        assert "considered" in run_words(run)
        # Nothing was entered: the site stands as it did.
        assert not NotedRules.objects.exists()
        assert do(start_screening(on=TODAY, by=engineer)).rows.count() == 0

    def test_a_change_that_begins_later_changes_nothing_before(self, engineer):
        make_premises()
        later = [wider_text(TODAY + 10 * DAY)]
        assert do(start_screening(on=TODAY, local=later, by=engineer)).rows.count() == 0
        assert do(start_screening(on=TODAY + 10 * DAY, local=later, by=engineer)).rows.count() == 1

    def test_a_date_of_the_rules_that_is_later_counts(self, engineer):
        make_premises(on_date=(TODAY + 20 * DAY).isoformat())
        later = [wider_text(TODAY + 10 * DAY)]
        assert do(start_screening(on=TODAY, local=later, by=engineer)).rows.count() == 1

    def test_the_rules_of_a_day(self, engineer):
        case = make_premises(on_date=TODAY.isoformat())
        enter_wider(engineer, TODAY + 10 * DAY)
        assert do(start_screening(on=TODAY + 9 * DAY, by=engineer)).rows.count() == 0
        run = do(start_screening(on=TODAY + 10 * DAY, by=engineer))
        (row,) = run.rows.all()
        assert (row.case, row.was, row.now, row.coming) == (case, SHORT, NOTIFY, None)

    def test_a_day_without_an_edition(self, engineer):
        make_premises()
        run = do(start_screening(on=dt.date(1999, 1, 1), by=engineer))
        (row,) = run.rows.all()
        assert row.now == "Cannot tell yet"
        assert row.changes[0]["sentence"].startswith(
            "It can't be decided under these rules: no edition is known for 1999-01-01"
        )

    def test_every_line_is_decided_as_on_its_page(self, engineer):
        """The demonstration, and a home whose work is done: a notification tells of plant that is
        there, on the pages and here."""
        load_demo()
        done = make_premises(units=[home()["units"][0]], storage=[], on_date=TODAY.isoformat())
        Unit.objects.filter(premises=done.premises).update(commissioned_on=TODAY)
        cases = list(Case.objects.select_related("premises", "design"))
        assert len(cases) == 13
        as_built = []
        for case in cases:
            page = decide_case(case)
            rows = rows_for(case.premises, case.design)
            day = case.premises.on_date or TODAY
            decided = decided_on(rows, facts_of(rows), assessor(), day).decided
            assert (decided is None) == (page.decision is None)
            if decided is None or page.decision is None:
                continue
            assert decided.procedure == page.decision.procedure.key
            checked = with_checks(decided).findings
            assert [(each.id, each.subject, each.severity) for each in checked] == [
                (each.id, each.subject, each.severity) for each in page.decision.findings
            ]
            assert decided.steps == page.decision.steps
            if {unit.status for unit in decided.case.site.units} == {"existing"}:
                as_built.append(case)
        assert done in as_built

    def test_electrical_checks_are_compared_where_their_values_differ(self, engineer):
        """An inverter's cable of 20 m, 2.5 mm2: 2 x 20 m x 7.41 mOhm/m (copper at 20 degrees) is
        0.30 ohm; 3600 W / 230 V = 15.7 A makes 4.6 V of it, 2.0 % of 230 V. The limit of 1 % is
        passed, an invented one of 5 % kept."""
        cable = {"from": "main board", "csa_mm2": "2.5", "material": "copper", "cores": 2}
        cables = [
            {**cable, "to": unit, "unit_id": unit, "length_mm": length_mm}
            for unit, length_mm in (("pv-1", 20_000), ("bat-1", 1000))
        ]
        make_premises(on_date=TODAY.isoformat(), cables=cables)
        look()
        entry = value_entry("voltage_rise.run_limit", "thousandths", "5 %", TODAY + DAY, None)
        enter(engineer, entry)
        (row,) = do(start_screening(on=TODAY + DAY, by=engineer)).rows.all()
        assert [change["kind"] for change in row.changes] == ["finding"]
        assert row.changes[0]["after"] == ""
        assert "Needs an engineer's decision" in row.changes[0]["before"]
        assert "1 %" in row.changes[0]["before"]
        assert look().rows.get().coming == TODAY + DAY


class TestLookingForChanges:
    def test_the_first_look_notes_the_rules_of_each_line(self, engineer):
        case = make_premises(on_date=TODAY.isoformat())
        bare()
        run = look()
        assert (run.total, run.rows.count()) == (2, 0)
        noted = NotedRules.objects.get()
        assert noted.case == case
        assert KeptRulebook.objects.filter(digest=noted.rulebook_id).exists()

    def test_an_entry_begins_a_look_and_what_it_touches_stands_until_it_was_looked_at(
        self, engineer, office
    ):
        case = make_premises(on_date=TODAY.isoformat())
        look()
        enter_wider(engineer, TODAY)
        run = ScreeningRun.objects.filter(ended_at__isnull=True).get()
        assert run.asked_by == engineer
        do(run)
        (row,) = run.rows.all()
        assert (row.was, row.now, row.coming) == (SHORT, NOTIFY, None)
        assert [each.says for each in touched([case.pk])[case.pk]] == [
            f"Rules changed: now {NOTIFY}"
        ]
        look()
        assert len(touched([case.pk])[case.pk]) == 1
        (row,) = ScreeningRow.objects.filter(run__ended_at__isnull=False, run=look())

        with pytest.raises(NotAllowedError):
            mark_looked(row=row, by=office)
        mark_looked(row=row, by=engineer)
        assert touched([case.pk]) == {}
        assert look().rows.count() == 0
        event = Event.objects.filter(act="rules.looked").get()
        assert (event.subject_key, event.actor_key) == (case.premises.key, engineer.key)
        with pytest.raises(RefusedError):
            mark_looked(row=row, by=engineer)

    def test_an_entry_that_is_taken_back_touches_nothing_any_more(self, engineer):
        case = make_premises(on_date=TODAY.isoformat())
        look()
        entry = enter_wider(engineer, TODAY)
        look()
        assert touched_premises().get() == case.premises
        end_entry(row=entry, last_day=TODAY - DAY, reason="A mistake.", by=engineer)
        look()
        assert not touched_premises().exists()

    def test_what_is_to_come_is_told_once(self, engineer, monkeypatch):
        case = make_premises(on_date=TODAY.isoformat())
        look()
        day = TODAY + 10 * DAY
        enter_wider(engineer, day)
        run = look()
        assert run.coming == [day.isoformat()]
        (row,) = run.rows.all()
        assert (row.coming, row.was, row.now) == (day, SHORT, NOTIFY)
        words = f"From {day.day} {day:%B} {day.year}: {NOTIFY}"
        assert [each.says for each in touched([case.pk])[case.pk]] == [words]
        mark_looked(row=row, by=engineer)
        assert look().rows.count() == 0

        # The day has come: it was looked at, and now it is noted.
        monkeypatch.setattr(screening, "today", lambda: day)
        assert look().rows.count() == 0
        assert NotedRules.objects.get().rulebook_id == row.rulebook

    def test_what_was_not_looked_at_before_it_came_is_told_as_changed(self, engineer, monkeypatch):
        case = make_premises(on_date=TODAY.isoformat())
        day = TODAY + 10 * DAY
        enter_wider(engineer, day)
        look()
        monkeypatch.setattr(screening, "today", lambda: day)
        (row,) = look().rows.all()
        assert (row.case, row.coming, row.now) == (case, None, NOTIFY)

    def test_too_far_ahead_it_is_not_told_yet(self, engineer):
        make_premises(on_date=TODAY.isoformat())
        enter_wider(engineer, TODAY + 61 * DAY)
        assert look().coming == []

    def test_a_line_that_was_never_noted_takes_the_rules_of_its_last_save(self, engineer):
        """Saved before the entry was made, and looked at only after it."""
        make_premises(on_date=TODAY.isoformat())
        Premises.objects.update(changed_at=timezone.now() - DAY)
        enter_wider(engineer, TODAY - 5 * DAY)
        (row,) = look().rows.all()
        assert (row.was, row.now) == (SHORT, NOTIFY)

    def test_a_line_that_was_made_after_the_change_is_not_touched(self, engineer):
        look()
        enter_wider(engineer, TODAY)
        make_premises(on_date=TODAY.isoformat())
        assert look().rows.count() == 0

    def test_facts_that_change_are_no_change_of_rules(self, engineer):
        case = make_premises(on_date=TODAY.isoformat())
        look()
        Unit.objects.filter(premises=case.premises, label="bat-1").delete()
        assert look().rows.count() == 0

    def test_a_pack_keeps_its_rules_and_a_new_revision_answers_what_was_said(self, engineer):
        case = make_premises(on_date=TODAY.isoformat())
        pack = make_pack(case, by=engineer)
        enter(engineer, slower(TODAY))
        (row,) = look().rows.all()
        assert (row.was, row.now) == (SHORT, SHORT)
        (said,) = touched([case.pk])[case.pk]
        assert said.says == "Rules changed: a step differs"
        assert "20 working days" in said.sentences[0]
        pack.refresh_from_db()
        assert pack.rulebook_id != row.rulebook

        Application.objects.filter(pk=case.application_id).update(version=F("version") + 1)
        assert make_pack(case, by=engineer).rulebook_id == row.rulebook
        assert touched([case.pk]) == {}
        assert look().rows.count() == 0

    def test_only_the_last_look_is_kept_and_old_runs_go(self, engineer):
        make_premises(on_date=TODAY.isoformat())
        look_for_changes(), enter(engineer, slower(TODAY + 90 * DAY))  # two that no worker does
        look(), look(), look()
        assert ScreeningRun.objects.count() == 2  # the last, and the one before until the next
        old = do(start_screening(on=TODAY, by=engineer))
        ScreeningRun.objects.filter(pk=old.pk).update(
            ended_at=timezone.now() - 31 * DAY, asked_at=timezone.now() - 31 * DAY
        )
        look()
        assert not ScreeningRun.objects.filter(pk=old.pk).exists()
        assert Work.objects.count() == 2

    def test_looked_at_while_a_look_is_under_way(self, engineer, monkeypatch):
        """The look read the case before the engineer said it was seen; it stays seen."""
        make_premises(on_date=TODAY.isoformat())
        look()
        enter_wider(engineer, TODAY)
        (row,) = look().rows.all()
        run = look_for_changes()
        slow = screening_lines.look_at_lines

        def seen_meanwhile(*asked):
            found = slow(*asked)
            assert len(found.differing) == 1
            mark_looked(row=row, by=engineer)
            return found

        monkeypatch.setattr(working_out_look, "look_at_lines", seen_meanwhile)
        do(run)
        assert run.rows.count() == 0

    def test_all_at_once(self, engineer, office):
        cases = [make_premises(on_date=TODAY.isoformat()) for _ in range(3)]
        look()
        enter(engineer, slower(TODAY)), enter_wider(engineer, TODAY + 10 * DAY)
        run = look()
        assert [row.coming for row in rows_of(run)] == [
            None, TODAY + 10 * DAY,
        ] * 3  # fmt: skip
        with pytest.raises(NotAllowedError):
            mark_all_looked(run=run, by=office)
        first = run.rows.first()
        assert first is not None
        mark_looked(row=first, by=engineer)
        assert mark_all_looked(run=run, by=engineer) == 5
        assert touched(case.pk for case in cases) == {}
        assert Event.objects.filter(act="rules.looked").count() == 2
        with pytest.raises(RefusedError, match="looked at already"):
            mark_all_looked(run=run, by=engineer)
        assert look().rows.count() == 0
        with pytest.raises(RefusedError, match="once more"):
            mark_all_looked(run=run, by=engineer)

    def test_what_is_only_for_information_touches_nobody(self, engineer):
        """31.304 A stands within 5 % of the 32 A of the second procedure: once that value is only
        secondary, a case says so. A run that somebody asks for shows that too."""
        make_premises(on_date=TODAY.isoformat())
        look()
        entry = structs.replace(
            value_entry("sgi-2.sum_limit", "mA", "32 A", TODAY + DAY, None), certainty="secondary"
        )
        enter(engineer, entry)
        run = do(start_screening(on=TODAY + DAY, by=engineer))
        kinds = {change["kind"] for row in run.rows.all() for change in row.changes}
        assert kinds == {"finding"}
        assert look().rows.count() == 0

    def test_a_row_of_an_older_look_is_not_marked(self, engineer):
        make_premises(on_date=TODAY.isoformat())
        look()
        enter_wider(engineer, TODAY)
        (row,) = look().rows.all()
        look()
        with pytest.raises(RefusedError, match="once more"):
            mark_looked(row=row, by=engineer)

    def test_the_command(self, engineer, capsys):
        make_premises(on_date=TODAY.isoformat())
        call_command("rescreen")
        assert "The worker is looking at 1 site." in capsys.readouterr().out
        call_command("rescreen", "--here")
        said = capsys.readouterr().out
        assert "Looked at 1 site; the rules change something for 0." in said
        assert ScreeningRun.objects.get().ended_at is not None
        assert Case.objects.count() == NotedRules.objects.count() == 1
