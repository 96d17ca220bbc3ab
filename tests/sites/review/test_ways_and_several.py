"""Decisions that name their way, and one decision on several findings. All sites invented."""

from typing import Any

import pytest
from django.urls import reverse

from sites.deciding.reading.deciding import decide_case
from sites.house.models import Event
from sites.house.refusals import FactsChangedError, NotAllowedError, RefusedError
from sites.packs.reading.packs import draft_of
from sites.premises.models import Design, Limit, Unit
from sites.review.models import Verdict
from sites.review.writing.verdicts import decide_finding, decide_findings
from tests.sites.making import home, make_premises
from tests.sites.review.making import acts, seen_of

IMPORT = "check-import-limit"


@pytest.fixture
def much(office):
    """40 A of ordinary demand, a heat pump (13.043 A), a charge point (32 A) and cells that charge
    with 3600 W (15.652 A) are 100.696 A on a cut-out of 80 A; 53.043 A of it can't be turned
    down."""
    cells = {**home()["storage"][0], "charges_from_grid": True}
    loads = {
        "assessed_demand_va": 9200,
        "measured": False,
        "items": [
            {"name": "heat pump", "w": 3000, "controllable": False},
            {"name": "charge point", "w": 7360, "controllable": True},
        ],
    }
    return make_premises(by=office, storage=[cells], loads=loads)


def review(case):
    return reverse("case-review", args=[case.key])


def send(client, case, **sent):
    return client.post(reverse("verdict", args=[case.key]), sent)


def hidden(case, finding_id):
    seen = seen_of(case, finding_id)
    return {"finding": seen.id, "subject": seen.subject, "basis": seen.basis}


class TestWays:
    def test_words_alone_are_refused(self, much, engineer, by_engineer):
        seen = seen_of(much, IMPORT)
        with pytest.raises(RefusedError, match="Choose the way"):
            decide_finding(case=much, seen=seen, reason="It will be fine.", by=engineer)
        page = send(by_engineer, much, **hidden(much, IMPORT), reason="It will be fine.")
        assert page.status_code == 422
        (fault,) = page.context["faults"]
        assert fault.message == "Choose the way in which this is answered."
        assert f'id="{fault.target}"' in page.text
        assert "It will be fine." in page.text
        assert not Verdict.objects.exists()

    def test_an_import_limit_wants_the_design_to_have_one(self, much, engineer):
        seen = seen_of(much, IMPORT)
        with pytest.raises(RefusedError, match="words can't replace it"):
            decide_finding(case=much, seen=seen, reason="", way="import-limit", by=engineer)

    def test_another_fuse_needs_no_words_and_is_printed(self, much, engineer, by_engineer):
        answer = send(by_engineer, much, **hidden(much, IMPORT), way="other-fuse", reason="")
        assert answer.status_code == 302
        verdict = Verdict.objects.get()
        assert (verdict.way, verdict.reason) == ("other-fuse", "")
        text = by_engineer.get(review(much)).text
        assert "The network operator fits another fuse before energising." in text
        draft = draft_of(much.application)
        assert IMPORT not in [o.finding.id for o in draft.obstacles if o.finding]
        assert draft.annex is not None
        table: Any = next(
            block
            for section in draft.annex.technical.sections
            for block in section.blocks
            if block.id == "findings.decisions"
        )
        assert table.rows[0].cells[1].text == (
            "The network operator fits another fuse before energising."
        )

    def test_a_decision_of_before_that_names_no_way_counts_no_more(self, much, engineer):
        seen = seen_of(much, IMPORT)
        Verdict.objects.create(
            case=much, finding=seen.id, subject=seen.subject, basis=seen.basis, kind="decided",
            reason="Free words.", by=engineer, at=much.application.created_at,
        )  # fmt: skip
        draft = draft_of(much.application)
        assert IMPORT in [o.finding.id for o in draft.obstacles if o.finding]

    def test_the_remedy_becomes_a_design_that_holds_the_limit(self, much, by_engineer):
        page = by_engineer.get(review(much))
        remedies = page.context["remedies"]
        (found,) = (
            each for each in (*remedies.first, *remedies.rest) if each.remedy.kind == "import-limit"
        )
        assert "holding import to 80 A leads to:" in found.remedy.sentence
        assert "It answers the demand above the cut-out." in found.remedy.sentence
        assert '<a href="#would-change">what would change it</a>' in page.text
        assert 'id="would-change"' in page.text
        made = by_engineer.post(
            reverse("design-from-remedy", args=[much.design.key]), {"remedy": found.mark}
        )
        assert made.status_code == 302
        design = Design.objects.get(name="Import limit 80 A")
        limit = Limit.objects.get(design=design)
        assert (limit.on, limit.value, limit.basis, limit.type_tested) == (
            "import", 80_000, "ma_per_phase", True,
        )  # fmt: skip
        much.design = design
        decision = decide_case(much).decision
        assert decision is not None
        assert IMPORT not in [finding.id for finding in decision.findings]


class TestSeveral:
    @pytest.fixture
    def two(self, office):
        """The battery can run as an island, and the service is looped."""
        units = home()["units"]
        units[1]["can_island"] = True
        supply = {**home()["supply"], "looped": True}
        return make_premises(by=office, units=units, supply=supply)

    def both(self, case):
        return [seen_of(case, name) for name in ("can-island", "looped-service")]

    def test_each_gets_its_own_row_on_its_own_basis(self, two, engineer):
        seen = self.both(two)
        decide_findings(case=two, seen=seen, reason="Seen on site.", by=engineer)
        rows = Verdict.objects.order_by("finding")
        assert [(r.finding, r.subject, r.basis, r.reason) for r in rows] == [
            (each.id, each.subject, each.basis, "Seen on site.") for each in seen
        ]
        assert acts(two) == ["findings.decided"]
        event = Event.objects.get(act="findings.decided")
        assert [each["finding"] for each in event.data["findings"]] == [
            "can-island",
            "looped-service",
        ]
        # One of them on other facts does not touch the other.
        Unit.objects.filter(label="bat-1").update(can_island=None)
        open_now = [o.finding.id for o in draft_of(two.application).obstacles if o.finding]
        assert open_now == ["can-island"]

    def test_all_or_none(self, two, engineer):
        seen = self.both(two)
        Unit.objects.filter(label="bat-1").update(can_island=None)
        with pytest.raises(FactsChangedError):
            decide_findings(case=two, seen=seen, reason="Seen.", by=engineer)
        assert not Verdict.objects.exists()

    def test_of_several_none_may_have_ways_of_its_own(self, much, engineer):
        Unit.objects.filter(label="bat-1").update(can_island=True)
        seen = [seen_of(much, "can-island"), seen_of(much, IMPORT)]
        for way in ("", "other-fuse"):
            with pytest.raises(RefusedError):
                decide_findings(case=much, seen=seen, reason="Seen.", way=way, by=engineer)
        assert not Verdict.objects.exists()

    def test_only_engineers(self, two, office):
        with pytest.raises(NotAllowedError):
            decide_findings(case=two, seen=self.both(two), reason="Seen.", by=office)

    def test_the_page_names_each_and_takes_those_ticked(self, two, by_engineer):
        page = by_engineer.get(review(two))
        form = page.context["several_form"]
        said = [label for _, label in form.fields["findings"].choices]
        decision = decide_case(two).decision
        assert decision is not None
        assert said == [f.sentence for f in decision.findings if f.severity == "decide"]
        assert len(said) == 2
        ticks = [value for value, _ in form.fields["findings"].choices]
        page = send(by_engineer, two, act="several", findings=ticks, reason=" ")
        assert page.status_code == 422
        assert [fault.target for fault in page.context["faults"]] == ["several-reason"]
        assert page.text.count(" checked") == 2
        page = send(by_engineer, two, act="several", reason="Seen.")
        assert [fault.target for fault in page.context["faults"]] == ["several-findings_0"]
        assert 'id="several-findings_0"' in page.text
        answer = send(by_engineer, two, act="several", findings=ticks, reason="Seen on site.")
        assert answer.status_code == 302
        assert Verdict.objects.count() == 2
        # Nothing is left that one decision could cover.
        assert "several_form" not in by_engineer.get(review(two)).context

    def test_a_finding_on_other_facts_is_not_taken(self, two, by_engineer):
        form = by_engineer.get(review(two)).context["several_form"]
        ticks = [value for value, _ in form.fields["findings"].choices]
        Unit.objects.filter(label="bat-1").update(can_island=None)
        page = send(by_engineer, two, act="several", findings=ticks, reason="Seen on site.")
        assert page.status_code == 422
        assert "facts behind a finding have changed" in page.text
        assert "Seen on site." in page.text
        assert not Verdict.objects.exists()
