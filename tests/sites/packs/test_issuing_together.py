"""Issuing while somebody saves, on two connections. SQLite lets one write at a time anyway; what is
held for the issuing shows on PostgreSQL."""

import pytest

from tests.sites.packs.saving_beside import save_while_issuing

pytestmark = pytest.mark.database


@pytest.mark.parametrize("what", ["premises", "design"])
def test_a_save_waits_until_the_pack_is_issued(own, what):
    assert own.run(save_while_issuing, what) == {"between": False, "saved": True, "issued": 1}
