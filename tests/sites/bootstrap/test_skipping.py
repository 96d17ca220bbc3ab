"""Tests that miss a program skip and say why; where asked to, a skip makes the run fail."""

import pytest

from sites.bootstrap.paths import ROOT

CASES = """
import pytest

def test_runs():
    pass

{skips}
"""
SKIPS = {
    "inside": "def test_other():\n    pytest.skip('no reason')",
    "by mark": "@pytest.mark.skip(reason='none')\ndef test_other():\n    pass",
    "in a fixture": (
        "@pytest.fixture\ndef thing():\n    pytest.skip('none')\ndef test_other(thing):\n    pass"
    ),
    "a whole file": "pytest.skip('none', allow_module_level=True)",
    "a missing module": "pytest.importorskip('no_such_module_at_all')",
}


@pytest.fixture
def inner(pytester, monkeypatch):
    """Runs pytest with our hooks over cases of its own."""
    pytester.makeconftest((ROOT / "tests" / "conftest.py").read_text())
    monkeypatch.setenv("PYTHONPATH", str(ROOT))

    def run(cases: str, *, skips_fail: bool):
        monkeypatch.setenv("METERSIDE_SKIPS_FAIL", "1" if skips_fail else "")
        pytester.makepyfile(test_cases=cases, test_more="def test_runs():\n    pass")
        return pytester.runpytest_subprocess("-p", "no:django", "-p", "no:cacheprovider", "-rs")

    return run


@pytest.mark.parametrize("way", SKIPS)
def test_a_skip_fails_the_run_where_asked(inner, way):
    result = inner(CASES.format(skips=SKIPS[way]), skips_fail=True)
    assert result.ret == pytest.ExitCode.TESTS_FAILED
    result.stdout.fnmatch_lines(["Skipping counts as failing here, and 1 skipped: test_cases.py*"])


@pytest.mark.parametrize("way", ["inside", "by mark", "in a fixture"])
def test_a_skip_is_allowed_elsewhere(inner, way):
    result = inner(CASES.format(skips=SKIPS[way]), skips_fail=False)
    assert result.ret == pytest.ExitCode.OK
    result.assert_outcomes(passed=2, skipped=1)


def test_no_skip_no_failure(inner):
    result = inner(CASES.format(skips=""), skips_fail=True)
    assert result.ret == pytest.ExitCode.OK
    result.stdout.no_fnmatch_line("*Skipping counts*")


def test_an_expected_failure_is_no_skip(inner):
    cases = "@pytest.mark.xfail(reason='known')\ndef test_other():\n    assert False"
    result = inner(CASES.format(skips=cases), skips_fail=True)
    assert result.ret == pytest.ExitCode.OK
    result.assert_outcomes(passed=2, xfailed=1)


def test_a_missing_program_is_named_with_the_command(inner, monkeypatch):
    monkeypatch.setenv("PATH", "/nowhere")
    cases = "@pytest.mark.browser\ndef test_other():\n    assert False"
    result = inner(CASES.format(skips=cases), skips_fail=False)
    result.stdout.fnmatch_lines(
        ["*chromium is not installed; type: sudo apt-get install --no-install-recommends chromium*"]
    )
