"""A few hundred inputs of the fuzz run, and every input that once found something."""

import sys
from collections import Counter
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from fuzz.grammar import case_of, made, text_of
from fuzz.oracle import examine, examine_text
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

CORPUS = sorted((Path(__file__).parents[1] / "corpus").glob("*.toml"))
INPUTS = 200


def test_near_valid_inputs_break_nothing_and_most_reach_the_rules():
    reached: Counter[str] = Counter()

    @settings(
        max_examples=INPUTS,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(st.integers(0, 10_000), st.lists(st.integers(0, 2**48), min_size=1, max_size=4))
    def draw(base, seeds):
        examine(made(base, seeds), reached)

    draw()
    assert reached["inputs"] >= INPUTS
    assert reached["rules"] > 0.4 * reached["inputs"]


@pytest.mark.parametrize("path", CORPUS, ids=lambda path: path.stem)
def test_what_once_broke_something_breaks_nothing(path):
    text = path.read_text("utf-8")
    try:
        case = case_of(text)
    except ValueError:
        examine_text(text, Counter())
    else:
        examine(case, Counter())


def test_a_case_goes_to_text_and_back():
    case = made(3, [1, 2, 3])
    assert case_of(text_of(case)) == case
    assert made(3, [1, 2, 3]) == case
