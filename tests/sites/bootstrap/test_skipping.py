"""Tests that miss a program skip and say why; where asked to, a skip makes the run fail."""

import pytest

from sites.bootstrap.paths import ROOT

RUNS = "import pytest\n\ndef test_runs():\n    pass\n\n"
INSIDE = {
    "inside": "def test_other():\n    pytest.skip('no reason')",
    "by_mark": "@pytest.mark.skip(reason='none')\ndef test_other():\n    pass",
    "in_a_fixture": (
        "@pytest.fixture\ndef thing():\n    pytest.skip('none')\ndef test_other(thing):\n    pass"
    ),
}
WHOLE = {
    "a_whole_file": "pytest.skip('none', allow_module_level=True)",
    "a_missing_module": "pytest.importorskip('no_such_module_at_all')",
}
NO_SKIP = {
    "nothing_skips": "",
    "a_known_failure": "@pytest.mark.xfail(reason='known')\ndef test_other():\n    assert False",
}


@pytest.fixture
def inner(pytester, monkeypatch):
    """Runs pytest with our hooks over files of its own, given as what follows a test that runs."""
    pytester.makeconftest((ROOT / "tests" / "conftest.py").read_text())
    monkeypatch.setenv("PYTHONPATH", str(ROOT))

    def run(files: dict[str, str], *options: str, skips_fail: bool):
        monkeypatch.setenv("METERSIDE_SKIPS_FAIL", "1" if skips_fail else "")
        pytester.makepyfile(**{f"test_{name}": RUNS + text for name, text in files.items()})
        return pytester.runpytest_subprocess(
            "-p", "no:django", "-p", "no:cacheprovider", "-rs", *options
        )

    return run


@pytest.mark.parametrize("processes", ["0", "2"])
def test_each_way_of_skipping_fails_the_run_where_asked(inner, processes):
    result = inner(INSIDE | WHOLE, "-n", processes, skips_fail=True)
    assert result.ret == pytest.ExitCode.TESTS_FAILED
    result.stdout.fnmatch_lines(
        [
            "Skipping counts as failing here, and 5 skipped: test_a_missing_module.py, "
            "test_a_whole_file.py, test_by_mark.py::test_other, test_in_a_fixture.py::test_other, "
            "test_inside.py::test_other"
        ]
    )


def test_a_single_skip_is_enough(inner):
    result = inner({"a_whole_file": WHOLE["a_whole_file"], "no_skip": ""}, skips_fail=True)
    assert result.ret == pytest.ExitCode.TESTS_FAILED
    result.assert_outcomes(passed=1, skipped=1)


def test_skips_are_allowed_elsewhere(inner):
    result = inner(INSIDE, skips_fail=False)
    assert result.ret == pytest.ExitCode.OK
    result.assert_outcomes(passed=3, skipped=3)
    result.stdout.no_fnmatch_line("*Skipping counts*")


def test_no_skip_no_failure_nor_for_one_that_is_expected(inner):
    result = inner(NO_SKIP, skips_fail=True)
    assert result.ret == pytest.ExitCode.OK
    result.assert_outcomes(passed=2, xfailed=1)
    result.stdout.no_fnmatch_line("*Skipping counts*")


def test_a_missing_program_is_named_with_the_command(inner, monkeypatch):
    monkeypatch.setenv("PATH", "/nowhere")
    cases = "@pytest.mark.browser\ndef test_other():\n    assert False"
    result = inner({"needs_it": cases}, skips_fail=False)
    result.stdout.fnmatch_lines(
        ["*chromium is not installed; type: sudo apt-get install --no-install-recommends chromium*"]
    )
