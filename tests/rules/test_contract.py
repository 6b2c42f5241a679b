"""Every rule of the standard pack keeps the contract that its own examples state."""

import pytest

from riglint.book import standard_book
from riglint.testing import CONTRACT

RULES = standard_book().rules


def test_the_pack_loads_whole():
    book = standard_book()
    assert not book.problems
    assert [pack.name for pack in book.packs] == ["standard"]


@pytest.mark.parametrize("clause", CONTRACT)
@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_rule_keeps_its_contract(rule, clause):
    assert rule.fails
    assert list(CONTRACT[clause](rule, None)) == []


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_rule_is_named_like_its_function(rule):
    assert rule.check.__name__ == rule.name.replace("-", "_")
