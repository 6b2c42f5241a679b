"""The rules of the pack at their limits. `riglint_packs` holds each to its contract besides."""

import pytest
from northmere_house import riglint_pack
from northmere_house.rules import hook_off_the_list, title_twice, too_heavy_by_hand

from riglint import PackContext, Policy
from riglint.testing import assert_fails, assert_not_applicable, assert_open, assert_passes

PACK = riglint_pack(PackContext())


def hook(throat, size="3/8 in"):
    return f'base = "single"\n[[item]]\nid = "hook"\nthroat = "{throat}"\nsize = "{size}"'


@pytest.mark.parametrize("throat", ["1.1 in", "1.3 in"])
def test_a_hook_of_the_list_is_passed(throat):
    assert_passes(hook_off_the_list, hook(throat), pack=PACK)


@pytest.mark.parametrize("throat", ["1.09 in", "1.31 in"])
def test_a_hook_off_the_list_is_named_with_the_list(throat):
    found = assert_fails(
        hook_off_the_list, hook(throat), part="a/hook", found=throat, limit="1.3 in", pack=PACK
    )
    assert found.sources == ("Northmere hook list, sheet 1 (computed)",)


def test_a_size_that_the_list_has_not_is_open():
    assert_open(hook_off_the_list, hook("1.2 in", "5/8 in"), datum="throat", pack=PACK)


def test_a_sling_without_a_hook_has_nothing_to_judge():
    no_hook = 'base = "single"\n[[item]]\nid = "hook"\nkind = "grab-hook"'
    assert_not_applicable(hook_off_the_list, no_hook, pack=PACK)


def test_the_policy_sets_what_two_people_carry():
    # 3 + 2 x 1 + 45 x 0.07 + 2 = 10.15 kg
    light = too_heavy_by_hand.repaired
    settings = too_heavy_by_hand.settings
    assert_passes(too_heavy_by_hand, light)
    strict = Policy(settings={"too-heavy-by-hand": settings(most=10.0)})
    assert_fails(too_heavy_by_hand, light, found=10.15, limit=10.0, policy=strict)


def test_builds_without_a_title_share_none():
    untitled = 'base = ["pair", "quad"]\n[[change]]\nassembly = { title = "" }\n'
    assert_passes(title_twice, untitled + '[[change]]\nassembly = { title = "" }')


def test_the_report_of_a_faulty_hook(riglint_report):
    report = riglint_report(hook("1.4 in"), packs=["northmere"])
    assert "warning: a/hook opens 1.4 in; hooks of the list open" in report
