"""No path of a stranger's library leads out of it, and none makes the check wait."""

from __future__ import annotations

import os
import time
from pathlib import Path

import attrs
import pytest
import tomli_w

from riglint import Report, Unreadable, check, fill, load, rate
from riglint.cli import main
from riglint.globbing import matching
from riglint.reports import BUILT_IN
from riglint.testing import CATALOG_TABLES, values_of

SECRET = 's3cret = 1\n[assembly]\nid = "x"\n'
SOON = 120.0  # seconds; a machine may be busy


@pytest.fixture
def library(tmp_path):
    folder = tmp_path / "library"
    (folder / "builds").mkdir(parents=True)
    values = values_of('base = "pair"')
    catalog = {key: values.pop(key) for key in CATALOG_TABLES}
    (folder / "builds/build.toml").write_text(tomli_w.dumps(values))
    (folder / "stock.toml").write_text(tomli_w.dumps(catalog))
    (folder / "riglint.toml").write_text('catalogs = ["stock.toml"]\n')
    (tmp_path / "outside.toml").write_text(SECRET)
    return folder


def whole(report):
    """All that a report holds, as its own repr does not show it."""
    return repr([getattr(report, one.name) for one in attrs.fields(Report)])


def said(report):
    return " ".join(problem.message for problem in report.problems)


def test_the_library_alone_is_sound(library):
    assert check(library).exit_status == 0


TARGETS = ["../../outside.toml", "/etc/passwd", "/dev/zero", "/proc/self/environ", "/proc/kmsg"]


@pytest.mark.parametrize("target", TARGETS)
def test_a_link_out_of_the_library_is_a_problem_and_not_read(library, target):
    (library / "builds/link.toml").symlink_to(target)
    started = time.monotonic()
    report = check(library)
    assert time.monotonic() - started < SOON
    assert said(report) == "this link leads out of the library"
    assert "s3cret" not in whole(report)
    assert len(report.assemblies) == 1


def test_a_link_inside_the_library_is_followed(library):
    (library / "spare").mkdir()
    (library / "spare/link.toml").symlink_to("../builds/build.toml")
    assert check(library / "spare").problems == ()


def test_a_linked_folder_is_not_searched(library, tmp_path):
    (library / "all").symlink_to("/")
    (library / "up").symlink_to("..")
    started = time.monotonic()
    assert check(library).problems == ()
    assert time.monotonic() - started < SOON


def test_a_policy_that_is_found_and_is_a_link_out_is_not_read(library, tmp_path):
    (library / "riglint.toml").unlink()
    (library / "riglint.toml").symlink_to("../outside.toml")
    report = check(library)
    assert report.exit_status == 2
    assert "this link leads out of the library" in said(report)
    assert "s3cret" not in whole(report)


@pytest.mark.parametrize("name", ["builds/pipe.toml", "stock.toml", "riglint.toml"])
@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes here")
def test_a_pipe_does_not_make_the_check_wait(library, name):
    (library / name).unlink(missing_ok=True)
    os.mkfifo(library / name)
    started = time.monotonic()
    report = check(library)
    assert time.monotonic() - started < SOON
    assert report.exit_status == 2


PATTERNS = [
    ("../outside.toml", "leaves the policy's folder"),
    ("builds/../../outside.toml", "leaves the policy's folder"),
    ("/etc/*.toml", "leaves the policy's folder"),
    ("**/**/**/*.toml", "** stands in it more than once"),
    ("**/" * 200 + "*.toml", "more than 16 steps"),
    ("*/" * 17 + "*.toml", "more than 16 steps"),
    ("all/**/*.toml", "all leads out"),
    ("all/*/*.toml", "all leads out"),
    ("*/*/none*.toml", "all leads out"),
    ("*/../" * 7 + "none*.toml", ".. stands in it after a wildcard"),
    ("self*/" * 15 + "none*.toml", "searches more than 100,000"),
    ("ring*/**/none*.toml", "matches no file"),
    ("ring1", "matches no file"),
    ("x" * 300, "matches no file"),
    ("*/**/none*.toml", "all leads out"),
    ("out.toml", "out.toml leads out"),
    ("*" * 300 + ".toml", "stock.toml"),
]


@pytest.mark.parametrize(("pattern", "message"), PATTERNS, ids=lambda one: one[:30])
def test_a_pattern_ends_soon_and_leads_nowhere_else(library, pattern, message):
    (library / "all").symlink_to("/")
    (library / "out.toml").symlink_to("../outside.toml")
    for n in range(8):
        (library / f"self{n}").symlink_to(".")
    (library / "ring1").symlink_to("ring2")
    (library / "ring2").symlink_to("ring1")
    (library / "riglint.toml").write_text(tomli_w.dumps({"catalogs": [pattern]}))
    started = time.monotonic()
    report = check(library / "builds")
    assert time.monotonic() - started < SOON
    assert "s3cret" not in whole(report)
    if message != "stock.toml":
        assert message in said(report)
        assert report.exit_status == 2


BASES = [
    ("ring1", "there is no file ring1"),
    ("x" * 300, "there is no file xxx"),
    ("pyproject.toml", "it has no [tool.riglint] table"),
]


@pytest.mark.parametrize("tools", ["", "tool = 3", "[tool]"])
@pytest.mark.parametrize(("base", "message"), BASES, ids=lambda one: one[:20])
def test_a_base_that_is_no_policy_is_a_problem_of_its_own(library, base, message, tools):
    (library / "ring1").symlink_to("ring2")
    (library / "ring2").symlink_to("ring1")
    (library / "pyproject.toml").write_text(tools)
    (library / "riglint.toml").write_text(tomli_w.dumps({"based_on": base}))
    assert message in said(check(library))
    if base == "pyproject.toml":
        assert message in said(check(library / "builds", policy=library / base))


def test_a_policy_that_is_a_link_to_itself(library):
    (library / "riglint.toml").unlink()
    (library / "riglint.toml").symlink_to("riglint.toml")
    assert "lead in a circle" in said(check(library))


@pytest.mark.parametrize("name", ["ring1", "a\0b", "x" * 300, "x/" * 3000], ids=lambda one: one[:5])
def test_a_path_that_no_file_has_is_a_problem_wherever_it_is_given(library, monkeypatch, name):
    monkeypatch.chdir(library)
    Path("ring1").symlink_to("ring2")
    Path("ring2").symlink_to("ring1")
    build = "builds/build.toml"
    told = [check(name), check(build, policy=name), check(build, catalogs=[name])]
    told += [check(build, known=name), check(build, root=name)]
    assert all(report.exit_status == 2 for report in told)
    assert all("fault in riglint" not in said(report) for report in told)
    for call in (rate, load, fill):
        with pytest.raises(Unreadable):
            call(name)
        with pytest.raises(Unreadable):
            call(build, policy=name)


def test_a_pattern_that_matches_too_many_files(library):
    for n in range(1001):
        (library / f"s{n}.toml").touch()
    with pytest.raises(ValueError, match="more than 1,000 files"):
        matching(library, "*.toml", library)


@pytest.mark.parametrize(
    "pattern", ["a/**/*.toml", "**/c.toml", "a/*.toml", "**/b/*.toml", "*.toml"]
)
def test_a_pattern_matches_what_the_standard_library_matches(tmp_path, pattern):
    for name in ("x.toml", "a/x.toml", "a/b/c.toml", "a/b/d/c.toml", "b/c.toml", "a/y.txt"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()
    expected = sorted(path for path in tmp_path.glob(pattern) if path.is_file())
    assert sorted(matching(tmp_path, pattern, tmp_path)) == expected
    assert expected


def test_names_of_control_characters_reach_no_face_raw(library):
    from io import StringIO

    from riglint.commands import console
    from riglint.reports.text import print_report

    build = (library / "builds/build.toml").read_text()
    name = "\x1b[31m\u202ered"
    escaped = name.encode("unicode_escape").decode().replace("\\x1b", "\\u001b")
    (library / f"builds/{name}.toml").write_text(build.replace('"pair"', f'"{escaped}"', 1))
    report = check(library)
    assert name in {one.id for one in report.assemblies}
    out = StringIO()
    print_report(report, console(out))
    for shown in (out.getvalue(), report._repr_html_()):
        assert "\x1b" not in shown
        assert "\u202e" not in shown


def big(parts: str) -> dict:
    return values_of(f'base = "pair"\n{parts}')


BOMBS = {
    "parts": ("leg", lambda leg: [leg | {"parts": leg["parts"][:1] * 20_000}]),
    "legs": ("leg", lambda leg: [leg | {"ref": f"l{n}", "count": 1} for n in range(2_000)]),
    "row": (
        "part",
        lambda part: [part] + [part | {"ref": f"p{n}", "on": f"p{n + 1}"} for n in range(9_000)],
    ),
}


@pytest.mark.parametrize("bomb", BOMBS)
def test_a_build_of_very_many_parts_is_refused_soon(library, bomb):
    key, grow = BOMBS[bomb]
    values = big("")
    values[key] = grow(values[key][0])
    for table in CATALOG_TABLES:
        values.pop(table)
    (library / "builds/build.toml").write_text(tomli_w.dumps(values))
    started = time.monotonic()
    report = check(library)
    assert time.monotonic() - started < SOON
    assert "that are read" in said(report)


def test_very_many_permits_and_very_many_names_are_answered_soon(library):
    values = big("")
    for table in CATALOG_TABLES:
        values.pop(table)
    values["deviation_permit"] = [{"rule": f"crowded-lin{n}"} for n in range(5_000)]
    (library / "builds/build.toml").write_text(tomli_w.dumps(values))
    assert "5,000 [[deviation_permit]] are more than the 250 that are read" in said(check(library))


def test_outside_is_still_read_where_it_is_named(library, tmp_path):
    """So that the tests above are refused for the link."""
    assert "s3cret" in whole(check(tmp_path / "outside.toml"))
    assert Path(tmp_path / "outside.toml").is_file()


# Paths that lead nowhere: every one is said in a line, by every way in

LONG = "x" * 300
NOWHERE = ["round", "round/deep.toml", f"{LONG}.toml", f"{LONG}/deep.toml", "pyproject.toml"]
WAYS = ["check", "rate", "sheet", "fill", "policy"]
OPTIONS = [(way, "--policy") for way in (*WAYS, "rules", "schema")]
OPTIONS += [(way, "--catalog") for way in WAYS if way != "policy"]
OPTIONS += [("check", "--known")]


@pytest.fixture
def nowhere(library, monkeypatch):
    (library / "round").symlink_to("round")
    (library / "pyproject.toml").write_text("tool = 3\n")
    monkeypatch.chdir(library)
    return library


def is_plain(capsys, status=2):
    said = capsys.readouterr()
    assert "fault in riglint" not in said.out + said.err
    assert "Error" not in said.out + said.err
    return bool(said.err or status != 2 or "could not be read" in said.out)


@pytest.mark.parametrize("name", [*NOWHERE, "a\0b", "a\0b/c.toml"])
@pytest.mark.parametrize("way", WAYS)
def test_an_argument_that_leads_nowhere(nowhere, way, name, capsys):
    status = main([way, name])
    assert status == 2 or (way, status) == ("policy", 0)
    assert is_plain(capsys, status)


@pytest.mark.parametrize("name", [*NOWHERE, "a\0b", "a\0b/c.toml"])
@pytest.mark.parametrize(("way", "option"), OPTIONS)
def test_an_option_that_leads_nowhere(nowhere, way, option, name, capsys):
    about = {"rules": [], "schema": ["policy"]}.get(way, ["builds/build.toml"])
    assert main([way, *about, option, name]) == 2
    assert is_plain(capsys)


@pytest.mark.parametrize("name", [f"{LONG}.toml", "builds", "a\0b", "round/deep.toml"])
def test_a_list_of_known_findings_that_cannot_be_written(nowhere, name, capsys):
    assert main(["check", "--write-known", name]) == 2
    assert is_plain(capsys)


@pytest.mark.parametrize("name", ["round", LONG, "pyproject.toml", "a\0b", "round/../round"])
@pytest.mark.parametrize("text", ["tool = 3", "[tool.other]", "[tool]\nriglint = 3", "tool = [1]"])
def test_a_policy_that_is_based_on_what_is_none(nowhere, name, text, capsys):
    (nowhere / "pyproject.toml").write_text(text)
    (nowhere / "riglint.toml").write_text(tomli_w.dumps({"based_on": name}))
    assert main(["check"]) == 2
    assert is_plain(capsys)


def test_a_policy_that_links_to_itself(nowhere, capsys):
    (nowhere / "riglint.toml").unlink()
    (nowhere / "riglint.toml").symlink_to("riglint.toml")
    for way in WAYS:
        assert main([way, "builds/build.toml"]) == 2
        assert is_plain(capsys)


@pytest.fixture
def gone(tmp_path, monkeypatch):
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()


@pytest.mark.parametrize("kind", [kind.name for kind in BUILT_IN])
def test_a_library_is_checked_from_a_folder_that_has_gone(library, gone, kind, capsys):
    assert main(["check", str(library), "--report", kind]) == 0
    assert main(["check", str(library), "--report", f"{kind}={library}/out"]) == 0
    assert main(["check", str(library), "--report", f"{kind}=out"]) == 2
    assert "out cannot be written" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "status"),
    [
        (["check"], 2),
        *(([way, "x.toml"], 2) for way in WAYS if way != "policy"),
        *(([*words], 0) for words in (["policy"], ["rules"], ["schema", "policy"])),
    ],
)
def test_a_folder_that_has_gone(gone, arguments, status, capsys):
    assert main(arguments) == status
    assert is_plain(capsys, status)
