"""The bench: what it can measure, and that it measures the way tags are really printed."""

import json

import pytest
from django.core.management import CommandError, call_command

from socktrade.bench import subjects
from socktrade.bench.tags import one_case


def test_tags_can_be_measured():
    assert "tags" in subjects()


def test_what_cannot_be_measured_is_refused_with_what_can():
    with pytest.raises(CommandError, match=r"subject is 'loom'; use one of .*tags"):
        call_command("bench", "loom")


@pytest.mark.parametrize("what", ["tags", "bare"])
def test_one_case_says_seconds_and_memory(what, capsys):
    one_case(what, 2)
    case = json.loads(capsys.readouterr().out)

    assert case["seconds"] > 0
    assert case["peak_mb"] > 10
