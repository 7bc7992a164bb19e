"""Several programs on one store at the same time: nothing is lost and nothing is doubled."""

import sys

import pytest

from tests.diagnose.history.writers import write_at_once

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="forks")


def test_two_programs_or_eight_write_to_one_store_and_every_answer_is_there_once(place, tmp_path):
    """Two on a file, eight on a server, on callouts of their own and on one together, with merges between."""
    name = place()
    workers = 2 if name.endswith(".sqlite") else 8
    found = write_at_once(name, tmp_path, workers, seconds=1)
    assert found.shared >= workers
    assert found.own >= 8 * workers
    assert found.merges >= workers
